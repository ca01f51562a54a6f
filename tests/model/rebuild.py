"""A program of its own: makes a record's registers anew beside it, and prints the digest of every row of both.

Usage: python -m tests.model.rebuild RECORD NEW
"""

import sqlite3
import sys
from contextlib import closing
from hashlib import sha256

from torquelog.book.rebuilding import fresh_copy
from torquelog.ledger import database


def rows_digest(connection: sqlite3.Connection) -> str:
    """One digest over every row of every table, with the types of their values."""
    found = sha256()
    names = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name").fetchall()
    for (name,) in names:
        found.update(repr(name).encode())
        for row in sorted(connection.execute(f"SELECT * FROM {name}"), key=repr):
            found.update(repr(row).encode())
    return found.hexdigest()


def main(record: str, new: str) -> None:
    """Print the two digests, of the record as it is and as it was made anew, and the process's own hash of a text."""
    with closing(database.connect(record, "read")) as old:
        fresh_copy(old, new)
        with closing(database.connect(new, "read")) as made:
            print(rows_digest(old), rows_digest(made), hash("torquelog"))


if __name__ == "__main__":
    main(*sys.argv[1:])
