"""A small ledger of plain rows, whose texts are only numbers: for tests of the file and not of the form."""

import sqlite3
from pathlib import Path

from torquelog.ledger import database, store
from torquelog.ledger.tables import LEDGER_SCHEMA

STATION = "QHR"


def identifier(number: int) -> str:
    """The id of the entry with this number."""
    return f"{number:032x}"


def text(number: int) -> str:
    """The text of the entry with this number."""
    return f'{{"number":{number}}}'


def put(connection: sqlite3.Connection, number: int) -> None:
    """Add one entry, without a transaction of its own."""
    store.insert_entry(connection, text(number), STATION, number, identifier(number), "ab" * 64)


def add(connection: sqlite3.Connection, count: int = 1) -> None:
    """Add entries after the head, each in a transaction of its own."""
    for _ in range(count):
        with database.transaction(connection):
            newest = store.head(connection, STATION)
            put(connection, newest.number + 1 if newest else 1)


def make(path: Path, count: int = 0) -> sqlite3.Connection:
    """A new ledger file with some entries, open for writing."""
    connection = database.create(path, LEDGER_SCHEMA, lambda new: store.set_home(new, STATION))
    add(connection, count)
    return connection


def numbers(connection: sqlite3.Connection) -> list[int]:
    """The numbers of all entries, in order; each text must be the one of its number."""
    found = list(store.entries(connection, STATION))
    assert all(entry.text == text(entry.number) for entry in found)
    return [entry.number for entry in found]
