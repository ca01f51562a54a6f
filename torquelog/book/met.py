"""What was met before in a long list, kept aside on disk so that the memory stays bounded however long it is."""

import sqlite3
from types import TracebackType
from typing import Final

SCHEMA: Final = "CREATE TABLE met (key BLOB PRIMARY KEY, value INTEGER NOT NULL) WITHOUT ROWID, STRICT"
COUNT: Final = """
    INSERT INTO met (key, value) VALUES (?, 1)
    ON CONFLICT (key) DO UPDATE SET value = value + 1 RETURNING value"""


class Met:
    """Counts how often a key was met; in a nameless file that goes with the process."""

    def __init__(self) -> None:
        self._connection = sqlite3.connect("", isolation_level=None)
        self._connection.execute("PRAGMA journal_mode = OFF")
        self._connection.execute("PRAGMA synchronous = OFF")
        self._connection.execute(SCHEMA)
        self._connection.execute("BEGIN")

    def before(self, key: bytes) -> int:
        """How often this key was met before."""
        (times,) = self._connection.execute(COUNT, (key,)).fetchone()
        return int(times) - 1

    def __enter__(self) -> "Met":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._connection.close()
