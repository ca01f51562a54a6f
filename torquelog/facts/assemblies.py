"""Assemblies: serialised parts such as wheels and brakes, and where each one is or was.

A place is not stored: it is what the placements on record add up to, as of a moment. They may arrive late and
in any order. Fitting an assembly elsewhere takes it from where it was, whether or not somebody recorded the
removal.
"""

import sqlite3
from collections.abc import Iterable
from typing import Final, NamedTuple

from torquelog.clock import Moment, from_offset_text
from torquelog.errors import TorquelogError
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.rows import IN_ORDER, LATEST, AsOf, Mark, put, table
from torquelog.facts.strikes import stands

ACTS: Final = ("fit", "remove", "move", "take-apart", "hold", "release")
HOLDS: Final = "'hold', 'release'"
"""The acts that hold an assembly back or let it go, as SQL."""

MOVES: Final = ("fit", "remove", "move", "take-apart")
"""The acts that change where an assembly is; the others say whether it may be fitted."""

NAMED_PLACES: Final = ("stores", "shop", "scrap")

KINDS: Final = (
    Kind(
        "assembly",
        (
            Member("part", "identifier", "the part number"),
            Member("serial", "identifier", "the serial number, unique with its part number"),
            Member("kind", "name", "what it is: wheel, brake, …"),
        ),
    ),
    Kind(
        "placement",
        (
            Member("act", "name", "fit, remove, move, take-apart, hold or release"),
            Member("part", "identifier", "the assembly's part number"),
            Member("serial", "identifier", "the assembly's serial number"),
            Member("at", "moment", "when it was done"),
            optional(
                "aircraft", "identifier", "msn of the aircraft, for fit and remove; absent: no aircraft"
            ),
            optional("position", "text", "where on the aircraft; absent: no aircraft"),
            optional("to", "text", "stores, shop, scrap, or another place; absent: not said"),
            optional("why", "text", "the reason; absent: none was asked"),
        ),
    ),
)

TABLES: Final = "\n".join(
    (
        table(
            "assembly",
            "part_number TEXT NOT NULL, serial TEXT NOT NULL, sort TEXT NOT NULL",
            indexes=("serial",),
        ),
        table(
            "placement",
            "act TEXT NOT NULL, assembly TEXT NOT NULL, aircraft TEXT, position TEXT, destination TEXT, "
            "why TEXT",
            indexes=("assembly, at", "aircraft, position"),
        ),
        # Most assemblies are never held: that is to be seen without reading all their moves.
        f"CREATE INDEX placement_held ON placement (assembly, at) WHERE act IN ({HOLDS});",
    )
)


class Assembly(NamedTuple):
    """An assembly: part number, serial number, and what sort of thing it is."""

    part: str
    serial: str
    sort: str

    @property
    def key(self) -> str:
        """Part and serial number with one blank between them: how facts name the assembly."""
        return f"{self.part} {self.serial}"


class Place(NamedTuple):
    """Where an assembly is.

    Attributes:
        kind: `aircraft`, `stores`, `shop`, `other`, `scrap`, `apart` or `unknown`.
        aircraft: msn, where it is fitted; else nothing.
        position: where on that aircraft; else nothing.
        text: the other place in words; for `unknown`, what was last said; may be empty.
        since: from when; nothing where nobody ever said where it is.
        held: why it must not be fitted; nothing where nobody holds it back.
    """

    kind: str
    aircraft: str | None = None
    position: str | None = None
    text: str = ""
    since: Moment | None = None
    held: str | None = None


class Placement(NamedTuple):
    """One placement on record: when, its entry, what was done with which assembly, and where."""

    at: Moment
    recorded: Moment
    station: str
    number: int
    act: str
    assembly: str
    aircraft: str | None
    position: str | None
    destination: str | None
    why: str | None


class Ending(NamedTuple):
    """An act that ends what was tight: when, its entry, the assembly concerned, and what was done with it."""

    at: Moment
    recorded: Moment
    station: str
    number: int
    assembly: str
    act: str


def key_of(part: str, serial: str) -> str:
    """How facts name an assembly: part and serial number with one blank between them."""
    return f"{part} {serial}"


def position_of(text: str) -> str:
    """A position as it is kept and compared: blanks collapsed, lower case."""
    return " ".join(text.split()).lower()


def assembly_owner(key: str) -> str:
    """The owner text of fasteners that travel with an assembly."""
    return f"assembly {key}"


def position_owner(msn: str, position: str) -> str:
    """The owner text of fasteners that stay with an aircraft's position."""
    return f"aircraft {msn} {position}"


def _assembly_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    put(
        connection, "assembly", mark, mark.recorded,
        part_number=body["part"], serial=body["serial"], sort=body["kind"],
    )  # fmt: skip


def _placement_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    put(
        connection, "placement", mark, from_offset_text(body["at"]),
        act=body["act"], assembly=key_of(body["part"], body["serial"]), aircraft=body.get("aircraft"),
        position=body.get("position"), destination=body.get("to"), why=body.get("why"),
    )  # fmt: skip


ROWS: Final = {"assembly": _assembly_rows, "placement": _placement_rows}

_REGISTER: Final = (
    "SELECT part_number, serial, sort FROM assembly WHERE {condition} AND known <= :known AND "
    + stands("assembly")
    + " ORDER BY recorded, station, number"
)


def assembly(connection: sqlite3.Connection, key: str, as_of: AsOf = LATEST) -> Assembly | None:
    """The assembly with this key, as it was first put on record anywhere."""
    part, _, serial = key.partition(" ")
    row = connection.execute(
        _REGISTER.format(condition="part_number = :part AND serial = :serial"),
        {"part": part, "serial": serial, "known": as_of.known},
    ).fetchone()
    return Assembly(*row) if row else None


def find(connection: sqlite3.Connection, name: str, as_of: AsOf = LATEST) -> Assembly | None:
    """The assembly that a person named: by serial number, or by part and serial number with a blank between.

    Raises:
        TorquelogError: `ambiguous` where a serial number belongs to several part numbers.
    """
    if " " in name:
        return assembly(connection, name, as_of)
    rows = connection.execute(
        _REGISTER.format(condition="serial = :serial"), {"serial": name, "known": as_of.known}
    )
    found: dict[str, Assembly] = {}
    for row in rows:
        each = Assembly(*row)
        found.setdefault(each.key, each)
    if len(found) > 1:
        raise TorquelogError(
            "ambiguous",
            f"Several assemblies have the serial number {name}: {', '.join(found)}.",
            hint=f'Name one with its part number, as in "{next(iter(found))}".',
        )
    return next(iter(found.values()), None)


def assemblies(connection: sqlite3.Connection, as_of: AsOf = LATEST) -> list[Assembly]:
    """Every assembly on record, by serial and part number."""
    found: dict[str, Assembly] = {}
    for row in connection.execute(_REGISTER.format(condition="1"), {"known": as_of.known}):
        each = Assembly(*row)
        found.setdefault(each.key, each)
    return sorted(found.values(), key=lambda each: (each.serial, each.part))


_PLACEMENTS: Final = (
    "SELECT at, recorded, station, number, act, assembly, aircraft, position, destination, why "
    "FROM placement WHERE {condition} AND at <= :at AND known <= :known AND "
    + stands("placement")
    + " ORDER BY {order}"
)


def placements(connection: sqlite3.Connection, key: str, as_of: AsOf = LATEST) -> tuple[Placement, ...]:
    """Everything on record about where an assembly went, oldest first."""
    rows = connection.execute(
        _PLACEMENTS.format(condition="assembly = :key", order=IN_ORDER),
        {"key": key, "at": as_of.at, "known": as_of.known},
    )
    return tuple(map(Placement._make, rows))


_MOVED: Final = f"act IN ({', '.join(repr(act) for act in sorted(MOVES))})"
_SINCE: Final = (
    f"assembly = :key AND {_MOVED} AND at >= coalesce((SELECT before.at FROM placement AS before "
    f"WHERE before.assembly = :key AND before.{_MOVED} AND before.at <= :since AND before.known <= :known "
    f"AND {stands('before')} ORDER BY before.at DESC LIMIT 1), :since)"
)


def moves_since(
    connection: sqlite3.Connection, key: str, since: Moment, as_of: AsOf = LATEST
) -> tuple[Placement, ...]:
    """Where an assembly was at a moment, and where it went from then on, oldest first; nothing older is read."""
    rows = connection.execute(
        _PLACEMENTS.format(condition=_SINCE, order=IN_ORDER),
        {"key": key, "since": since, "at": as_of.at, "known": as_of.known},
    )
    return tuple(map(Placement._make, rows))


_NEWEST: Final = (
    "SELECT at, recorded, station, number, act, assembly, aircraft, position, destination, why "
    "FROM placement WHERE assembly = :key AND act IN ({acts}) AND at <= :at AND known <= :known AND "
    + stands("placement")
    + " ORDER BY at DESC, recorded DESC, station DESC, number DESC LIMIT 1"
)
_NEWEST_MOVE: Final = _NEWEST.format(acts="'fit', 'remove', 'move', 'take-apart'")
_NEWEST_HOLD: Final = _NEWEST.format(acts=HOLDS)


def place(connection: sqlite3.Connection, key: str, as_of: AsOf = LATEST) -> Place:
    """Where an assembly is, and whether it is held back, as of a moment.

    The newest move says where, and the newest hold or release says whether: nothing older is read.
    """
    bound = {"key": key, "at": as_of.at, "known": as_of.known}
    rows = (connection.execute(query, bound).fetchone() for query in (_NEWEST_MOVE, _NEWEST_HOLD))
    return place_after(Placement(*row) for row in rows if row)


def place_after(history: Iterable[Placement]) -> Place:
    """Where an assembly is after these placements of it, which are in order."""
    where = Place("unknown")
    for each in history:
        if each.act == "hold":
            where = where._replace(held=each.why or "")
        elif each.act == "release":
            where = where._replace(held=None)
        else:
            where = _arrived(each)._replace(held=where.held)
    return where


def _arrived(each: Placement) -> Place:
    if each.act == "fit":
        return Place("aircraft", each.aircraft, each.position, since=each.at)
    if each.act == "take-apart":
        return Place("apart", since=each.at)
    if each.destination is None:
        return Place("unknown", since=each.at)
    if each.destination in NAMED_PLACES:
        return Place(each.destination, since=each.at)
    return Place("other", text=each.destination, since=each.at)


def fitted(
    connection: sqlite3.Connection, msn: str, position: str | None = None, as_of: AsOf = LATEST
) -> list[Assembly]:
    """The assemblies at a position of an aircraft (or, without one, anywhere on it), by serial number.

    Of each that was ever fitted there only the newest move is read.
    """
    found = []
    for key in sorted({each.assembly for each in _fits(connection, msn, position, as_of)}):
        where = place(connection, key, as_of)
        if where.aircraft == msn and position in (None, where.position):
            known = assembly(connection, key, as_of)
            found += [known] if known else []
    return sorted(found, key=lambda each: (each.serial, each.part))


def _fits(
    connection: sqlite3.Connection, msn: str, position: str | None, as_of: AsOf
) -> tuple[Placement, ...]:
    """Whatever was fitted there, oldest first."""
    there = "aircraft = :msn AND act = 'fit'" + (" AND position = :position" if position is not None else "")
    rows = connection.execute(
        _PLACEMENTS.format(condition=there, order=IN_ORDER),
        {"msn": msn, "position": position, "at": as_of.at, "known": as_of.known},
    )
    return tuple(map(Placement._make, rows))


_NEXT_MOVE: Final = (
    _PLACEMENTS.format(
        condition=f"assembly = :assembly AND {_MOVED} AND at >= :after "
        "AND (at, recorded, station, number) > (:after, :recorded, :station, :number)",
        order=IN_ORDER,
    )
    + " LIMIT 1"
)


def _next_move(connection: sqlite3.Connection, each: Placement, as_of: AsOf) -> Placement | None:
    """Where an assembly went after one of its moves."""
    bound = {
        "assembly": each.assembly, "after": each.at, "recorded": each.recorded, "station": each.station,
        "number": each.number, "at": as_of.at, "known": as_of.known,
    }  # fmt: skip
    row = connection.execute(_NEXT_MOVE, bound).fetchone()
    return Placement(*row) if row else None


def endings(connection: sqlite3.Connection, owner: str, as_of: AsOf = LATEST) -> tuple[Ending, ...]:
    """The acts that end tightness for an owner, oldest first.

    For an assembly: taking it apart, and scrapping it. For an aircraft's position: whatever came there or
    left, with the assembly concerned; which group it matters to is the caller's to decide.
    """
    kind, _, name = owner.partition(" ")
    if kind == "assembly":
        own = placements(connection, name, as_of)
        return tuple(_ending(each) for each in own if _ends_assembly(each))
    msn, _, position = name.partition(" ")
    found: set[Ending] = set()
    for each in _fits(connection, msn, position, as_of):
        left = _next_move(connection, each, as_of)
        found.update(map(_ending, [each, left] if left else [each]))
    return tuple(sorted(found))


_LAST_ENDING: Final = (
    "SELECT at, recorded, station, number, act, assembly, aircraft, position, destination, why "
    "FROM placement WHERE assembly = :key AND (act = 'take-apart' OR destination = 'scrap') "
    f"AND at <= :at AND known <= :known AND {stands('placement')} "
    "ORDER BY at DESC, recorded DESC, station DESC, number DESC LIMIT 1"
)


def last_ending(connection: sqlite3.Connection, key: str, as_of: AsOf = LATEST) -> Ending | None:
    """The newest of the endings of an assembly, or nothing; the older ones are not read."""
    row = connection.execute(_LAST_ENDING, {"key": key, "at": as_of.at, "known": as_of.known}).fetchone()
    return _ending(Placement(*row)) if row else None


def _ends_assembly(each: Placement) -> bool:
    return each.act == "take-apart" or each.destination == "scrap"


def _ending(each: Placement) -> Ending:
    return Ending(each.at, each.recorded, each.station, each.number, each.assembly, each.act)
