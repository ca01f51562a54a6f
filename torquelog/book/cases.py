"""Gathering what is known of a tool, for the rule that says whether it may be used."""

import sqlite3
from fractions import Fraction
from zoneinfo import ZoneInfo

from torquelog.clock import Moment
from torquelog.facts import stations
from torquelog.facts.calibrations import Calibration, calibrations, with_points
from torquelog.facts.conditions import conditions
from torquelog.facts.custody import whereabouts
from torquelog.facts.rows import END_OF_TIME, LATEST, AsOf
from torquelog.facts.tools import Tool
from torquelog.facts.uses import uses_between
from torquelog.rules import validity
from torquelog.rules.fitness import Case, Fitness
from torquelog.torque.adapter import Extension, Multiplier


def case(
    connection: sqlite3.Connection,
    station: str,
    zone: ZoneInfo,
    tool: Tool,
    at: Moment,
    as_of: AsOf = LATEST,
) -> Case:
    """What is known of a tool at the time of a use.

    Args:
        connection: the record.
        station: whose rules count.
        zone: that station's zone, where days are counted.
        tool: the tool.
        at: the time of the use.
        as_of: what is known; its `at` is replaced by the time of the use.
    """
    then = AsOf(at, as_of.known)
    # A first certificate counts from its day although it is told later, so none is left out by its recording.
    found = calibrations(connection, tool.tool, AsOf(END_OF_TIME, as_of.known), points=False)
    governed = validity.governing(found, at, zone)
    waiting = validity.waiting(found, governed, at)
    judged = {each.reference for each in (governed and governed.calibration, waiting) if each}
    since = governed.since if governed else at
    return Case(
        tool=tool,
        calibrations=tuple(_seen(connection, each, judged) for each in found),
        conditions=conditions(connection, tool.tool, then),
        whereabouts=whereabouts(connection, tool.tool, then),
        uses=uses_between(connection, tool.tool, since, at, then) if governed and tool.cycles else 0,
        rules=stations.rules(connection, station, then),
        zone=zone,
    )


def _seen(connection: sqlite3.Connection, calibration: Calibration, judged: set[str]) -> Calibration:
    """The certificate, with its results where they are judged by."""
    return with_points(connection, calibration) if calibration.reference in judged else calibration


def link(tool: Tool, fitness: Fitness) -> Extension | Multiplier:
    """An adapter as the torque's arithmetic takes it: by what was last measured, else as registered."""
    ratio = fitness.multiplier or tool.multiplier
    if ratio is not None:
        return Multiplier(ratio)
    length = fitness.length or tool.length
    assert length is not None  # noqa: S101  an adapter has one or the other
    return Extension(length.metres, tool.angle or Fraction(0))
