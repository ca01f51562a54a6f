"""The digest of the schema that this program writes and expects; a file that differs was changed by somebody."""

from typing import Final

SCHEMA_DIGEST: Final = "788b54c38fb47958ef0f89c8a2f9e4c8777536baa026163705c5dd455c0fafd3"
