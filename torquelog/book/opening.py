"""Opening a record: the file, its station, its clock."""

import os
import sqlite3
from types import TracebackType
from typing import Literal
from zoneinfo import ZoneInfo

from torquelog import clock as clocks
from torquelog.book.format import SCHEMA_DIGEST
from torquelog.book.recent import Recent
from torquelog.clock import Clock
from torquelog.errors import TorquelogError
from torquelog.facts import stations
from torquelog.ledger import database, store


class Book:
    """An open record.

    Attributes:
        connection: the database; only `book/` and `facts/` speak SQL to it.
        path: where the file lies.
        station: this file's own station code.
        identity: the digest of that station's first entry, 64 hex digits.
        zone_name: the station's time zone.
        clock: what time it is.
        clock_ok: whether somebody vouches for the clock after a long gap.
        writable: whether entries may be added.
        recent: what a writer found and may go on using.
    """

    __slots__ = (
        "_zone", "clock", "clock_ok", "connection", "identity", "path", "recent", "station", "writable", "zone_name",
    )  # fmt: skip

    def __init__(
        self,
        connection: sqlite3.Connection,
        path: str,
        clock: Clock,
        *,
        writable: bool,
        clock_ok: bool = False,
    ) -> None:
        self.connection = connection
        self.path = path
        self.clock = clock
        self.clock_ok = clock_ok
        self.writable = writable
        self.recent = Recent(connection)
        own = store.own_station(connection)
        found = stations.station(connection, own) if own else None
        if found is None:
            raise TorquelogError(
                "not-a-ledger", f"{path} holds no station's record.", hint="torquelog init begins one."
            )
        self.station = found.code
        self.identity = found.identity
        self.zone_name = found.zone
        self._zone: ZoneInfo | None = None

    @property
    def zone(self) -> ZoneInfo:
        """The station's time zone."""
        if self._zone is None:
            self._zone = clocks.zone(self.zone_name)
        return self._zone

    def hold(self) -> None:
        """Let every further question see the record as it is now, whatever others write meanwhile."""
        if not self.connection.in_transaction:
            self.connection.execute("BEGIN")

    def close(self) -> None:
        """Flush what was written into the file and let go of it."""
        database.close(self.connection)

    def __enter__(self) -> "Book":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def open_book(
    path: str | os.PathLike[str],
    mode: Literal["read", "write"],
    clock: Clock,
    *,
    clock_ok: bool = False,
) -> Book:
    """Open the record at `path`.

    Args:
        path: the database file.
        mode: `write` to add entries, `read` to look only.
        clock: what time it is.
        clock_ok: whether somebody vouches for the clock after a long gap.

    Raises:
        TorquelogError: what `ledger.database.connect` raises, and `not-a-ledger`.
    """
    connection = database.connect(path, mode, schema_digest=SCHEMA_DIGEST)
    try:
        return Book(connection, os.fspath(path), clock, writable=mode == "write", clock_ok=clock_ok)
    except BaseException:
        connection.close()
        raise
