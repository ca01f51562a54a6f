"""The sheet that hangs in the crib: what may not be used and why, then everything else by its due date."""

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import groupby
from typing import Final

from torquelog.book.opening import Book
from torquelog.book.toolbox import PLURALS
from torquelog.counted import Progress
from torquelog.crib.due import Due, Line, due
from torquelog.facts.conditions import conditions
from torquelog.rules.days import day_name
from torquelog.sheets.model import Block, Body, Cell, Grid, Lines, Page, Row, Section, columns, grid
from torquelog.sheets.origin import AS_OF, DATA_FIRST, origin
from torquelog.sheets.tool_words import cycles_left, nature, restrictions, since_words, where_words, why_not
from torquelog.sheets.wording import city, count, day_and_time, sentence, short_day

SORTS: Final = ("wrench", "adapter", "tester")
UNFIT: Final = "=Number|Why|Where|Range"
USABLE: Final = "=Number|=Use through|Where|Since|Range|>Cycles left"
SOON: Final = 30
"""Days within which cycles that run out are worth a line."""

ASK_FIRST: Final = (
    "Ask before you draw: torquelog wrench check NUMBER. A tool may have changed since this sheet was made."
)
SAFETY: Final = (ASK_FIRST, AS_OF, DATA_FIRST)


def crib_sheet(book: Book, progress: Progress | None = None) -> Page:
    """The sheet of the crib as it stands now; `progress` is told how many tools were judged."""
    lists = [due(book, sort=sort, progress=progress) for sort in SORTS]
    rules = lists[0].due_through
    return Page(
        title=f"Tool crib of {book.station}",
        purpose="What may be used, and until when",
        head=(
            ("Stands as of", f"{day_and_time(lists[0].now, book.zone)}, {city(book.zone)}"),
            ("A tool may be used through", "its due date" if rules == "day" else "the month of its due date"),
            *((sentence(PLURALS[each.sort]), _tally(each)) for each in lists if each.total),
        ),
        safety=SAFETY,
        sections=(_unfit(book, lists), *_usable(book, lists)),
        foot=origin(book),
    )


def _tally(each: Due) -> str:
    unfit = f"of these {len(each.unfit):,} not to be used" if each.unfit else "none of them out of use"
    return f"{each.total:,}, {unfit}"


def _unfit(book: Book, lists: list[Due]) -> Section:
    blocks: list[Block] = [
        grid(
            f"{sentence(PLURALS[each.sort])} not to be used", UNFIT,
            [_unfit_row(book, line) for line in sorted(each.unfit, key=_by_number)],
        )
        for each in lists if each.unfit
    ]  # fmt: skip
    nothing = Lines(("Every tool on record may be used.",))
    return Section("Not to be used", tuple(blocks) or (nothing,))


def _by_number(line: Line) -> str:
    return line.tool.tool


def _unfit_row(book: Book, line: Line) -> Row:
    since = since_words(line.where, book.zone)
    return (
        Cell(line.tool.tool, state="outside"),
        Cell(why_not(line.tool, line.fitness)),
        Cell(where_words(line.tool, line.where), since),
        Cell(nature(line.tool)),
    )


def _usable(book: Book, lists: list[Due]) -> Iterator[Section]:
    for each in lists:
        usable = sorted((*each.soon, *each.running_out, *each.fine), key=_by_day)
        if usable:
            bodies = tuple(
                Body(tuple(_usable_row(book, line) for line in lines), heading)
                for heading, lines in groupby(usable, key=lambda line: week(line.last_day))
            )
            name = sentence(PLURALS[each.sort])
            caption = f"{name} that may be used, by the last day of use"
            first = ", the nearest due first" if len(usable) > 1 else ""
            told = Lines((f"{count(len(usable), each.sort, PLURALS[each.sort])}{first}.",))
            yield Section(f"{name} by due date", (told, Grid(caption, columns(USABLE), bodies)))


def _by_day(line: Line) -> tuple[date, str]:
    return line.last_day or date.max, line.tool.tool


def week(day: date | None) -> str:
    """The heading above the tools whose last day lies in one week: its Monday, with the number of ISO 8601."""
    if day is None:
        return "No due date"
    monday = day - timedelta(days=day.weekday())
    return f"Week {day.isocalendar().week} of {day.isocalendar().year}, from {day_name(monday)}"


def _usable_row(book: Book, line: Line) -> Row:
    last = line.last_day
    few = line.days_of_cycles is not None and line.days_of_cycles <= SOON
    return (
        Cell(line.tool.tool),
        Cell(short_day(last) if last else "no due date"),
        Cell(where_words(line.tool, line.where)),
        Cell(since_words(line.where, book.zone).removeprefix("since ")),
        Cell(nature(line.tool), _restricted(book, line)),
        Cell(
            cycles_left(line.tool, line.fitness),
            f"about {count(line.days_of_cycles or 0, 'day')}" if few else "",
        ),
    )


def _restricted(book: Book, line: Line) -> str:
    """What restricts a tool that may be used: "limited use, up to 100 N·m"."""
    found = restrictions(line.tool, line.fitness, conditions(book.connection, line.tool.tool))
    return "; ".join(", ".join(filter(None, (word.lower(), detail))) for word, detail in found)
