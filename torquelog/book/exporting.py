"""Exporting: every chain of a record as lines, for other stations and for checkers of anybody's making.

A line is one JSON object, `{"text": …, "signature": …}`: the canonical text of an entry as a string, and its signature in
hex. The lines of a chain stand in the order of their numbers.
"""

import json
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import NamedTuple

from torquelog.clock import Moment, utc_text
from torquelog.counted import Progress, counted
from torquelog.errors import TorquelogError
from torquelog.ledger import store
from torquelog.ledger.form import digest, parse_entry, reference


class Part(NamedTuple):
    """The part of a chain that an export holds: from which number, through which, and the digest of that entry."""

    station: str
    first: int
    through: int
    digest: str


def line(text: str, signature: str) -> str:
    """One line of an export, without its end."""
    return json.dumps({"text": text, "signature": signature}, ensure_ascii=False)


def size(parts: tuple[Part, ...]) -> int:
    """How many entries they hold together."""
    return sum(part.through - part.first + 1 for part in parts)


def lines(
    connection: sqlite3.Connection, parts: tuple[Part, ...], progress: Progress | None = None
) -> Iterator[str]:
    """The lines of an export, read as they are asked for."""
    for stored in counted(_entries(connection, parts), size(parts), progress):
        yield line(stored.text, stored.signature)


def _entries(connection: sqlite3.Connection, parts: tuple[Part, ...]) -> Iterator[store.Stored]:
    for part in parts:
        for stored in store.entries(connection, part.station, part.first):
            if stored.number > part.through:
                break
            yield stored


def parts(
    connection: sqlite3.Connection, *, since: Moment | None = None, after: Mapping[str, int] | None = None
) -> tuple[Part, ...]:
    """What an export holds: each chain up to its head as it is now, the file's own first.

    Args:
        connection: the record.
        since: of each chain only what was recorded at this moment or later.
        after: for chains by station, the number after which the export begins; other chains are whole.

    Raises:
        TorquelogError: entry-unknown where a chain has no entry of that number.
    """
    own = store.own_station(connection)
    heads = {
        station: head
        for station in store.stations(connection)
        if (head := store.head(connection, station)) is not None
    }
    found = []
    for station, head in sorted(heads.items(), key=lambda chain: (chain[0] != own, chain[0])):
        first = (after or {}).get(station, 0) + 1
        if first > head.number + 1:
            raise TorquelogError("entry-unknown", f"There is no entry {reference(station, first - 1)}.")
        if since is not None:
            first = max(first, _first_since(connection, station, since))
        if first <= head.number:
            found.append(Part(station, first, head.number, digest(head.text)))
    unknown = sorted((after or {}).keys() - heads.keys())
    if unknown:
        raise TorquelogError("entry-unknown", f"This record holds no entries of {unknown[0]}.")
    return tuple(found)


def _first_since(connection: sqlite3.Connection, station: str, since: Moment) -> int:
    """The number after the last entry that was recorded before a moment.

    Found from the end: times step back only where one of the future was released.
    """
    text = utc_text(since)
    head = store.head(connection, station)
    number = head.number if head else 0
    while number > 0:
        stored = store.entry_at(connection, station, number)
        if stored is None or parse_entry(stored.text).recorded_at < text:
            break
        number -= 1
    return number + 1


@contextmanager
def at_rest(connection: sqlite3.Connection) -> Iterator[None]:
    """See the record as it is now, whatever others write meanwhile."""
    connection.execute("BEGIN")
    try:
        yield
    finally:
        connection.execute("ROLLBACK")
