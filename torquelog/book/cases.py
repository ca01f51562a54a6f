"""Gathering what is known of a tool, for the rule that says whether it may be used."""

import sqlite3
from fractions import Fraction
from operator import attrgetter
from typing import Final
from zoneinfo import ZoneInfo

from torquelog.book.recent import Recent
from torquelog.clock import Moment, day_start
from torquelog.facts import limits_told, stations, tested, tools
from torquelog.facts.calibrations import Calibration, calibrations, with_points
from torquelog.facts.conditions import conditions
from torquelog.facts.custody import whereabouts
from torquelog.facts.rows import END_OF_TIME, LATEST, AsOf
from torquelog.facts.tools import Tool
from torquelog.facts.uses import uses_between
from torquelog.ledger.form import parse_reference
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
    known, since = _unused(connection, station, zone, tool, at, as_of)
    return _used(connection, known, since, at, as_of)


def settled_case(recent: Recent, station: str, zone: ZoneInfo, tool: Tool, at: Moment) -> tuple[Case, bool]:
    """The same by everything known now, with the help of what was found before, and whether it is settled.

    Once the last of the tool's facts has begun, the case stays as it is however late it gets; only the uses grow.
    """
    last, known, since = recent.ask(_at_last, station, zone, tool.tool)
    if known is None or at < last:
        return case(recent.connection, station, zone, tool, at), False
    return _used(recent.connection, known, since, at, LATEST), True


def _at_last(
    connection: sqlite3.Connection, station: str, zone: ZoneInfo, number: str
) -> tuple[Moment, Case | None, Moment | None]:
    """From when on a tool's case changes no more by itself, that case without uses, and since when they count."""
    tool = tools.tool(connection, number)
    if tool is None:
        return END_OF_TIME, None, None
    known, since = _unused(connection, station, zone, tool, END_OF_TIME, LATEST)
    changes = [
        *(each.at for each in stations.rule_changes(connection, station)),
        *(each.at for each in known.conditions[-1:]),
        *(each.at for each in limits_told.told(connection, number)),
        *(moment for each in known.calibrations for moment in _begins(each, zone)),
    ]
    last = max(
        moment for moment in (*changes, known.whereabouts.since, known.checked, 0) if moment is not None
    )
    return last, known, since


def _begins(calibration: Calibration, zone: ZoneInfo) -> tuple[Moment | None, ...]:
    """The moments at which a certificate can begin or cease to count."""
    return (
        calibration.recorded, calibration.accepted, calibration.withdrawn, day_start(calibration.on, zone),
    )  # fmt: skip


def _unused(
    connection: sqlite3.Connection, station: str, zone: ZoneInfo, tool: Tool, at: Moment, as_of: AsOf
) -> tuple[Case, Moment | None]:
    """The case without its uses, and since when those count; nothing where no certificate counts."""
    then = AsOf(at, as_of.known)
    # An interval or cycle limit counts from when it was set, so a use before is judged by the one before.
    if limits_told.told(connection, tool.tool, AsOf(END_OF_TIME, as_of.known)):
        tool = tools.tool(connection, tool.tool, then) or tool
    # A first certificate counts from its day although it is told later, so none is left out by its recording.
    found = calibrations(connection, tool.tool, AsOf(END_OF_TIME, as_of.known), points=False)
    governed = validity.governing(found, at, zone)
    waiting = validity.waiting(found, governed, at)
    judged = {each.reference for each in (governed and governed.calibration, waiting) if each}
    known = Case(
        tool=tool,
        calibrations=tuple(_seen(connection, each, judged) for each in found),
        conditions=conditions(connection, tool.tool, then),
        whereabouts=whereabouts(connection, tool.tool, then),
        uses=0,
        rules=stations.rules(connection, station, then),
        zone=zone,
        checked=tested.last_passed(connection, tool.tool, zone, then) if tool.use == "before-use" else None,
    )
    known = known._replace(elsewhere=_elsewhere(connection, station, known, as_of))
    return known, governed.since if governed else None


def _used(connection: sqlite3.Connection, known: Case, since: Moment | None, at: Moment, as_of: AsOf) -> Case:
    """The case with its uses since then, which only a tool with a limit asks for."""
    if since is None or not known.tool.cycles:
        return known
    then = AsOf(at, as_of.known)
    return known._replace(uses=uses_between(connection, known.tool.tool, since, at, then))


_station: Final = attrgetter("station")


def _elsewhere(
    connection: sqlite3.Connection, own: str, known: Case, as_of: AsOf
) -> tuple[tuple[str, Moment], ...]:
    """The other stations whose entries a case rests on, each with when the last one was made that is held here."""
    told = {parse_reference(known.tool.reference)[0]}
    told.update(map(_station, known.calibrations), map(_station, known.conditions))
    if told == {own}:
        return ()
    held = (
        (station, stations.held_as_of(connection, own, station, as_of)) for station in sorted(told - {own})
    )
    return tuple((station, moment) for station, moment in held if moment is not None)


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
