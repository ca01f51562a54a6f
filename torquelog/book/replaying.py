"""Replaying entries: their rows are written anew, in the order in which this file came to know them.

A file's own chain is followed. Where it says that it took in a part of another chain, that part comes first, and
its facts are known from then on. Where parts of several chains came at one time, what one of them had taken in of another
comes before what rests on it. So what comes out depends on nothing but the entries.
"""

import sqlite3
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from torquelog.clock import Moment, from_utc_text
from torquelog.errors import TorquelogError
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
    batch: list[tuple[Stored, Entry]] = []
    try:
        for own in store.entries(connection, home):
            entry = named(own.text)
            if batch and (entry is None or entry.recorded_at != batch[0][1].recorded_at):
                yield from _taken_in(connection, batch, held)
                batch = []
            if entry is None:
                yield Placed(own, None)
            else:
                batch.append((own, entry))
    except sqlite3.DatabaseError:
        yield from _taken_in(connection, batch, held)  # what could be read comes before what could not
        raise
    yield from _taken_in(connection, batch, held)


def named(text: str) -> Entry | None:
    """The entry, where it is one of kind taken-in that says what it has to; nothing else is read."""
    if TAKEN_IN not in text:
        return None
    try:
        entry = parse_entry(text)
        registry.check(entry.kind, entry.body)
    except TorquelogError:
        return None  # what is wrong with it is told at its own place
    return entry if entry.kind == "taken-in" else None


def _taken_in(
    connection: sqlite3.Connection, batch: list[tuple[Stored, Entry]], held: dict[str, int]
) -> Iterator[Placed]:
    """What was taken in at one time, and the entries that say so."""
    through = {str(entry.body["code"]): int(entry.body["through"]) for _, entry in batch}
    for _, entry in batch:
        known = from_utc_text(entry.recorded_at)
        for other in interleaved(connection, str(entry.body["code"]), through, held):
            yield Placed(other, known)
    for own, _ in batch:
        yield Placed(own, None)


def interleaved(
    connection: sqlite3.Connection,
    code: str,
    through: Mapping[str, int],
    held: dict[str, int],
    within: frozenset[str] = frozenset(),
) -> Iterator[Stored]:
    """A chain's entries with those of others that it had taken in before, each of them ahead of what may rest on it.

    Args:
        connection: where the entries lie.
        code: the chain.
        through: up to which number each chain that came along is to be read.
        held: up to which number each was read; kept up.
        within: chains at whose entries a part of this one is asked for; they are not read on.
    """
    within |= {code}
    for each in store.entries(connection, code, held.get(code, 0) + 1):
        if each.number > through.get(code, 0):
            return
        entry = named(each.text)
        other = str(entry.body["code"]) if entry else ""
        if entry and other in through and other not in within:
            upto = {**through, other: min(through[other], int(entry.body["through"]))}
            yield from interleaved(connection, other, upto, held, within)
        held[code] = each.number
        yield each


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
