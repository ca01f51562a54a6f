"""The entries as rows: put one in, find one, walk a chain.

Ids and signatures are hex outside and bytes inside the file, where each byte counts.
"""

import sqlite3
from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple


class Stored(NamedTuple):
    """An entry as it lies in the file.

    Attributes:
        station: the chain.
        number: its place there, from 1.
        text: the canonical text.
        signature: 128 hex digits.
    """

    station: str
    number: int
    text: str
    signature: str


class Head(NamedTuple):
    """The newest entry of a chain: its number and its canonical text."""

    number: int
    text: str


_ADD_ENTRY: Final = "INSERT INTO entry (station, number, id, text, signature) VALUES (?, ?, ?, ?, ?)"


def insert_entry(
    connection: sqlite3.Connection, text: str, station: str, number: int, id: str, signature: str
) -> None:
    """Add one entry, inside a transaction of the caller's.

    Args:
        connection: one of `database.connect`.
        text: the canonical text.
        station: its chain.
        number: the number after the chain's head.
        id: 32 hex digits, new in this chain.
        signature: 128 hex digits.

    Raises:
        sqlite3.IntegrityError: a guard stands against it; what comes before must have looked.
    """
    connection.execute(_ADD_ENTRY, (station, number, bytes.fromhex(id), text, bytes.fromhex(signature)))


class Fresh(NamedTuple):
    """An entry to be added: its chain and number, its id and signature as bytes, and its canonical text."""

    station: str
    number: int
    id: bytes
    text: str
    signature: bytes


def insert_entries(connection: sqlite3.Connection, entries: Iterable[Fresh]) -> None:
    """Add entries, one after the other, as `insert_entry` does."""
    connection.executemany(_ADD_ENTRY, entries)


def head(connection: sqlite3.Connection, station: str) -> Head | None:
    """The newest entry of a chain, or None where there is none."""
    row = connection.execute(
        "SELECT number, text FROM entry WHERE station = ? ORDER BY number DESC LIMIT 1", (station,)
    ).fetchone()
    return None if row is None else Head(*row)


def head_number(connection: sqlite3.Connection, station: str) -> int:
    """The number of the newest entry of a chain, 0 where there is none."""
    (number,) = connection.execute("SELECT max(number) FROM entry WHERE station = ?", (station,)).fetchone()
    return number or 0


def entry_at(connection: sqlite3.Connection, station: str, number: int) -> Stored | None:
    """The entry with this number, or None."""
    row = connection.execute(
        "SELECT station, number, text, signature FROM entry WHERE station = ? AND number = ?",
        (station, number),
    ).fetchone()
    return None if row is None else _stored(row)


def entry_by_id(connection: sqlite3.Connection, station: str, id: str) -> Stored | None:
    """The entry with this id (32 hex digits) in a chain, or None."""
    row = connection.execute(
        "SELECT station, number, text, signature FROM entry WHERE station = ? AND id = ?",
        (station, bytes.fromhex(id)),
    ).fetchone()
    return None if row is None else _stored(row)


def entries(connection: sqlite3.Connection, station: str, start: int = 1) -> Iterator[Stored]:
    """A chain's entries in order, from number `start`; read as they are asked for, never all at once."""
    rows = connection.execute(
        "SELECT station, number, text, signature FROM entry "
        "WHERE station = ? AND number >= ? ORDER BY number",
        (station, start),
    )
    return map(_stored, rows)


_CHAINS: Final = (
    "WITH RECURSIVE chain (code) AS (SELECT min(station) FROM entry UNION ALL "
    "SELECT (SELECT min(station) FROM entry WHERE station > code) FROM chain WHERE code IS NOT NULL)"
)
"""Each station's code, found by a leap from one to the next, not by a walk through all their entries."""


def stations(connection: sqlite3.Connection) -> tuple[str, ...]:
    """Every chain that this file holds, in the order of their codes."""
    rows = connection.execute(
        f"{_CHAINS} SELECT code FROM chain WHERE EXISTS (SELECT 1 FROM entry WHERE station = code AND number = 1)"
    )
    return tuple(station for (station,) in rows)


def counts(connection: sqlite3.Connection) -> dict[str, int]:
    """The largest number of each chain, also where entry 1 or the text of another is lost; by station."""
    rows = connection.execute(
        f"{_CHAINS} SELECT code, (SELECT max(number) FROM entry WHERE station = code) FROM chain "
        "WHERE code IS NOT NULL"
    )
    return dict(rows.fetchall())


def own_station(connection: sqlite3.Connection) -> str | None:
    """The chain that grows in this file; None before the first entry."""
    row = connection.execute("SELECT station FROM home ORDER BY position DESC LIMIT 1").fetchone()
    return None if row is None else str(row[0])


def set_home(connection: sqlite3.Connection, station: str) -> None:
    """Let this chain be the one that grows in this file from now on."""
    connection.execute("INSERT INTO home (station) VALUES (?)", (station,))


def _stored(row: tuple[str, int, str, bytes]) -> Stored:
    return Stored(row[0], row[1], row[2], row[3].hex())
