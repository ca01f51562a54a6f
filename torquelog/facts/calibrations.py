"""Calibrations: what a certificate says of a tool, in pairs of indicated and reference, and its acceptance.

A percentage alone is never kept: documents divide by the reference or by the indication, with either sign.
"""

import sqlite3
from collections.abc import Iterable
from datetime import date
from fractions import Fraction
from typing import Any, Final, NamedTuple

from torquelog.clock import Moment
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.members import chosen, length_of, objects, target, torques_of
from torquelog.facts.rows import LATEST, AsOf, Mark, put, table
from torquelog.facts.strikes import stands
from torquelog.ledger.form import reference as entry_reference
from torquelog.torque.number import parse_number, parse_signed
from torquelog.torque.pair import DIRECTIONS, STATES, Pair
from torquelog.torque.units import Length, Torque

POINT: Final = (
    Member("state", "name", "as-found, as-left, or unchanged (found so and left so)"),
    Member("direction", "name", "cw or ccw"),
    Member("indicated", "quantity", "what the tool showed or was set to"),
    Member("reference", "quantity", "what the standard measured, in the same unit"),
    Member("repeat", "count", "which repetition of this indication, from 1"),
    optional("uncertainty", "quantity", "expanded uncertainty of the reference; absent: not given"),
    optional("k", "number", "its coverage factor; absent: not given"),
)

KINDS: Final = (
    Kind(
        "calibration",
        (
            Member("tool", "identifier", "the tool"),
            Member("certificate", "text", "the certificate's number"),
            optional("laboratory", "text", "who issued it; absent: not told"),
            optional("standard", "text", "the standard it was measured with; absent: not told"),
            optional(
                "tester", "identifier", "the registered tester it was measured with; absent: none of ours"
            ),
            Member("on", "date", "the day of the calibration, as left"),
            optional("found_on", "date", "the day of the results as found; absent: the same day"),
            optional(
                "due", "date", "the due date on it; absent: by the tool's interval. It can only shorten"
            ),
            optional("points", "object*", "the results; absent for a length or a ratio"),
            optional("length", "quantity", "the length measured of an adapter; absent: not measured"),
            optional("multiplier", "number", "the ratio measured of a multiplier; absent: not measured"),
            optional("edition", "text", "the standard it follows, with edition; absent: not told"),
            optional("decision", "name", "its decision rule; absent: simple acceptance"),
            optional("file", "hex", "SHA-256 of the file the results came from; absent: they were typed"),
            optional("why", "text", "a remark on it; absent: none"),
        ),
    ),
    Kind(
        "acceptance",
        (
            Member("calibration", "reference", "the certificate's entry; the tool is fit from now on"),
            optional("why", "text", "a remark on it; absent: none"),
        ),
    ),
    Kind(
        "withdrawal",
        (
            Member("calibration", "reference", "the certificate's entry; it counts no longer from now on"),
            Member("why", "text", "who withdrew it, and why"),
        ),
    ),
)

TABLES: Final = "\n".join(
    (
        table(
            "calibration",
            "tool TEXT NOT NULL, certificate TEXT NOT NULL, laboratory TEXT NOT NULL, standard TEXT, "
            "tester TEXT, made_on TEXT NOT NULL, found_on TEXT, due TEXT, length_value TEXT, "
            "length_unit TEXT, multiplier TEXT, edition TEXT, decision TEXT, file TEXT, why TEXT",
            indexes=("tool", "tester"),
        ),
        table(
            "calibration_point",
            "state TEXT NOT NULL, direction TEXT NOT NULL, unit TEXT NOT NULL, indicated TEXT NOT NULL, "
            "reference TEXT NOT NULL, repeat INTEGER NOT NULL, uncertainty TEXT, k TEXT",
            part=True,
        ),
        table(
            "acceptance",
            "calibration_station TEXT NOT NULL, calibration_number INTEGER NOT NULL, signer TEXT NOT NULL, "
            "why TEXT",
            indexes=("calibration_station, calibration_number",),
        ),
        table(
            "withdrawal",
            "calibration_station TEXT NOT NULL, calibration_number INTEGER NOT NULL, signer TEXT NOT NULL, "
            "why TEXT NOT NULL",
            indexes=("calibration_station, calibration_number",),
        ),
    )
)


class Point(NamedTuple):
    """One result of a calibration.

    Attributes:
        state: `as-found`, `as-left` or `unchanged`.
        direction: `cw` or `ccw`.
        indicated, reference: what the tool showed, and what the standard measured.
        repeat: which repetition, from 1.
        uncertainty: expanded uncertainty of the reference, or nothing.
        k: its coverage factor as text, or nothing.
    """

    state: str
    direction: str
    indicated: Torque
    reference: Torque
    repeat: int = 1
    uncertainty: Torque | None = None
    k: str | None = None


class Calibration(NamedTuple):
    """A certificate as recorded.

    Attributes:
        station, number: its entry.
        tool: the tool.
        certificate, laboratory: as on it; the laboratory is "" where it was not told.
        on: the day of the calibration.
        due: the due date on it, or nothing.
        points: the results, where they were asked for.
        recorded: when it was recorded.
        accepted: when it was accepted here, or nothing.
        accepted_by: who did, or "".
        length, multiplier: what was measured of an adapter, or nothing.
        found_on: the day of the results as found, or nothing for the same day.
        standard, tester, edition, decision, file, why: as told, "" where not.
        withdrawn: when it was withdrawn, or nothing.
    """

    station: str
    number: int
    tool: str
    certificate: str
    laboratory: str
    on: date
    due: date | None
    points: tuple[Point, ...]
    recorded: Moment
    accepted: Moment | None = None
    accepted_by: str = ""
    length: Length | None = None
    multiplier: Fraction | None = None
    found_on: date | None = None
    standard: str = ""
    tester: str = ""
    edition: str = ""
    decision: str = ""
    file: str = ""
    why: str = ""
    withdrawn: Moment | None = None

    @property
    def reference(self) -> str:
        """Its entry as people name it, `QHR-000123`."""
        return entry_reference(self.station, self.number)


class Told(NamedTuple):
    """That there is a certificate: when it was recorded, its entry, and its day as text."""

    recorded: Moment
    station: str
    number: int
    made_on: str

    def bare(self, tool: str) -> Calibration:
        """A certificate of which nothing else is known, not even that it was accepted."""
        on = date.fromisoformat(self.made_on)
        return Calibration(self.station, self.number, tool, "", "", on, None, (), self.recorded)


def _calibration_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    length = length_of("calibration", body["length"]) if "length" in body else None
    put(
        connection, "calibration", mark, mark.recorded,
        tool=body["tool"], certificate=body["certificate"], laboratory=body.get("laboratory", ""),
        standard=body.get("standard"), tester=body.get("tester"),
        made_on=str(date.fromisoformat(body["on"])), found_on=body.get("found_on"), due=body.get("due"),
        length_value=length and length.value, length_unit=length and length.unit,
        multiplier=body.get("multiplier"), edition=body.get("edition"), decision=body.get("decision"),
        file=body.get("file"), why=body.get("why"),
    )  # fmt: skip
    for part, point in enumerate(objects("calibration", body, "points", POINT)):
        _put_point(connection, mark, part, point)


def _put_point(connection: sqlite3.Connection, mark: Mark, part: int, point: Body) -> None:
    indicated, reference, uncertainty = torques_of(
        "calibration", point, ("indicated", "reference", "uncertainty")
    )
    assert indicated is not None  # noqa: S101  a needed member, checked before
    assert reference is not None  # noqa: S101  the same
    put(
        connection, "calibration_point", mark, mark.recorded,
        part=part, state=chosen("calibration", point, "state", STATES),
        direction=chosen("calibration", point, "direction", DIRECTIONS), unit=indicated.unit,
        indicated=indicated.value, reference=reference.value, repeat=int(point["repeat"]),
        uncertainty=uncertainty and uncertainty.value, k=point.get("k"),
    )  # fmt: skip


def _acceptance_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    station, number = target(body["calibration"])
    put(
        connection, "acceptance", mark, mark.recorded,
        calibration_station=station, calibration_number=number, signer=mark.signer, why=body.get("why"),
    )  # fmt: skip


def _withdrawal_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    station, number = target(body["calibration"])
    put(
        connection, "withdrawal", mark, mark.recorded,
        calibration_station=station, calibration_number=number, signer=mark.signer, why=body["why"],
    )  # fmt: skip


ROWS: Final = {
    "calibration": _calibration_rows,
    "acceptance": _acceptance_rows,
    "withdrawal": _withdrawal_rows,
}


def _accepted(column: str) -> str:
    """SQL for a column of the first acceptance that stands."""
    return (
        f"(SELECT acceptance.{column} FROM acceptance WHERE calibration_station = calibration.station "
        "AND calibration_number = calibration.number AND acceptance.at <= :at AND acceptance.known <= :known "
        f"AND {stands('acceptance')} ORDER BY acceptance.at, acceptance.recorded, acceptance.station, "
        "acceptance.number LIMIT 1)"
    )


_COLUMNS: Final = (
    "station, number, tool, certificate, laboratory, made_on, due, recorded, length_value, length_unit, "
    "multiplier, found_on, standard, tester, edition, decision, file, why, "
    "(SELECT min(withdrawal.recorded) FROM withdrawal WHERE calibration_station = calibration.station "
    "AND calibration_number = calibration.number AND withdrawal.at <= :at AND withdrawal.known <= :known "
    f"AND {stands('withdrawal')}), {_accepted('recorded')}, {_accepted('signer')}"
)
_OF_TOOL: Final = (
    f"SELECT {_COLUMNS} FROM calibration WHERE tool = :tool AND at <= :at AND known <= :known "
    f"AND {stands('calibration')} ORDER BY at, recorded, station, number"
)
_TOLD: Final = (
    "SELECT recorded, station, number, made_on FROM calibration WHERE tool = :tool AND at <= :at AND known <= :known "
    f"AND {stands('calibration')} ORDER BY made_on DESC, recorded DESC, station DESC, number DESC"
)
_ONE: Final = (
    f"SELECT {_COLUMNS} FROM calibration WHERE station = :station AND number = :number AND known <= :known "
    f"AND {stands('calibration')}"
)
_POINTS: Final = (
    "SELECT state, direction, unit, indicated, reference, repeat, uncertainty, k FROM calibration_point "
    "WHERE station = ? AND number = ? ORDER BY part"
)


def calibrations(
    connection: sqlite3.Connection, tool: str, as_of: AsOf = LATEST, *, points: bool = True
) -> tuple[Calibration, ...]:
    """Every certificate of a tool that stands, in the order of recording.

    Args:
        connection: the record.
        tool: the tool's number.
        as_of: `at` bounds when a certificate and its acceptance were recorded.
        points: whether the results are wanted; a judgement asks for those of one certificate only.
    """
    rows = connection.execute(_OF_TOOL, {"tool": tool, "at": as_of.at, "known": as_of.known}).fetchall()
    found = map(_calibration, rows)
    return tuple(with_points(connection, each) if points else each for each in found)


def told(connection: sqlite3.Connection, tool: str, as_of: AsOf = LATEST) -> list[Told]:
    """Every certificate of a tool that stands, by no more than its entry and its day, the newest day first."""
    named = {"tool": tool, "at": as_of.at, "known": as_of.known}
    return [Told(*row) for row in connection.execute(_TOLD, named)]


def calibration(
    connection: sqlite3.Connection, station: str, number: int, as_of: AsOf = LATEST, *, points: bool = True
) -> Calibration | None:
    """One certificate by its entry; nothing where there is none or it is struck.

    Args:
        connection: the record.
        station, number: the entry.
        as_of: `at` bounds when its acceptance was recorded.
        points: whether the results are wanted.
    """
    named = {"station": station, "number": number, "at": as_of.at, "known": as_of.known}
    row = connection.execute(_ONE, named).fetchone()
    if row is None:
        return None
    return with_points(connection, _calibration(row)) if points else _calibration(row)


def with_points(connection: sqlite3.Connection, calibration: Calibration) -> Calibration:
    """The same certificate with its results."""
    return calibration._replace(points=results(connection, calibration.station, calibration.number))


def results(connection: sqlite3.Connection, station: str, number: int) -> tuple[Point, ...]:
    """The results of a certificate by its entry."""
    return tuple(_point(*row) for row in connection.execute(_POINTS, (station, number)))


def pairs(points: Iterable[Point]) -> tuple[Pair, ...]:
    """The results as the error curve takes them, in newton metres."""
    return tuple(
        Pair(
            indicated=point.indicated.newton_metres,
            reference=point.reference.newton_metres,
            direction=point.direction,
            state=point.state,
            repeat=point.repeat,
            uncertainty=point.uncertainty.newton_metres if point.uncertainty else None,
            k=parse_number(point.k) if point.k else None,
        )
        for point in points
    )


def _calibration(row: tuple[Any, ...]) -> Calibration:
    return Calibration(
        station=row[0],
        number=row[1],
        tool=row[2],
        certificate=row[3],
        laboratory=row[4],
        on=date.fromisoformat(row[5]),
        due=date.fromisoformat(row[6]) if row[6] else None,
        points=(),
        recorded=row[7],
        accepted=row[19],
        accepted_by=row[20] or "",
        length=Length(row[8], row[9]) if row[8] else None,
        multiplier=parse_signed(row[10]) if row[10] else None,
        found_on=date.fromisoformat(row[11]) if row[11] else None,
        standard=row[12] or "",
        tester=row[13] or "",
        edition=row[14] or "",
        decision=row[15] or "",
        file=row[16] or "",
        why=row[17] or "",
        withdrawn=row[18],
    )


def _point(
    state: str,
    direction: str,
    unit: str,
    indicated: str,
    reference: str,
    repeat: int,
    uncertainty: str | None,
    k: str | None,
) -> Point:
    return Point(
        state,
        direction,
        Torque(indicated, unit),
        Torque(reference, unit),
        repeat,
        Torque(uncertainty, unit) if uncertainty else None,
        k,
    )
