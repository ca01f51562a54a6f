"""Judging a check on a tester: whether the tester was fit for it, and whether the tool kept its accuracy.

The act that records a check asks this, and verification asks it again.
"""

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from torquelog.book.cases import case
from torquelog.clock import Moment
from torquelog.facts.calibrations import Calibration
from torquelog.facts.members import torque_of
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.facts.tested import Pair
from torquelog.facts.tools import Tool, tool
from torquelog.rules import fitness
from torquelog.rules.fitness import Use
from torquelog.rules.grounds import Ground
from torquelog.torque.deviation import within


class Judged(NamedTuple):
    """The verdict on a check.

    Attributes:
        outcome: within, or outside where one reading lies outside the accuracy.
        grounds: why the tester may not be used for it; empty where it may.
        calibration: the tester's certificate that counts, or nothing.
    """

    outcome: str
    grounds: tuple[Ground, ...]
    calibration: Calibration | None


def judge(
    connection: sqlite3.Connection, station: str, zone: ZoneInfo, tester: Tool, accuracy: Fraction,
    pairs: Sequence[Pair], at: Moment, now: Moment,
) -> Judged:  # fmt: skip
    """Judge a check.

    Args:
        connection: the record.
        station, zone: whose rules and days count.
        tester: what the tool was checked on.
        accuracy: the largest deviation of the tool that is allowed, a share.
        pairs: the readings.
        at, now: when it was done, and the time of the entry.
    """
    known = case(connection, station, zone, tester, at, AsOf(at, END_OF_TIME))
    found = [
        fitness.judge(known, Use(at=at, now=now, indicated=each.reference, direction=each.direction))
        for each in pairs
    ]
    grounds = tuple(dict.fromkeys(ground for each in found for ground in each.grounds))
    kept = all(within(each.reading.newton_metres, each.reference.newton_metres, accuracy) for each in pairs)
    return Judged("within" if kept else "outside", grounds, found[0].calibration if found else None)


def pairs_of(body: Mapping[str, Any]) -> tuple[Pair, ...]:
    """The readings that a check's body holds."""
    return tuple(
        Pair(
            torque_of("tested", each["reading"]),
            torque_of("tested", each["reference"]),
            each.get("direction", ""),
        )
        for each in body["readings"]
    )


def judged_again(
    connection: sqlite3.Connection,
    station: str,
    zone: ZoneInfo,
    body: Mapping[str, Any],
    at: Moment,
    now: Moment,
) -> Iterator[str]:
    """What a check says of its judgement and would not be judged so again, a sentence each.

    Args:
        connection: the record as it stood before the entry.
        station, zone: whose entry it is, and where its days are counted.
        body: its body.
        at, now: when it was done, and when it was recorded.
    """
    checked, tester = tool(connection, body["tool"]), tool(connection, body["tester"])
    if checked is None or tester is None or checked.accuracy is None:
        yield "it could not have been recorded: its tool or tester, or the accuracy, is not on record"
        return
    again = judge(connection, station, zone, tester, checked.accuracy, pairs_of(body), at, now)
    certificate = again.calibration.reference if again.calibration else None
    if body["outcome"] != again.outcome:
        yield f"its outcome is given as {body['outcome']} and comes out as {again.outcome}"
    if body.get("certificate") != certificate:
        yield f"its certificate is given as {body.get('certificate')} and comes out as {certificate}"
    yield from (f"its tester was not fit: {ground.message}" for ground in again.grounds)
