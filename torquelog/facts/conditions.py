"""Conditions: what befell a tool between calibrations, its quarantine, and its restrictions."""

import sqlite3
from typing import Any, Final, NamedTuple

from torquelog.clock import Moment
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.members import chosen, torque_of, when
from torquelog.facts.rows import LATEST, AsOf, Mark, put, table
from torquelog.facts.strikes import stands
from torquelog.torque.units import Torque

FAILED_CHECK: Final = "check-failed"
"""A check on a tester that the tool did not pass; told by that check, not by a report."""

REPORTS: Final = ("dropped", "overloaded", "damaged", "repaired", "lost", "found")

EVENTS: Final = ("dropped", "overloaded", "damaged", "repaired", FAILED_CHECK)
"""What ends a calibration."""

KINDS: Final = (
    Kind(
        "report",
        (
            Member("tool", "identifier", "the tool"),
            Member("what", "name", "dropped, overloaded, damaged, repaired, lost or found"),
            optional("at", "moment", "when; absent: when recorded. A finding counts from its recording"),
            optional("why", "text", "what happened; absent: not told"),
        ),
        strikable=False,
    ),
    Kind(
        "quarantine",
        (
            Member("tool", "identifier", "the tool, not to be used until released"),
            Member("why", "text", "the reason"),
            optional("at", "moment", "since when; absent: when recorded"),
        ),
        strikable=False,
    ),
    Kind(
        "quarantine-release",
        (
            Member("tool", "identifier", "the tool, released from when this is recorded"),
            Member("why", "text", "the reason"),
            optional(
                "at", "moment", "when it was looked at; absent: when recorded, which it counts from anyway"
            ),
        ),
    ),
    Kind(
        "restriction",
        (
            Member("tool", "identifier", "the tool"),
            optional("low", "quantity", "not to be used below; absent: no such bound"),
            optional("high", "quantity", "not to be used above; absent: no such bound"),
            optional("direction", "name", "the only direction allowed, cw or ccw; absent: both"),
            optional("lift", "yes", "ends every restriction from when this is recorded; absent: adds one"),
            optional("at", "moment", "since when; absent: when recorded"),
            Member("why", "text", "the reason"),
        ),
    ),
)

TABLES: Final = table(
    "condition",
    "tool TEXT NOT NULL, what TEXT NOT NULL, low_value TEXT, low_unit TEXT, high_value TEXT, high_unit TEXT, "
    "direction TEXT, signer TEXT NOT NULL, why TEXT",
    indexes=("tool, at", "what, at"),
)


class Condition(NamedTuple):
    """One fact about a tool's condition.

    Attributes:
        what: one of `REPORTS`, or `check-failed`, `quarantined`, `released`, `restricted`, `unrestricted`.
        at: since when it counts.
        recorded: when it was recorded.
        why: the reason or what happened, or "".
        detail: for a restriction, its bounds in words; else "".
        low, high: a restriction's bounds, or nothing.
        direction: a restriction's only direction, or "".
        station, number: the entry.
        signer: who signed.
    """

    what: str
    at: Moment
    recorded: Moment
    why: str = ""
    detail: str = ""
    low: Torque | None = None
    high: Torque | None = None
    direction: str = ""
    station: str = ""
    number: int = 0
    signer: str = ""


def _put(connection: sqlite3.Connection, mark: Mark, at: Moment, body: Body, what: str) -> None:
    low = torque_of("restriction", body["low"]) if "low" in body else None
    high = torque_of("restriction", body["high"]) if "high" in body else None
    put(
        connection, "condition", mark, at,
        tool=body["tool"], what=what,
        low_value=low and low.value, low_unit=low and low.unit,
        high_value=high and high.value, high_unit=high and high.unit,
        direction=chosen("restriction", body, "direction", ("cw", "ccw")) if "direction" in body else None,
        signer=mark.signer, why=body.get("why"),
    )  # fmt: skip


def put_condition(
    connection: sqlite3.Connection, mark: Mark, at: Moment, tool: str, what: str, why: str
) -> None:
    """Write a condition that an entry of another kind brings with it."""
    _put(connection, mark, at, {"tool": tool, "why": why}, what)


def _report_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    what = chosen("report", body, "what", REPORTS)
    # What makes a tool good again never counts from earlier than it was told.
    _put(connection, mark, mark.recorded if what == "found" else when(mark, body), body, what)


def _quarantine_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    _put(connection, mark, when(mark, body), body, "quarantined")


def _release_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    _put(connection, mark, mark.recorded, body, "released")


def _restriction_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    if "lift" in body:
        _put(connection, mark, mark.recorded, body, "unrestricted")
    else:
        _put(connection, mark, when(mark, body), body, "restricted")


ROWS: Final = {
    "report": _report_rows,
    "quarantine": _quarantine_rows,
    "quarantine-release": _release_rows,
    "restriction": _restriction_rows,
}

_OF_TOOL: Final = (
    "SELECT what, at, recorded, coalesce(why, ''), low_value, low_unit, high_value, high_unit, "
    "coalesce(direction, ''), station, number, signer FROM condition WHERE tool = :tool AND at <= :at "
    f"AND known <= :known AND {stands('condition')} ORDER BY at, recorded, station, number"
)


def conditions(connection: sqlite3.Connection, tool: str, as_of: AsOf = LATEST) -> tuple[Condition, ...]:
    """Everything on record about a tool's condition up to a moment, oldest first."""
    named = {"tool": tool, "at": as_of.at, "known": as_of.known}
    return tuple(_condition(row) for row in connection.execute(_OF_TOOL, named))


def _condition(row: tuple[Any, ...]) -> Condition:
    low = Torque(row[4], row[5]) if row[4] else None
    high = Torque(row[6], row[7]) if row[6] else None
    return Condition(
        what=row[0],
        at=row[1],
        recorded=row[2],
        why=row[3],
        detail=_bounds(low, high, row[8]) if row[0] == "restricted" else "",
        low=low,
        high=high,
        direction=row[8],
        station=row[9],
        number=row[10],
        signer=row[11],
    )


def _bounds(low: Torque | None, high: Torque | None, direction: str) -> str:
    words = [
        f"from {low}" if low else "",
        f"up to {high}" if high else "",
        {"cw": "clockwise only", "ccw": "counter-clockwise only"}.get(direction, ""),
    ]
    return ", ".join(word for word in words if word)
