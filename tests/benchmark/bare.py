"""The bare loop: the very rows that readings wrote, put again into the same schema in a new file, a commit a reading.

It signs nothing, judges nothing and asks nothing: it is the least that a durable reading can cost on this disk.
"""

import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from torquelog.book.founding import schema
from torquelog.facts.uses import ADD_TO_TALLY
from torquelog.ledger import database

Statement = tuple[str, tuple[object, ...]]
WARM_UP = 5


def commits(source: Path, target: Path, count: int) -> list[float]:
    """Seconds of each of the last `count` readings in the record at `source`, one after another."""
    rows = list(_rows(source, count + WARM_UP))
    with closing(database.create(target, schema())) as connection:
        return [_commit(connection, statements) for statements in rows][WARM_UP:]


def _commit(connection: sqlite3.Connection, statements: list[Statement]) -> float:
    start = time.perf_counter()
    connection.execute("BEGIN IMMEDIATE")
    for text, values in statements:
        connection.execute(text, values)
    connection.execute("COMMIT")
    return time.perf_counter() - start


def _rows(path: Path, count: int) -> Iterator[list[Statement]]:
    """What each reading wrote: its entry, its row, its tools' uses, and the tally of them."""
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
        found = connection.execute("SELECT number FROM reading ORDER BY number DESC LIMIT ?", (count,))
        for number, (entry,) in enumerate(reversed(found.fetchall()), 1):
            statements = [
                statement
                for table in ("entry", "reading", "tool_use")
                for statement in _inserts(connection, table, entry, number)
            ]
            uses = connection.execute(
                "SELECT tool, day, station, number, uses FROM tool_use WHERE number = ?", (entry,)
            )
            yield [*statements, *((ADD_TO_TALLY, tuple(use)) for use in uses.fetchall())]


def _inserts(connection: sqlite3.Connection, table: str, entry: int, number: int) -> Iterator[Statement]:
    """The rows of one entry in one table, under another number."""
    cursor = connection.execute(f"SELECT * FROM {table} WHERE number = ?", (entry,))
    names = [column[0] for column in cursor.description]
    for row in cursor.fetchall():
        values = dict(zip(names, row, strict=True)) | {"number": number}
        places = ", ".join("?" * len(names))
        yield f"INSERT INTO {table} VALUES ({places})", tuple(values.values())
