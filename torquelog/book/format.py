"""The digest of the schema that this program writes and expects; a file that differs was changed by somebody."""

from typing import Final

SCHEMA_DIGEST: Final = "230abd75e22118f5991760b3608c186644680c996d81f41d65e5ae4606d2c682"
