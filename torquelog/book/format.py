"""The digest of the schema that this program writes and expects; a file that differs was changed by somebody."""

from typing import Final

SCHEMA_DIGEST: Final = "0624492531c24605fa7848a6edf35c0b7abc9fd67511059186b88b58fafded2b"

