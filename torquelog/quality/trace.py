"""The trace: which fasteners a tool, person, lot, card or shop touched, whether that still stands, and where it is.

A wrench touches an aircraft through a serialised assembly, too, and a tightening ends when the fastener is
loosened; both are followed.
"""

import sqlite3
from collections.abc import Collection
from typing import Final, NamedTuple, TypeVar

from torquelog.book.named import station_named
from torquelog.book.opening import Book
from torquelog.clock import Moment
from torquelog.errors import TorquelogError
from torquelog.facts import aircraft, assemblies, people, tools
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.facts.tracing import naming, opened_by_card
from torquelog.ledger import store
from torquelog.ledger.form import parse_entry, reference
from torquelog.quality.places import BEGINNING, Location, Places
from torquelog.quality.trace_rows import Carrier, Row, Rows, Standing, Sums

__all__ = ["BEGINNING", "KINDS", "Carrier", "Location", "Row", "Standing", "Trace", "trace"]

Thing = TypeVar("Thing")

KINDS: Final = ("wrench", "adapter", "aircraft", "assembly", "lot", "person", "card", "shop")
KEPT: Final = 4096
"""So many readings of a trace are kept; where there are more, they are read again whenever they are walked through."""


class Trace(NamedTuple):
    """A trace.

    Attributes:
        kind, name: what was asked.
        since, until: the window, in milliseconds since 1970 UTC; as_of: the moment asked about.
        rows: every reading, oldest first; many of them are read again from the record each time.
        aircraft: what carries or carried them.
        places: the fasteners that carry a tightening of this trace, what is on an aircraft first.
        refused, struck: how many readings are refused, or struck.
        named: for a tool, how many readings name it in the window, counted by themselves.
        complete_as_of: the entry up to which this is complete.
        stations: the stations whose records are in this file.
    """

    kind: str
    name: str
    since: Moment
    until: Moment
    as_of: Moment
    rows: Collection[Row]
    aircraft: tuple[Carrier, ...]
    places: tuple[Standing, ...]
    refused: int
    struck: int
    named: int
    complete_as_of: str
    stations: tuple[str, ...]

    @property
    def standing(self) -> int:
        """How many fasteners carry a tightening of this trace."""
        return sum(len(each.items) for each in self.places)

    @property
    def flying(self) -> int:
        """How many of them are on an aircraft."""
        return sum(len(each.items) for each in self.places if each.location.flying)


def trace(
    book: Book,
    kind: str,
    name: str,
    *,
    since: Moment | None = None,
    until: Moment | None = None,
    as_of: Moment | None = None,
) -> Trace:
    """Trace what a tool, an aircraft, an assembly, a lot, a person, a card or a shop touched.

    Args:
        book: the record.
        kind: one of `KINDS`.
        name: the number, registration, serial, lot, id, card, or the station's code for a shop.
        since, until: the window of performed work; `until` is not included.
        as_of: the moment asked about; None for now.

    Raises:
        TorquelogError: where nothing of that name is on record.
    """
    connection = book.connection
    moment = book.clock.now() if as_of is None else as_of
    facts = AsOf(END_OF_TIME if as_of is None else as_of, END_OF_TIME)
    start = BEGINNING if since is None else since
    end = END_OF_TIME if until is None else until
    rows = Rows(connection, _sources(connection, kind, name, facts), start, end, facts)
    kept, sums = _summed(book, rows)
    return Trace(
        kind=kind, name=name, since=start, until=end, as_of=moment, rows=rows if kept is None else kept,
        aircraft=sums.carriers(), places=sums.standing(), refused=sums.states["refused"],
        struck=sums.states["struck"],
        named=naming(connection, name, start, end, facts) if kind in ("wrench", "adapter") else len(rows),
        complete_as_of=_head(book), stations=tuple(store.stations(connection)),
    )  # fmt: skip


def _summed(book: Book, rows: Rows) -> tuple[tuple[Row, ...] | None, Sums]:
    """What a first walk through the readings finds, and these themselves unless there are too many to keep."""
    sums = Sums(Places(book.connection, rows.as_of))
    kept: list[Row] | None = []
    for row in rows:
        sums.see(row)
        if kept is not None:
            kept.append(row)
            if len(kept) > KEPT:
                kept = None
                book.hold()
    return (None if kept is None else tuple(kept)), sums


def _head(book: Book) -> str:
    head = store.head(book.connection, book.station)
    return reference(book.station, parse_entry(head.text).number if head else 0)


def _sources(connection: sqlite3.Connection, kind: str, name: str, as_of: AsOf) -> list[tuple[str, str]]:
    if kind in ("wrench", "adapter"):
        _known(tools.tool(connection, name), f"No {kind} {name} is registered.", "tool-unknown")
        return [("tool", name)]
    if kind == "aircraft":
        craft = aircraft.aircraft(connection, name, as_of)
        return _of_aircraft(
            connection, _known(craft, f"No aircraft {name} is registered.", "aircraft-unknown").msn, as_of
        )
    if kind == "assembly":
        found = assemblies.find(connection, name, as_of)
        key = _known(found, f"No assembly {name} is registered.", "assembly-unknown").key
        return [("owner", f"assembly {key}")]
    if kind == "card":
        opened = opened_by_card(connection, name, as_of)
        _known(opened or None, f"No job was opened by a card {name}.", "card-unknown")
    if kind == "shop":
        station_named(connection, name)
    if kind == "person":
        _known(people.person(connection, name), f"Nobody is enrolled as {name}.", "person-unknown")
    return [(kind, name)]


def _of_aircraft(connection: sqlite3.Connection, msn: str, as_of: AsOf) -> list[tuple[str, str]]:
    on_it = assemblies.fitted(connection, msn, as_of=as_of)
    return [("position", f"aircraft {msn}"), *(("owner", f"assembly {each.key}") for each in on_it)]


def _known(found: Thing | None, what: str, code: str) -> Thing:
    if found is None:
        raise TorquelogError(code, what)
    return found
