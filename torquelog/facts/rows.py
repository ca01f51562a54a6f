"""How a fact stands in a table: its mark, the two times it is asked by, and the one way a row is written.

Every fact row carries where it comes from (`station`, `number`: its entry), when it was so (`at`), when it was
recorded (`recorded`) and when this file knew it (`known`; later than `recorded` where another station's entries
were taken in). Rows are inserted, never changed: a state is a question asked as of a moment.
"""

import sqlite3
from functools import cache
from typing import Any, Final, NamedTuple

from torquelog.clock import Moment
from torquelog.ledger.guards import guards


class Mark(NamedTuple):
    """Where a fact comes from.

    Attributes:
        station, number: the entry.
        recorded: when the entry was recorded, in milliseconds since 1970 UTC.
        known: when this file came to know it; for its own entries the same moment.
        signer: the person who signed.
        key: the number of the entry that introduced the signing key.
    """

    station: str
    number: int
    recorded: Moment
    known: Moment
    signer: str
    key: int


class AsOf(NamedTuple):
    """Which facts count: those that were so at or before `at`, and known at or before `known`."""

    at: Moment
    known: Moment


END_OF_TIME: Final[Moment] = 253_402_300_799_999  # 9999-12-31T23:59:59.999Z
LATEST: Final = AsOf(END_OF_TIME, END_OF_TIME)

IN_ORDER: Final = "at, recorded, station, number"
COMMON: Final = ("station", "number", "at", "recorded", "known")


def table(name: str, columns: str, *, part: bool = False, indexes: tuple[str, ...] = ()) -> str:
    """The SQL of one fact table with its guards.

    Args:
        name: the table's name.
        columns: its own columns, as SQL; each is `NAME TYPE [NOT NULL]`, separated by commas.
        part: whether one entry gives several rows, told apart by the column `part`.
        indexes: column lists, one for each index.
    """
    key = ("station", "number", "part") if part else ("station", "number")
    own = f"part INTEGER NOT NULL, {columns}" if part else columns
    statements = [
        f"CREATE TABLE {name} (station TEXT NOT NULL, number INTEGER NOT NULL, at INTEGER NOT NULL, "
        f"recorded INTEGER NOT NULL, known INTEGER NOT NULL, {own}, PRIMARY KEY ({', '.join(key)})) "
        "STRICT, WITHOUT ROWID;"
    ]
    statements += [
        f"CREATE INDEX {name}_by_{index.split(',')[0].strip()} ON {name} ({index});" for index in indexes
    ]
    statements.append(guards(name, [key]))
    return "\n".join(statements)


@cache
def insert_text(table_name: str, *columns: str) -> str:
    """The statement that writes a row with these columns behind `COMMON`."""
    names = (*COMMON, *columns)
    places = ", ".join("?" * len(names))
    return f"INSERT INTO {table_name} ({', '.join(names)}) VALUES ({places})"


def put(connection: sqlite3.Connection, table_name: str, mark: Mark, at: Moment, **columns: Any) -> None:
    """Write one fact row."""
    text = insert_text(table_name, *columns)
    connection.execute(text, (mark.station, mark.number, at, mark.recorded, mark.known, *columns.values()))
