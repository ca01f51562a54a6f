"""What the crib looks at each morning: which tools may not be used, which fall due, whose cycles run out."""

from datetime import date
from fractions import Fraction
from typing import Final, NamedTuple

from torquelog.book.opening import Book
from torquelog.book.toolbox import fitness_at
from torquelog.clock import Moment, local_date
from torquelog.counted import Progress, counted
from torquelog.facts import custody, stations, tools
from torquelog.facts.custody import Whereabouts
from torquelog.facts.stations import Rules
from torquelog.facts.tools import Tool
from torquelog.facts.uses import uses_between
from torquelog.rules import validity
from torquelog.rules.fitness import Fitness

DAY: Final[Moment] = 86_400_000
PACE_DAYS: Final = 30
"""Over how many days the pace of use is taken."""

NEARLY: Final = Fraction(1, 20)
"""Of the cycle limit: what is left then is worth a line, whatever the pace."""


class Line(NamedTuple):
    """One tool in a list.

    Attributes:
        tool: the tool.
        where: where it is.
        fitness: how fit it is now.
        used: uses since its certificate began to count, or nothing without a cycle limit.
        last_day: the last day it may be used by its due date, or nothing.
        days_of_cycles: how many days its cycles last at the pace of the last thirty, or nothing.
    """

    tool: Tool
    where: Whereabouts
    fitness: Fitness
    used: int | None
    last_day: date | None
    days_of_cycles: int | None


class Due(NamedTuple):
    """The list of what is due.

    Attributes:
        now, today: when it was asked, and that local day.
        sort: which tools.
        within: how many days ahead it looks.
        total: how many tools there are; retired ones are left out.
        unfit: those that may not be used.
        soon: those whose last day lies within the time, the nearest first.
        running_out: those whose cycles are nearly used.
        fine: all others, the nearest due first.
        due_through: the station's rule, day or month.
    """

    now: Moment
    today: date
    sort: str
    within: int
    total: int
    unfit: tuple[Line, ...]
    soon: tuple[Line, ...]
    running_out: tuple[Line, ...]
    fine: tuple[Line, ...]
    due_through: str


def due(book: Book, *, within: int = 30, sort: str = "wrench", progress: Progress | None = None) -> Due:
    """What is due now and in the days ahead.

    Args:
        book: the record.
        within: days to look ahead.
        sort: which sort of tool.
        progress: told how many tools were judged.
    """
    now = book.clock.now()
    today = local_date(now, book.zone)
    rest = [line for line in lines(book, sort, now, progress) if line.where.kind != "retired"]
    unfit: list[Line] = []
    soon: list[Line] = []
    running: list[Line] = []
    fine: list[Line] = []
    for line in rest:
        if line.fitness.grounds:
            unfit.append(line)
        elif _falls_due(line, today, within):
            soon.append(line)
        else:
            (running if _runs_out(line, within) else fine).append(line)
    return Due(
        now, today, sort, within, len(rest), tuple(unfit), tuple(sorted(soon, key=_by_day)), tuple(running),
        tuple(sorted(fine, key=_by_day)), stations.rules(book.connection, book.station).due_through,
    )  # fmt: skip


def lines(book: Book, sort: str, now: Moment, progress: Progress | None = None) -> tuple[Line, ...]:
    """Every tool of one sort as it stands at a moment, by number."""
    rules = stations.rules(book.connection, book.station)
    found = tools.tools(book.connection, sort)
    return tuple(line_of(book, tool, now, rules) for tool in counted(found, len(found), progress))


def line_of(book: Book, tool: Tool, now: Moment, rules: Rules | None = None) -> Line:
    """One tool as it stands at a moment; the station's rules of now are looked up where they are not at hand."""
    found = fitness_at(book.connection, book, tool, now)
    where = custody.whereabouts(book.connection, tool.tool)
    used = None if tool.cycles is None or found.cycles_left is None else tool.cycles - found.cycles_left
    rules = rules or stations.rules(book.connection, book.station)
    last = validity.last_day(found.due, rules.due_through) if found.due else None
    return Line(tool, where, found, used, last, _days_of_cycles(book, tool, found, now))


def _days_of_cycles(book: Book, tool: Tool, fitness: Fitness, now: Moment) -> int | None:
    """At the pace of the last thirty days, how many more days the cycles last."""
    if fitness.cycles_left is None:
        return None
    lately = uses_between(book.connection, tool.tool, now - PACE_DAYS * DAY, now)
    return fitness.cycles_left * PACE_DAYS // lately if lately else None


def _falls_due(line: Line, today: date, within: int) -> bool:
    return line.last_day is not None and (line.last_day - today).days <= within


def _runs_out(line: Line, within: int) -> bool:
    if line.fitness.cycles_left is None or line.tool.cycles is None:
        return False
    soon = line.days_of_cycles is not None and line.days_of_cycles <= within
    return soon or line.fitness.cycles_left <= NEARLY * line.tool.cycles


def _by_day(line: Line) -> tuple[date, str]:
    return line.last_day or date.max, line.tool.tool
