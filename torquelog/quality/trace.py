"""The trace: which fasteners a tool, a person, a lot or a card touched, whether that still stands, and where it is.

A wrench touches an aircraft through a serialised assembly, too, and a tightening ends when the fastener is
loosened; both are followed.
"""

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple, TypeVar

from torquelog.book.opening import Book
from torquelog.book.standing import Undoing, group_of, undoings, undone
from torquelog.clock import Moment
from torquelog.errors import TorquelogError
from torquelog.facts import aircraft, assemblies, people, tools
from torquelog.facts.assemblies import MOVES, Place
from torquelog.facts.readings import Reading
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.facts.tracing import Traced, jobs_of_card, naming, traced
from torquelog.ledger import store
from torquelog.ledger.form import parse_entry, reference

Thing = TypeVar("Thing")

KINDS = ("wrench", "adapter", "aircraft", "assembly", "lot", "person", "card")
BEGINNING: Moment = -62_135_596_800_000


class Location(NamedTuple):
    """Where a fastener is as of the moment asked.

    Attributes:
        registration, position, since: the aircraft, where it is on one; registration is the serial number
            where none is on record, since is None where the fastener belongs to the aircraft itself.
        text: the place in words: a position, stores, wheel shop, taken apart, not known.
        flying: whether it is on an aircraft.
    """

    registration: str
    position: str
    since: Moment | None
    text: str
    flying: bool


class Row(NamedTuple):
    """One reading of a trace.

    Attributes:
        reading: what was recorded.
        state: tight, loosened, apart, refused or struck.
        location: where its fastener is.
        ended: when it was loosened or came apart, in milliseconds since 1970 UTC; None where it was not.
    """

    reading: Reading
    state: str
    location: Location
    ended: Moment | None = None


class Carrier(NamedTuple):
    """An aircraft that carries, or carried, fasteners of a trace: how many, and whether it does now."""

    registration: str
    fasteners: int
    now: bool


class Trace(NamedTuple):
    """A trace.

    Attributes:
        kind, name: what was asked.
        since, until: the window, in milliseconds since 1970 UTC; as_of: the moment asked about.
        rows: every reading, oldest first.
        aircraft: what carries or carried them.
        standing: how many fasteners carry a tightening of this trace.
        flying: how many of them are on an aircraft.
        named: for a tool, how many readings name it in the window, counted by themselves.
        complete_as_of: the entry up to which this is complete.
        stations: the stations whose records are in this file.
    """

    kind: str
    name: str
    since: Moment
    until: Moment
    as_of: Moment
    rows: tuple[Row, ...]
    aircraft: tuple[Carrier, ...]
    standing: int
    flying: int
    named: int
    complete_as_of: str
    stations: tuple[str, ...]


def trace(
    book: Book,
    kind: str,
    name: str,
    *,
    since: Moment | None = None,
    until: Moment | None = None,
    as_of: Moment | None = None,
) -> Trace:
    """Trace what a tool, an aircraft, an assembly, a lot, a person or a card touched.

    Args:
        book: the record.
        kind: one of `KINDS`.
        name: the number, registration, serial, lot, id or card.
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
    found = _found(connection, kind, name, start, end, facts)
    rows = tuple(_rows(connection, found, facts))
    standing = {
        _fastener(row.reading): row for row in rows if row.state == "tight" and row.reading.act == "tighten"
    }
    named = naming(connection, name, start, end, facts) if kind in ("wrench", "adapter") else len(rows)
    return Trace(
        kind=kind, name=name, since=start, until=end, as_of=moment, rows=rows,
        aircraft=_carriers(connection, rows, standing.values(), facts), standing=len(standing),
        flying=sum(row.location.flying for row in standing.values()), named=named,
        complete_as_of=_head(book), stations=tuple(store.stations(connection)),
    )  # fmt: skip


def _head(book: Book) -> str:
    head = store.head(book.connection, book.station)
    return reference(book.station, parse_entry(head.text).number if head else 0)


def _found(
    connection: sqlite3.Connection, kind: str, name: str, since: Moment, until: Moment, as_of: AsOf
) -> list[Traced]:
    found: dict[tuple[str, int], Traced] = {}
    for source, key in _sources(connection, kind, name, as_of):
        for each in traced(connection, source, key, since, until, as_of):
            found[each.reading.station, each.reading.number] = each
    return sorted(found.values(), key=lambda each: each.reading[2:4] + each.reading[:2])


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
        found_jobs = jobs_of_card(connection, name, as_of)
        _known(found_jobs or None, f"No job was opened by a card {name}.", "card-unknown")
        return [("job", job) for job in found_jobs]
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


def _fastener(reading: Reading) -> tuple[str, str, int]:
    return reading.owner, reading.group, reading.item


def _rows(connection: sqlite3.Connection, found: Sequence[Traced], as_of: AsOf) -> Iterator[Row]:
    by = _undoings(connection, found, as_of)
    places: dict[str, Location] = {}
    for each in found:
        owner = each.reading.owner
        if owner not in places:
            places[owner] = location(connection, owner, as_of)
        state, ended = _state(each, by)
        yield Row(each.reading, state, places[owner], ended)


def _undoings(
    connection: sqlite3.Connection, found: Iterable[Traced], as_of: AsOf
) -> dict[tuple[str, str], list[Undoing]]:
    in_jobs: dict[tuple[str, str], set[str]] = {}
    for each in found:
        in_jobs.setdefault((each.reading.owner, each.reading.group), set()).add(each.reading.job)
    by: dict[tuple[str, str], list[Undoing]] = {}
    for (owner, group_id), names in in_jobs.items():
        groups = (group_of(connection, name, group_id, as_of) for name in sorted(names))
        group = next(filter(None, groups), None)
        if group is not None:
            by[owner, group_id] = undoings(connection, owner, group, names, as_of)
    return by


def _state(each: Traced, by: dict[tuple[str, str], list[Undoing]]) -> tuple[str, Moment | None]:
    if each.struck:
        return "struck", None
    if each.reading.outcome == "refused":
        return "refused", None
    ended = undone(each.reading, by.get((each.reading.owner, each.reading.group), ()))
    return (ended.state, ended.order[0]) if ended else ("tight", None)


def location(connection: sqlite3.Connection, owner: str, as_of: AsOf) -> Location:
    """Where the fasteners of an owner are as of a moment."""
    kind, _, name = owner.partition(" ")
    if kind == "aircraft":
        msn, _, position = name.partition(" ")
        return Location(_registration(connection, msn, as_of), position, None, position, flying=True)
    return _of_place(connection, assemblies.place(connection, name, as_of), as_of)


_WORDS = {
    "stores": "stores",
    "shop": "shop",
    "scrap": "scrapped",
    "apart": "taken apart",
    "unknown": "never fitted",
}


def _of_place(connection: sqlite3.Connection, place: Place, as_of: AsOf) -> Location:
    if place.kind == "aircraft" and place.aircraft:
        registration = _registration(connection, place.aircraft, as_of)
        return Location(registration, place.position or "", place.since, place.position or "", flying=True)
    unknown = place.kind == "unknown" and place.since is not None
    words = "not known" if unknown else _WORDS.get(place.kind, place.kind)
    return Location("", "", place.since, place.text or words, flying=False)


def _registration(connection: sqlite3.Connection, msn: str, as_of: AsOf) -> str:
    return aircraft.registration(connection, msn, as_of) or msn


def _carriers(
    connection: sqlite3.Connection, rows: Iterable[Row], standing: Iterable[Row], as_of: AsOf
) -> tuple[Carrier, ...]:
    """Aircraft that carry standing fasteners now, then those that carried any while it stood, by registration."""
    now: dict[str, set[tuple[str, str, int]]] = {}
    for row in standing:
        if row.location.flying:
            now.setdefault(row.location.registration, set()).add(_fastener(row.reading))
    once: dict[str, set[tuple[str, str, int]]] = {}
    stays: dict[str, list[Stay]] = {}
    for row in rows:
        owner = row.reading.owner
        if owner not in stays:
            stays[owner] = _stays(connection, owner, as_of)
        if row.state in ("tight", "loosened", "apart") and row.reading.act == "tighten":
            for stay in stays[owner]:
                if stay.since < (row.ended or END_OF_TIME) and row.reading.at < stay.until:
                    once.setdefault(stay.registration, set()).add(_fastener(row.reading))
    past = {name: items - now.get(name, set()) for name, items in once.items()}
    return (
        *(Carrier(name, len(items), now=True) for name, items in sorted(now.items())),
        *(Carrier(name, len(items), now=False) for name, items in sorted(past.items()) if items),
    )


class Stay(NamedTuple):
    """How long an owner was on an aircraft: from `since` up to, not including, `until`."""

    registration: str
    since: Moment
    until: Moment


def _stays(connection: sqlite3.Connection, owner: str, as_of: AsOf) -> list[Stay]:
    """When an owner was on which aircraft; what belongs to an aircraft has always been there."""
    kind, _, name = owner.partition(" ")
    if kind == "aircraft":
        msn = name.partition(" ")[0]
        return [Stay(_registration(connection, msn, as_of), BEGINNING, END_OF_TIME)]
    moves = [each for each in assemblies.placements(connection, name, as_of) if each.act in MOVES]
    ends = [*(each.at for each in moves[1:]), END_OF_TIME]
    return [
        Stay(_registration(connection, each.aircraft, as_of), each.at, end)
        for each, end in zip(moves, ends, strict=False)
        if each.act == "fit" and each.aircraft
    ]
