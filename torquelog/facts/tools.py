"""Tools: wrenches, adapters and testers as they are registered.

What counts for a number is the earliest registration of it anywhere; a number is never used twice.
"""

import sqlite3
from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Any, Final, NamedTuple

from torquelog.clock import Period, parse_period
from torquelog.facts import limits_told
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.limits_told import Told
from torquelog.facts.members import chosen, length_of, objects, percent_of, torques_of
from torquelog.facts.rows import LATEST, AsOf, Mark, put, table
from torquelog.facts.strikes import stands
from torquelog.ledger.form import reference
from torquelog.torque.number import parse_signed
from torquelog.torque.units import Length, Torque

SORTS: Final = ("wrench", "adapter", "tester")
TYPES: Final = ("setting", "indicating", "preset")
OWNERS: Final = ("company", "personal", "loan")
USES: Final = ("before-use", "indication-only")

SCALE: Final = (
    Member("low", "quantity", "where the scale begins"),
    Member("high", "quantity", "where it ends; the same as `low` for a tool preset to one torque"),
    optional("graduation", "quantity", "the smallest step that can be set or read; absent: it has none"),
)

KINDS: Final = (
    Kind(
        "tool",
        (
            Member("tool", "identifier", "the number on its label"),
            Member("sort", "name", "wrench, adapter or tester"),
            optional("type", "name", "setting, indicating or preset; absent for adapters and testers"),
            optional("scales", "object*", "each scale: low, high, graduation; absent for adapters"),
            optional(
                "lever", "quantity", "from the centre of the square to where the hand pulls; absent: none"
            ),
            optional("length", "quantity", "of an adapter, centre to centre; absent: it is a multiplier"),
            optional("angle", "number", "of an adapter to the lever, in degrees; absent: 0"),
            optional("multiplier", "number", "torque out of a multiplier per torque in; absent: it is none"),
            optional("accuracy", "quantity", "largest deviation allowed, in percent; absent: not told"),
            optional("every", "text", "interval of calibration; absent: the certificates alone say when"),
            optional("cycles", "count", "uses allowed after a calibration; absent: not limited"),
            optional("maker", "text", "who made it; absent: not told"),
            optional("serial", "text", "the maker's serial number; absent: none"),
            optional("owner", "name", "company, personal or loan; absent: company"),
            optional("place", "text", "where it is kept in the crib; absent: no place of its own"),
            optional("use", "name", "before-use (checked before use) or indication-only; absent: neither"),
        ),
    ),
)

TABLES: Final = "\n".join(
    (
        table(
            "tool",
            "tool TEXT NOT NULL, sort TEXT NOT NULL, type TEXT, lever_value TEXT, lever_unit TEXT, "
            "length_value TEXT, length_unit TEXT, angle TEXT, multiplier TEXT, accuracy TEXT, every TEXT, "
            "cycles INTEGER, maker TEXT, serial TEXT, owner TEXT NOT NULL, place TEXT, use TEXT",
            indexes=("tool", "sort, tool", "maker, serial"),
        ),
        table(
            "tool_scale",
            "unit TEXT NOT NULL, low TEXT NOT NULL, high TEXT NOT NULL, graduation TEXT",
            part=True,
        ),
    )
)


class Scale(NamedTuple):
    """One scale of a tool: its unit, its ends, and its smallest step where it has one."""

    unit: str
    low: Torque
    high: Torque
    graduation: Torque | None


class Tool(NamedTuple):
    """A tool as registered.

    Attributes:
        tool: its number.
        sort: `wrench`, `adapter` or `tester`.
        type: `setting`, `indicating`, `preset`, or "" for what is no wrench.
        scales: its scales; none for an adapter.
        lever: centre of the square to where the hand pulls; nothing for a screwdriver or a T-handle.
        length: of an adapter; negative where it reaches back to the hand.
        angle: of an adapter to the lever in degrees; nothing is 0.
        multiplier: torque out per torque in.
        accuracy: largest deviation allowed (1/25 is 4 %), or nothing where it was not told.
        every: interval of calibration, as registered or as quality set it later.
        cycles: uses allowed after a calibration, in the same way.
        maker, serial, owner, place: as told, "" where not; owner is `company`, `personal` or `loan`.
        use: "", `before-use` or `indication-only`.
        reference: the entry that registered it, `QHR-000003`.
    """

    tool: str
    sort: str
    type: str
    scales: tuple[Scale, ...]
    lever: Length | None
    length: Length | None
    angle: Fraction | None
    multiplier: Fraction | None
    accuracy: Fraction | None
    every: Period | None
    cycles: int | None
    maker: str
    serial: str
    owner: str
    place: str
    use: str
    reference: str


def _tool_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    lever = length_of("tool", body["lever"]) if "lever" in body else None
    length = length_of("tool", body["length"]) if "length" in body else None
    accuracy = percent_of("tool", body["accuracy"]) if "accuracy" in body else None
    put(
        connection, "tool", mark, mark.recorded,
        tool=body["tool"], sort=chosen("tool", body, "sort", SORTS),
        type=chosen("tool", body, "type", TYPES) if "type" in body else None,
        lever_value=lever and lever.value, lever_unit=lever and lever.unit,
        length_value=length and length.value, length_unit=length and length.unit,
        angle=body.get("angle"), multiplier=body.get("multiplier"),
        accuracy=None if accuracy is None else body["accuracy"]["value"],
        every=str(parse_period(body["every"])) if "every" in body else None,
        cycles=int(body["cycles"]) if "cycles" in body else None,
        maker=body.get("maker"), serial=body.get("serial"),
        owner=chosen("tool", body, "owner", OWNERS) if "owner" in body else "company",
        place=body.get("place"), use=chosen("tool", body, "use", USES) if "use" in body else None,
    )  # fmt: skip
    for part, scale in enumerate(objects("tool", body, "scales", SCALE)):
        _put_scale(connection, mark, part, scale)


def _put_scale(connection: sqlite3.Connection, mark: Mark, part: int, scale: Body) -> None:
    _, _, graduation = torques_of("tool", scale, ("low", "high", "graduation"))
    put(
        connection, "tool_scale", mark, mark.recorded,
        part=part, unit=scale["low"]["unit"], low=scale["low"]["value"], high=scale["high"]["value"],
        graduation=graduation and graduation.value,
    )  # fmt: skip


ROWS: Final = {"tool": _tool_rows}

_COLUMNS: Final = (
    "station, number, tool, sort, type, lever_value, lever_unit, length_value, length_unit, angle, "
    "multiplier, accuracy, every, cycles, maker, serial, owner, place, use"
)
_STANDING: Final = f"known <= :known AND {stands('tool')} ORDER BY recorded, station, number"
_BY_NUMBER: Final = f"SELECT {_COLUMNS} FROM tool WHERE tool = :tool AND {_STANDING} LIMIT 1"
_OF_SORT: Final = (
    f"SELECT {_COLUMNS} FROM tool WHERE tool IN (SELECT tool FROM tool WHERE sort = :sort) AND {_STANDING}"
)
_SCALES: Final = (
    "SELECT unit, low, high, graduation FROM tool_scale WHERE station = ? AND number = ? ORDER BY part"
)
_SCALES_OF_SORT: Final = (
    "SELECT station, number, unit, low, high, graduation FROM tool_scale WHERE (station, number) IN "
    "(SELECT station, number FROM tool WHERE sort = :sort) ORDER BY station, number, part"
)
_BY_SERIAL: Final = (
    "SELECT tool FROM tool WHERE maker = :maker COLLATE NOCASE AND serial = :serial COLLATE NOCASE "
    f"AND {_STANDING} LIMIT 1"
)


def tool(connection: sqlite3.Connection, number: str, as_of: AsOf = LATEST) -> Tool | None:
    """The tool with this number, of whatever sort, as first registered, with its interval and cycle limit by then."""
    row = connection.execute(_BY_NUMBER, {"tool": number, "known": as_of.known}).fetchone()
    if row is None:
        return None
    found = _tool(row, [_scale(*scale) for scale in connection.execute(_SCALES, row[:2])])
    return _limited(found, limits_told.told(connection, number, as_of))


def _limited(found: Tool, changes: Sequence[Told]) -> Tool:
    if not changes:
        return found
    every, cycles = limits_told.limited(found.every, found.cycles, changes)
    return found._replace(every=every, cycles=cycles)


def tools(connection: sqlite3.Connection, sort: str, as_of: AsOf = LATEST) -> list[Tool]:
    """Every tool of one sort, retired ones too, by number."""
    first: dict[str, tuple[Any, ...]] = {}
    for row in connection.execute(_OF_SORT, {"sort": sort, "known": as_of.known}):
        first.setdefault(row[2], row)
    scales: dict[tuple[str, int], list[Scale]] = {}
    for station, number, *scale in connection.execute(_SCALES_OF_SORT, {"sort": sort}):
        scales.setdefault((station, number), []).append(_scale(*scale))
    changes: dict[str, list[Told]] = {}
    for told in limits_told.every_change(connection, as_of):
        changes.setdefault(told.tool, []).append(told)
    return [
        _limited(_tool(row, scales.get(row[:2], [])), changes.get(name, []))
        for name, row in sorted(first.items())
        if row[3] == sort
    ]


def by_serial(connection: sqlite3.Connection, maker: str, serial: str, as_of: AsOf = LATEST) -> str | None:
    """The number of the tool with this maker's serial number, if one is registered."""
    row = connection.execute(_BY_SERIAL, {"maker": maker, "serial": serial, "known": as_of.known}).fetchone()
    return row[0] if row else None


def _tool(row: tuple[Any, ...], scales: Iterable[Scale]) -> Tool:
    return Tool(
        tool=row[2],
        sort=row[3],
        type=row[4] or "",
        scales=tuple(scales),
        lever=Length(row[5], row[6]) if row[5] else None,
        length=Length(row[7], row[8]) if row[7] else None,
        angle=parse_signed(row[9]) if row[9] else None,
        multiplier=parse_signed(row[10]) if row[10] else None,
        accuracy=parse_signed(row[11]) / 100 if row[11] else None,
        every=parse_period(row[12]) if row[12] else None,
        cycles=row[13],
        maker=row[14] or "",
        serial=row[15] or "",
        owner=row[16],
        place=row[17] or "",
        use=row[18] or "",
        reference=reference(row[0], row[1]),
    )


def _scale(unit: str, low: str, high: str, graduation: str | None) -> Scale:
    return Scale(
        unit, Torque(low, unit), Torque(high, unit), Torque(graduation, unit) if graduation else None
    )
