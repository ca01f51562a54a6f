"""Replaying entries: their rows are written anew, in the order in which this file came to know them.

A file's own chain is followed. Where it says that it took in a part of another chain, that part comes first, and
its facts are known from then on. So what comes out depends on nothing but the entries.
"""

import sqlite3
from collections.abc import Iterator
from typing import NamedTuple

from torquelog.clock import Moment, from_utc_text
from torquelog.facts import registry
from torquelog.facts.rows import Mark
from torquelog.ledger import store
from torquelog.ledger.form import Entry, parse_entry
from torquelog.ledger.store import Stored

TAKEN_IN = '"kind":"taken-in"'
"""Stands in the text of every entry of that kind, and seldom elsewhere."""


class Placed(NamedTuple):
    """An entry at its place in the order of replay.

    Attributes:
        stored: the entry as it lies in the file.
        known: when this file came to know it, or None for its own entries: when they were recorded.
    """

    stored: Stored
    known: Moment | None


def in_order(connection: sqlite3.Connection, home: str) -> Iterator[Placed]:
    """Every entry that a file's own chain accounts for, in the order of replay; read as it is asked for.

    Args:
        connection: the record.
        home: the file's own chain.
    """
    held: dict[str, int] = {}
    for own in store.entries(connection, home):
        if TAKEN_IN in own.text:
            yield from _taken_in(connection, parse_entry(own.text), held)
        yield Placed(own, None)


def _taken_in(connection: sqlite3.Connection, entry: Entry, held: dict[str, int]) -> Iterator[Placed]:
    if entry.kind != "taken-in":
        return
    registry.check(entry.kind, entry.body)
    code, through = str(entry.body["code"]), int(entry.body["through"])
    known = from_utc_text(entry.recorded_at)
    for other in store.entries(connection, code, held.get(code, 0) + 1):
        if other.number > through:
            break
        yield Placed(other, known)
    held[code] = max(through, held.get(code, 0))


def add(
    connection: sqlite3.Connection, entry: Entry, text: str, signature: str, known: Moment | None
) -> None:
    """Write an entry and the rows it stands for.

    Raises:
        TorquelogError: newer-entry, for a kind this program does not know.
    """
    store.insert_entry(connection, text, entry.station, entry.number, entry.id, signature)
    add_rows(connection, entry, known)


def add_rows(connection: sqlite3.Connection, entry: Entry, known: Moment | None) -> None:
    """Write the rows that an entry stands for."""
    recorded = from_utc_text(entry.recorded_at)
    mark = Mark(
        entry.station, entry.number, recorded, recorded if known is None else known, entry.signer, entry.key
    )
    registry.add_rows(connection, entry.kind, mark, entry.body)
