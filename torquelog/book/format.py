"""The digest of the schema that this program writes and expects; a file that differs was changed by somebody."""

from typing import Final

SCHEMA_DIGEST: Final = "9d14cb9500cbec409a25b2ba1cd3710fa7004de6b6229954155853b368795ddc"
