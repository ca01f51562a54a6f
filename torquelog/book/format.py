"""The digest of the schema that this program writes and expects; a file that differs was changed by somebody."""

from typing import Final

SCHEMA_DIGEST: Final = "3345e5f5ac92e0dbb21dda8cd51d872aab0aad9b4cae7405a91fd076e81f706e"
