"""A quick look at a record before somebody works on it: SQLite's check of the file, and the links of its last entries.

Whoever signs in is told of damage at once, not when the page is needed. It takes no longer in six years than today: of a
file that has grown large only the end is looked at, where the next entries go. What this does not look at, `backup` and
`verify` do.
"""

import sqlite3
from typing import Final

from torquelog.book.opening import Book
from torquelog.errors import TorquelogError
from torquelog.ledger import store
from torquelog.ledger.form import digest, parse_entry, reference

TAIL: Final = 100
"""How many of the last entries are looked at."""

WHOLE: Final = 64 * 2**20
"""Up to how many bytes the whole file is looked at: about a tenth of a second, some 35,000 readings."""


def demand_sound(book: Book) -> None:
    """Raise where the file is damaged or the own chain's last entries do not follow one another.

    Raises:
        TorquelogError: damaged, chain, entry-form.
    """
    try:
        head = store.head(book.connection, book.station)
        first = max(1, head.number - TAIL + 1) if head else 1
        told = _look(book.connection, book.station, first)
    except sqlite3.DatabaseError as trouble:
        told = str(trouble)
    if told != "ok":
        raise TorquelogError(
            "damaged",
            f"The file at {book.path} is damaged.",
            why=f"SQLite says: {told}.",
            hint="Keep this file as it is, and go on from the last backup: torquelog restore FILE",
        )
    before = ""
    for stored in store.entries(book.connection, book.station, first):
        entry = parse_entry(stored.text)
        if before and entry.previous != before:
            raise TorquelogError(
                "chain",
                f"{reference(book.station, stored.number)} does not follow the entry before it.",
                why="Something changed the file.",
                hint="Nothing was recorded. Keep this file, and see what stands: torquelog verify",
            )
        before = digest(stored.text)


def _look(connection: sqlite3.Connection, station: str, first: int) -> str:
    """What SQLite says of the whole file, or of what the last entries left in each table of a large one."""
    (pages,) = connection.execute("PRAGMA page_count").fetchone()
    (size,) = connection.execute("PRAGMA page_size").fetchone()
    if pages * size <= WHOLE:
        (told,) = connection.execute("PRAGMA quick_check(1)").fetchone()
        return str(told)
    for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'").fetchall():
        if {"station", "number"} <= {row[1] for row in connection.execute(f"PRAGMA table_info({name})")}:
            for _ in connection.execute(
                f"SELECT * FROM {name} WHERE station = ? AND number >= ?", (station, first)
            ):
                pass
    return "ok"
