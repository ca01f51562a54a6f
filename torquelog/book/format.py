"""The digest of the schema that this program writes and expects; a file that differs was changed by somebody."""

from typing import Final

SCHEMA_DIGEST: Final = "4fd1a989415f8022f6faf64cac30cb702ab32b632c79d10c38cfd0d736e9722e"
