"""A quick look at a record before somebody works on it: SQLite's check of the file, and the links of its last entries.

Whoever signs in is told of damage at once, not when the page is needed. What this does not look at, `verify` does.
"""

import sqlite3
from typing import Final

from torquelog.book.opening import Book
from torquelog.errors import TorquelogError
from torquelog.ledger import store
from torquelog.ledger.form import digest, parse_entry, reference

TAIL: Final = 100
"""How many of the last entries are looked at."""


def demand_sound(book: Book) -> None:
    """Raise where the file is damaged or the own chain's last entries do not follow one another.

    Raises:
        TorquelogError: damaged, chain, entry-form.
    """
    try:
        (told,) = book.connection.execute("PRAGMA quick_check(1)").fetchone()
    except sqlite3.DatabaseError as trouble:
        told = str(trouble)
    if told != "ok":
        raise TorquelogError(
            "damaged",
            f"The file at {book.path} is damaged.",
            why=f"SQLite says: {told}.",
            hint="Keep this file as it is, and go on from the last backup: torquelog restore FILE",
        )
    head = store.head(book.connection, book.station)
    before = ""
    for stored in store.entries(book.connection, book.station, max(1, head.number - TAIL + 1) if head else 1):
        entry = parse_entry(stored.text)
        if before and entry.previous != before:
            raise TorquelogError(
                "chain",
                f"{reference(book.station, stored.number)} does not follow the entry before it.",
                why="Something changed the file.",
                hint="Nothing was recorded. Keep this file, and see what stands: torquelog verify",
            )
        before = digest(stored.text)
