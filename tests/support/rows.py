"""A record in memory that takes bodies and writes their rows, without signatures: for tests of facts and rules."""

import sqlite3
from itertools import count
from typing import Any

from torquelog.clock import Moment
from torquelog.facts import registry
from torquelog.facts.rows import Mark
from torquelog.ledger.database import scratch
from torquelog.ledger.tables import LEDGER_SCHEMA


class Rows:
    """Fact tables in memory, and the numbers of the entries that would have filled them."""

    def __init__(self, station: str = "QHR") -> None:
        self.connection: sqlite3.Connection = scratch(LEDGER_SCHEMA + registry.schema())
        self.station = station
        self._numbers = count(1)

    def put(
        self,
        kind: str,
        body: dict[str, Any],
        recorded: Moment,
        *,
        known: Moment | None = None,
        signer: str = "TK",
        number: int | None = None,
        station: str = "",
    ) -> str:
        """Check a body and write its rows; gives the entry's name, QHR-000001."""
        registry.check(kind, body)
        number = next(self._numbers) if number is None else number
        station = station or self.station
        mark = Mark(station, number, recorded, recorded if known is None else known, signer, 1)
        registry.add_rows(self.connection, kind, mark, body)
        return f"{station}-{number:06d}"
