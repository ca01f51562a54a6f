"""What calls for a recall by itself: results as found that failed, events, lengths measured, certificates withdrawn."""

import sqlite3
from datetime import date
from typing import Final, NamedTuple

from torquelog.clock import Moment
from torquelog.facts.rows import LATEST, AsOf
from torquelog.facts.strikes import stands

EVENTS: Final = ("check-failed", "dropped", "overloaded", "damaged", "lost")
"""What befell a tool and calls for a recall; the query below names the same."""


class Event(NamedTuple):
    """What befell a tool, by a report or by a check that it failed.

    Its entry, the tool, what, when it was so, and when it was recorded.
    """

    station: str
    number: int
    tool: str
    what: str
    at: Moment
    recorded: Moment
    why: str


class Entry(NamedTuple):
    """A certificate that may call for a recall: its entry, the tool and when it was recorded."""

    station: str
    number: int
    tool: str
    recorded: Moment


class Withdrawn(NamedTuple):
    """A certificate that was withdrawn: the withdrawal's entry, when, why, and the certificate's entry."""

    station: str
    number: int
    recorded: Moment
    why: str
    calibration_station: str
    calibration_number: int


# Coarse, in floating point, and on the safe side of every decision rule: who comes through is judged exactly.
_DOUBTFUL: Final = (
    "SELECT DISTINCT calibration.station, calibration.number, calibration.tool, calibration.recorded "
    "FROM calibration_point AS point JOIN calibration USING (station, number) "
    "JOIN tool ON tool.tool = calibration.tool WHERE point.state IN ('as-found', 'unchanged') "
    "AND tool.accuracy IS NOT NULL AND abs(CAST(point.indicated AS REAL) - CAST(point.reference AS REAL)) "
    "+ coalesce(CAST(point.uncertainty AS REAL), 0) "
    "> 0.00999 * CAST(tool.accuracy AS REAL) * CAST(point.reference AS REAL) {of_tool}"
    "AND calibration.at <= :at AND calibration.known <= :known AND "
    + stands("calibration")
    + " ORDER BY calibration.recorded, calibration.station, calibration.number"
)
_MEASURED: Final = (
    "SELECT station, number, tool, recorded FROM calibration WHERE (length_value IS NOT NULL "
    "OR multiplier IS NOT NULL) {of_tool}AND at <= :at AND known <= :known AND "
    + stands("calibration")
    + " ORDER BY recorded, station, number"
)
_EVENTS: Final = (
    "SELECT station, number, tool, what, at, recorded, coalesce(why, '') FROM condition "
    "WHERE what IN ('check-failed', 'dropped', 'overloaded', 'damaged', 'lost') {of_tool}AND recorded <= :at "
    "AND known <= :known AND " + stands("condition") + " ORDER BY recorded, station, number"
)
_WITHDRAWN: Final = (
    "SELECT withdrawal.station, withdrawal.number, withdrawal.recorded, withdrawal.why, calibration_station, "
    "calibration_number FROM withdrawal JOIN calibration ON calibration.station = calibration_station "
    "AND calibration.number = calibration_number WHERE withdrawal.at <= :at AND withdrawal.known <= :known "
    "{of_tool}AND "
    + stands("withdrawal")
    + " ORDER BY withdrawal.recorded, withdrawal.station, withdrawal.number"
)
_USES: Final = (
    "SELECT min(at), max(at) FROM tool_use WHERE tool = :tool AND at >= :after AND at < :before "
    "AND role NOT IN ('elsewhere', 'tested') AND at <= :at AND known <= :known"
)


def doubtful(connection: sqlite3.Connection, as_of: AsOf = LATEST, tool: str = "") -> list[Entry]:
    """The certificates whose results as found may be outside the tool's accuracy; each is to be judged exactly.

    Args:
        connection: the record.
        as_of: `at` bounds when they were recorded.
        tool: one tool's number, or "" for all of them; the same below.
    """
    return [Entry(*row) for row in _asked(connection, _DOUBTFUL, "calibration", as_of, tool)]


def measured(connection: sqlite3.Connection, as_of: AsOf = LATEST, tool: str = "") -> list[Entry]:
    """The certificates that measured an adapter's length or a multiplier's ratio."""
    return [Entry(*row) for row in _asked(connection, _MEASURED, "calibration", as_of, tool)]


def events(connection: sqlite3.Connection, as_of: AsOf = LATEST, tool: str = "") -> list[Event]:
    """Every failed check, drop, overload, damage and loss that was recorded by the moment asked for."""
    return [Event(*row) for row in _asked(connection, _EVENTS, "condition", as_of, tool)]


def withdrawn(connection: sqlite3.Connection, as_of: AsOf = LATEST, tool: str = "") -> list[Withdrawn]:
    """Every certificate that was withdrawn."""
    return [Withdrawn(*row) for row in _asked(connection, _WITHDRAWN, "calibration", as_of, tool)]


def _asked(
    connection: sqlite3.Connection, query: str, table_name: str, as_of: AsOf, tool: str
) -> sqlite3.Cursor:
    of_tool = f"AND {table_name}.tool = :tool " if tool else ""
    return connection.execute(
        query.format(of_tool=of_tool), {"at": as_of.at, "known": as_of.known, "tool": tool}
    )


def first_and_last_use(
    connection: sqlite3.Connection, tool: str, after: Moment, before: Moment, as_of: AsOf = LATEST
) -> tuple[Moment, Moment] | None:
    """When a tool was first and last named by a reading, from `after` up to, not including, `before`.

    Struck and refused readings count: the tool may have been used.
    """
    bound = {"tool": tool, "after": after, "before": before, "at": as_of.at, "known": as_of.known}
    first, last = connection.execute(_USES, bound).fetchone()
    return None if first is None else (first, last)


def uses_elsewhere(
    connection: sqlite3.Connection, tool: str, since: Moment, until: Moment, as_of: AsOf = LATEST
) -> int:
    """How many uses of a tool were told that no reading here stands for."""
    row: tuple[int] = connection.execute(
        "SELECT coalesce(sum(uses), 0) FROM tool_use WHERE tool = ? AND at >= ? AND at <= ? "
        "AND role = 'elsewhere' AND at <= ? AND known <= ?",
        (tool, since, until, as_of.at, as_of.known),
    ).fetchone()
    return row[0]


def measured_on(connection: sqlite3.Connection, tester: str, as_of: AsOf = LATEST) -> list[Entry]:
    """The certificates whose results were measured on a tester of ours."""
    rows = connection.execute(
        "SELECT station, number, tool, recorded FROM calibration WHERE tester = :tester AND at <= :at "
        f"AND known <= :known AND {stands('calibration')} ORDER BY recorded, station, number",
        {"tester": tester, **as_of._asdict()},
    )
    return [Entry(*row) for row in rows]


def days_measured(connection: sqlite3.Connection, tester: str, as_of: AsOf = LATEST) -> list[date]:
    """The days on which tools were measured on a tester of ours, in order."""
    rows = connection.execute(
        "SELECT made_on FROM calibration WHERE tester = :tester AND at <= :at AND known <= :known "
        f"AND {stands('calibration')} ORDER BY made_on",
        {"tester": tester, **as_of._asdict()},
    )
    return [date.fromisoformat(day) for (day,) in rows]


def run_on_uses(
    connection: sqlite3.Connection, wrench: str, since: Moment, until: Moment, as_of: AsOf = LATEST
) -> set[tuple[str, int]]:
    """The readings of a window whose run-on torque a wrench measured, by their entries; both ends included."""
    rows = connection.execute(
        "SELECT station, number FROM tool_use WHERE tool = ? AND at >= ? AND at <= ? AND role = 'run-on-wrench' "
        "AND at <= ? AND known <= ?",
        (wrench, since, until, as_of.at, as_of.known),
    )
    return set(rows)


def adapters_in(connection: sqlite3.Connection, station: str, number: int) -> dict[str, list[str]]:
    """The adapters in a reading by role, `adapter` or `run-on-adapter`, from the wrench outwards."""
    found: dict[str, list[str]] = {}
    for name, role in connection.execute(
        "SELECT tool, role FROM tool_use WHERE station = ? AND number = ? AND role IN ('adapter', 'run-on-adapter') "
        "ORDER BY part",
        (station, number),
    ):
        found.setdefault(role, []).append(name)
    return found
