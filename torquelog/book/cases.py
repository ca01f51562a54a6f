"""Gathering what is known of a tool, for the rule that says whether it may be used."""

import sqlite3
from collections.abc import Collection, Sequence
from fractions import Fraction
from operator import attrgetter
from typing import Final
from zoneinfo import ZoneInfo

from torquelog.book.recent import Recent
from torquelog.clock import Moment, day_start
from torquelog.facts import calibrations, limits_told, stations, tested, tools
from torquelog.facts.calibrations import Calibration, Told, with_points
from torquelog.facts.conditions import conditions
from torquelog.facts.custody import whereabouts
from torquelog.facts.rows import END_OF_TIME, LATEST, AsOf
from torquelog.facts.tools import Tool
from torquelog.facts.uses import uses_between
from torquelog.ledger.form import parse_reference
from torquelog.rules import validity
from torquelog.rules.fitness import Case, Fitness
from torquelog.torque.adapter import Extension, Multiplier

FEW: Final = 2
"""Up to so many certificates of a tool are read at once; of more, only those that a judgement asks for."""


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
    known, since = _unused(connection, station, zone, tool, END_OF_TIME, LATEST, every=True)
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
    connection: sqlite3.Connection, station: str, zone: ZoneInfo, tool: Tool, at: Moment, as_of: AsOf, *,
    every: bool = False,
) -> tuple[Case, Moment | None]:  # fmt: skip
    """The case without its uses, and since when those count; nothing where no certificate counts.

    With `every`, all its certificates are in it, and not only those that count or could.
    """
    then = AsOf(at, as_of.known)
    # An interval or cycle limit counts from when it was set, so a use before is judged by the one before.
    if limits_told.told(connection, tool.tool, AsOf(END_OF_TIME, as_of.known)):
        tool = tools.tool(connection, tool.tool, then) or tool
    # A first certificate counts from its day although it is told later, so none is left out by its recording.
    all_told = AsOf(END_OF_TIME, as_of.known)
    told = [] if every or tool.sort == "adapter" else calibrations.told(connection, tool.tool, all_told)
    if len(told) > FEW:
        found = _newest(connection, told, at, zone, all_told)
    else:
        found = calibrations.calibrations(connection, tool.tool, all_told, points=False)
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
    known_from = {each.station for each in told} | {each.station for each in found}
    known = known._replace(elsewhere=_elsewhere(connection, station, known, known_from, as_of))
    return known, governed.since if governed else None


def _used(connection: sqlite3.Connection, known: Case, since: Moment | None, at: Moment, as_of: AsOf) -> Case:
    """The case with its uses since then, which only a tool with a limit asks for."""
    if since is None or not known.tool.cycles:
        return known
    then = AsOf(at, as_of.known)
    return known._replace(uses=uses_between(connection, known.tool.tool, since, at, then))


_station: Final = attrgetter("station")


def _newest(
    connection: sqlite3.Connection, told: Sequence[Told], at: Moment, zone: ZoneInfo, as_of: AsOf
) -> tuple[Calibration, ...]:
    """The certificates of a tool that a judgement asks for: those newer than the one that counts, and it.

    However many a wrench had in its years, these are mostly one. Where none counts they are all. Behind them stands the
    first one, for which a rule of its own counts, with no more than its day and its entry.
    """
    first = min(told)
    found: list[Calibration] = []
    for place, each in enumerate(told):
        certificate = calibrations.calibration(connection, each.station, each.number, as_of, points=False)
        assert certificate is not None  # noqa: S101  it was just told of
        found.append(certificate)
        rest = () if first in told[: place + 1] else (first.bare(certificate.tool),)
        if validity.governing((*found, *rest), at, zone) is not None:
            return (*found, *rest)
    return tuple(sorted(found, key=attrgetter("recorded", "station", "number")))


def _elsewhere(
    connection: sqlite3.Connection, own: str, known: Case, known_from: Collection[str], as_of: AsOf
) -> tuple[tuple[str, Moment], ...]:
    """The other stations whose entries a case rests on, each with when the last one was made that is held here."""
    told = {parse_reference(known.tool.reference)[0]}
    told.update(known_from, map(_station, known.conditions))
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
