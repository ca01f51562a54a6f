"""Checks of tools on a tester: what a tool showed, what the tester measured, and whether that kept the accuracy.

A check is evidence with a date. One that failed takes the tool out, as a condition; one that passed says that the tool
was good at that time, and for a tool that is checked before use it opens the day, from when it is recorded.
"""

import sqlite3
from fractions import Fraction
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from torquelog.clock import Moment, local_date
from torquelog.facts.conditions import FAILED_CHECK, put_condition
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.members import chosen, objects, percent_of, torque_of, when
from torquelog.facts.rows import LATEST, AsOf, Mark, put, table
from torquelog.facts.strikes import stands
from torquelog.facts.uses import put_use
from torquelog.torque.deviation import within
from torquelog.torque.pair import DIRECTIONS
from torquelog.torque.pair import Pair as Result
from torquelog.torque.units import Torque

OUTCOMES: Final = ("within", "outside")

PAIR: Final = (
    Member("reading", "quantity", "what the tool showed or was set to"),
    Member("reference", "quantity", "what the tester measured"),
    optional("direction", "name", "cw or ccw; absent: not told"),
)

KINDS: Final = (
    Kind(
        "tested",
        (
            Member("tool", "identifier", "the tool that was checked"),
            Member("tester", "identifier", "the tester"),
            Member("readings", "object*", "each pair: reading, reference, direction"),
            Member(
                "accuracy", "quantity", "the largest deviation allowed, in percent, by which it was judged"
            ),
            Member("outcome", "name", "within, or outside where one reading is"),
            optional(
                "certificate", "reference", "the tester's certificate that counted; absent: it has none"
            ),
            optional("at", "moment", "when; absent: when recorded"),
            optional("why", "text", "a remark on it; absent: none"),
        ),
    ),
)

TABLES: Final = "\n".join(
    (
        table(
            "tester_check",
            "tool TEXT NOT NULL, tester TEXT NOT NULL, accuracy TEXT NOT NULL, outcome TEXT NOT NULL, "
            "signer TEXT NOT NULL, why TEXT",
            indexes=("tool, at", "tester, at"),
        ),
        table(
            "tester_check_pair",
            "value TEXT NOT NULL, unit TEXT NOT NULL, reference TEXT NOT NULL, reference_unit TEXT NOT NULL, "
            "direction TEXT NOT NULL",
            part=True,
        ),
    )
)


class Pair(NamedTuple):
    """One reading of a check: what the tool showed, what the tester measured, and the direction, "" where not told."""

    reading: Torque
    reference: Torque
    direction: str


class Check(NamedTuple):
    """A check as it was recorded.

    Attributes:
        station, number: its entry.
        at, recorded: when it was done and when recorded.
        tool, tester: what was checked, and on what.
        accuracy: the largest deviation allowed, a share.
        outcome: one of `OUTCOMES`.
        signer: who signed.
        why: a remark, or "".
        pairs: its readings.
    """

    station: str
    number: int
    at: Moment
    recorded: Moment
    tool: str
    tester: str
    accuracy: Fraction
    outcome: str
    signer: str
    why: str
    pairs: tuple[Pair, ...] = ()

    @property
    def failed(self) -> tuple[Result, ...]:
        """The readings outside the accuracy, N·m, as results of a calibration are given."""
        return tuple(
            Result(each.reading.newton_metres, each.reference.newton_metres, each.direction)
            for each in self.pairs
            if not within(each.reading.newton_metres, each.reference.newton_metres, self.accuracy)
        )


def _tested_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    at = when(mark, body)
    outcome = chosen("tested", body, "outcome", OUTCOMES)
    pairs = objects("tested", body, "readings", PAIR)
    percent_of("tested", body["accuracy"])
    put(
        connection, "tester_check", mark, at,
        tool=body["tool"], tester=body["tester"], accuracy=body["accuracy"]["value"], outcome=outcome,
        signer=mark.signer, why=body.get("why"),
    )  # fmt: skip
    for part, pair in enumerate(pairs):
        reading, reference = torque_of("tested", pair["reading"]), torque_of("tested", pair["reference"])
        put(
            connection, "tester_check_pair", mark, at, part=part,
            value=reading.value, unit=reading.unit, reference=reference.value, reference_unit=reference.unit,
            direction=chosen("tested", pair, "direction", DIRECTIONS) if "direction" in pair else "",
        )  # fmt: skip
    put_use(connection, mark, at, 0, body["tool"], "tested", len(pairs))
    if outcome == "outside":
        put_condition(connection, mark, at, body["tool"], FAILED_CHECK, _words(pairs, body["tester"]))


def _words(pairs: list[dict[str, dict[str, str]]], tester: str) -> str:
    """What it showed where it was furthest outside, for whoever reads the tool's life."""
    worst = max(pairs, key=_beyond)
    shown, real = (f"{worst[name]['value']} {worst[name]['unit']}" for name in ("reading", "reference"))
    return f"{shown} shown was {real} on {tester}"


def _beyond(pair: dict[str, dict[str, str]]) -> Fraction:
    reading, reference = (torque_of("tested", pair[name]).newton_metres for name in ("reading", "reference"))
    return abs(reading - reference) / reference


ROWS: Final = {"tested": _tested_rows}

_COLUMNS: Final = "station, number, at, recorded, tool, tester, accuracy, outcome, signer, coalesce(why, '')"
_PASSED: Final = (
    "SELECT at, recorded FROM tester_check WHERE tool = :tool AND outcome = 'within' AND recorded <= :at "
    f"AND known <= :known AND {stands('tester_check')} ORDER BY recorded DESC LIMIT 20"
)


def checks(connection: sqlite3.Connection, tool: str, as_of: AsOf = LATEST) -> tuple[Check, ...]:
    """Every check of a tool with its readings, oldest first."""
    rows = connection.execute(
        f"SELECT {_COLUMNS} FROM tester_check WHERE tool = :tool AND at <= :at AND known <= :known "
        f"AND {stands('tester_check')} ORDER BY at, recorded, station, number",
        {"tool": tool, "at": as_of.at, "known": as_of.known},
    ).fetchall()
    return tuple(_check(connection, *row) for row in rows)


def _check(
    connection: sqlite3.Connection, station: str, number: int, at: Moment, recorded: Moment, tool: str, tester: str,
    accuracy: str, outcome: str, signer: str, why: str,
) -> Check:  # fmt: skip
    share, pairs = Fraction(accuracy) / 100, _pairs(connection, station, number)
    return Check(station, number, at, recorded, tool, tester, share, outcome, signer, why, pairs)


def _pairs(connection: sqlite3.Connection, station: str, number: int) -> tuple[Pair, ...]:
    rows = connection.execute(
        "SELECT value, unit, reference, reference_unit, direction FROM tester_check_pair "
        "WHERE station = ? AND number = ? ORDER BY part",
        (station, number),
    )
    return tuple(Pair(Torque(row[0], row[1]), Torque(row[2], row[3]), row[4]) for row in rows)


def last_passed(
    connection: sqlite3.Connection, tool: str, zone: ZoneInfo, as_of: AsOf = LATEST
) -> Moment | None:
    """When the last check that a tool passed was recorded, of those recorded on the day on which they were done.

    What makes a tool good never counts from earlier than it was told, so a check told later opens nothing backwards.
    """
    rows = connection.execute(_PASSED, {"tool": tool, "at": as_of.at, "known": as_of.known})
    return next((told for at, told in rows if local_date(at, zone) == local_date(told, zone)), None)
