"""The digest of the schema that this program writes and expects; a file that differs was changed by somebody."""

from typing import Final

SCHEMA_DIGEST: Final = "d2cfbad15c8b4c2b5de6b73636f938f3b5b0562112c58f101bad9c4369ca7af1"
