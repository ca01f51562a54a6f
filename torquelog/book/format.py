"""The digest of the schema that this program writes and expects; a file that differs was changed by somebody."""

from typing import Final

SCHEMA_DIGEST: Final = "17ecde0ed81c610c0432508e731a33b3177f80cd2ba6014fa2cf52169775c195"
