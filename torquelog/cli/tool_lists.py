"""Lists of tools: all of one sort, and what is due."""

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Final

from torquelog.cli import words
from torquelog.cli.answer import Answer, Column, Json, Table
from torquelog.cli.context import Context
from torquelog.cli.signing import open_for
from torquelog.cli.text import columns, padded
from torquelog.cli.toolwords import (
    briefly,
    cycles_words,
    due_words,
    fitness_data,
    nature,
    range_words,
    tool_data,
    where_data,
    where_words,
)
from torquelog.clock import parse_period
from torquelog.crib.due import Due, Line, due, lines
from torquelog.errors import TorquelogError

if TYPE_CHECKING:
    from torquelog.book.opening import Book

PLURALS: Final = {"wrench": "wrenches", "adapter": "adapters", "tester": "testers"}
FULL_WIDTH: Final = 80
WHY_WIDTH: Final = 43
ENOUGH: Final = 72
"""Columns from which on a reason and a place stand side by side."""

RULE: Final = {
    "day": "{sort} may be used through its due day (station rule).",
    "month": "{sort} may be used through its due month (station rule).",
}


def listing(context: Context, sort: str) -> Answer:
    """Every tool of a sort, with where it is and whether it may be used."""
    with open_for(context, "read") as book:
        now = context.now
        found = lines(book, sort, now)
        heads = (
            Column(""),
            Column("", fold=True),
            Column("where", fold=True),
            Column("due"),
            Column("", fold=True),
        )
        rows = tuple(row(book, each, now) for each in found)
        records = tuple(record(book, each) for each in found)
        fields = tuple(records[0]) if records else ("tool", "sort", "fit")
        return Answer(
            headline=f"{words.count(len(found), sort, PLURALS[sort])} at {book.station}.",
            table=Table(heads, rows, records, fields),
            next=(f"torquelog {sort} due",) if found else (f"torquelog {sort} add",),
            data={PLURALS[sort]: list(records)},
        )


def row(book: "Book", each: Line, now: int) -> tuple[str, ...]:
    """A line of the list."""
    state = "! not to be used" if each.fitness.grounds and each.where.kind != "retired" else ""
    what = range_words(each.tool) or nature(each.tool)
    where = where_words(each.tool, each.where._replace(since=None), now, book.zone)
    return each.tool.tool, what, where, words.day(each.fitness.due) if each.fitness.due else "", state


def record(book: "Book", each: Line) -> dict[str, Json]:
    """A tool of a list, for programs."""
    fit = fitness_data(book, each.tool, each.fitness)
    grounds = [ground.code for ground in each.fitness.grounds]
    return {**tool_data(each.tool), "where": where_data(each.where, book.zone), **fit, "grounds": grounds}


def due_list(context: Context, sort: str, within: str | None) -> Answer:
    """What may not be used, what falls due, whose cycles run out."""
    with open_for(context, "read") as book:
        found = due(book, within=days(within), sort=sort)
        return Answer(
            headline=headline(book, found),
            body=tuple(body(book, found, narrow=(context.width or ENOUGH) < ENOUGH)),
            table=due_table(book, found) if context.csv else None,
            next=(
                f"torquelog {sort} show {found.unfit[0].tool.tool}"
                if found.unfit
                else f"torquelog {sort} list",
            ),
            data={
                "within_days": str(found.within),
                "total": str(found.total),
                "unfit": [record(book, each) for each in found.unfit],
                "soon": [record(book, each) for each in found.soon],
                "running_out": [record(book, each) for each in found.running_out],
                "fine": str(len(found.fine)),
                "due_through": found.due_through,
            },
        )


def days(within: str | None) -> int:
    """How many days to look ahead: `30 days`, `2 weeks`; months count 30 days (code period-form)."""
    if within is None:
        return 30
    period = parse_period(within if not within.strip().isdigit() else f"{within} days")
    found = period.count * {"day": 1, "week": 7, "month": 30, "year": 365}[period.unit]
    if found > 3650:
        raise TorquelogError(
            "period-form", "That is more than ten years ahead.", hint='Type it like "30 days".'
        )
    return found


def headline(book: "Book", found: Due) -> str:
    """The first line of the list."""
    many = words.count(found.total, found.sort, PLURALS[found.sort])
    if not found.total:
        return f"{book.station} has no {found.sort} yet."
    if not (found.unfit or found.soon or found.running_out):
        said = f"All {many} are" if found.total > 1 else f"The only {found.sort} is"
        return f"{book.station}, {words.day(found.today)}. {said} in date and in cycles."
    return f"{book.station}, {words.day_and_time(found.now, book.zone)}. {many}, looking {found.within} days ahead."


def body(book: "Book", found: Due, *, narrow: bool) -> list[str]:
    """The sections of the list, and what is said of the rest; on a narrow screen each place has a line of its own."""
    parts: list[str] = []
    for title, chosen in (
        (f"Not to be used, {len(found.unfit)}", found.unfit),
        (f"Due soon, {len(found.soon)}", found.soon),
        (f"Cycles running out, {len(found.running_out)}", found.running_out),
    ):
        if chosen:
            parts += [*([""] if parts else []), title, *section(book, found, chosen, narrow)]
    rest = fine(found, alone=not parts)
    return [*parts, *([""] if parts and rest else []), *rest]


def section(book: "Book", found: Due, chosen: Sequence[Line], narrow: bool) -> list[str]:
    """The rows of a section: number, why, where; further reasons on lines of their own."""
    widest = max(columns(each.tool.tool) for each in chosen)
    found_lines: list[str] = []
    told = [pace(each, found) or reasons(each, found.today) for each in chosen]
    places = [where_words(each.tool, each.where, found.now, book.zone) for each in chosen]
    room = FULL_WIDTH - 8 - widest - max(map(columns, places))
    why = max(WHY_WIDTH, *(columns(first) for first, *_ in told if columns(first) <= room), 0)
    for each, (first, *others), where in zip(chosen, told, places, strict=True):
        lead = f"  {padded(each.tool.tool, widest)}   "
        found_lines.append(lead + (first if narrow else f"{padded(first, why)}   {where}"))
        joint = "and " if each.fitness.grounds else ""
        found_lines += [f"{' ' * len(lead)}{joint}{other}" for other in others]
        found_lines += [f"{' ' * len(lead)}{where}"] if narrow else []
    return found_lines


def reasons(each: Line, today: date) -> list[str]:
    """Why a tool stands in its section."""
    if each.fitness.grounds:
        return [briefly(each.tool, ground) for ground in each.fitness.grounds]
    return [due_words(each.fitness.due, today)]


def pace(each: Line, found: Due) -> list[str]:
    """For cycles that run out: how many days they last at the pace of late."""
    if each not in found.running_out:
        return []
    said = f"{cycles_words(each.tool, each.fitness)} used, {words.number(each.fitness.cycles_left or 0)} left"
    if each.days_of_cycles is None:
        return [said]
    return [said, f"at the pace of the last 30 days that is about {words.count(each.days_of_cycles, 'day')}"]


def fine(found: Due, *, alone: bool) -> list[str]:
    """What is said of the tools that need nothing."""
    dated = [each for each in found.fine if each.last_day is not None]
    nearest = f"{words.day_and_distance(dated[0].fitness.due or found.today, found.today)}" if dated else ""
    if alone:
        return [f"The next is due {nearest}: {dated[0].tool.tool}."] if dated else []
    lines_found = []
    if found.fine:
        count = f"The other {len(found.fine)} are" if len(found.fine) > 1 else "The other one is"
        lines_found.append(f"{count} in date." + (f" The next of them: {nearest}." if dated else ""))
    an = "An" if found.sort == "adapter" else "A"
    return [*lines_found, RULE[found.due_through].format(sort=f"{an} {found.sort}")]


def due_table(book: "Book", found: Due) -> Table:
    """The list as records: each tool with the section it stands in."""
    records = tuple(
        {"section": section_name, **record(book, each)}
        for section_name, chosen in (
            ("unfit", found.unfit), ("soon", found.soon), ("running-out", found.running_out), ("fine", found.fine),
        )
        for each in chosen
    )  # fmt: skip
    fields = tuple(records[0]) if records else ("section", "tool", "sort", "fit")
    return Table((Column(""),), tuple((str(each["tool"]),) for each in records), records, fields)
