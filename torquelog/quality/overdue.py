"""The uses of tools that were past due or out of cycles, over the whole record, by what was known at a moment."""

from collections.abc import Iterator
from typing import NamedTuple

from torquelog.book.opening import Book
from torquelog.clock import Moment
from torquelog.facts import limits_told, readings, stations, tools
from torquelog.facts.calibrations import calibrations
from torquelog.facts.readings import Reading
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.facts.tools import SORTS, Tool
from torquelog.facts.uses import ToolUse, uses_of
from torquelog.rules.grounds import Ground
from torquelog.rules.overdue import History, overdue

BEGINNING: Moment = -62_135_596_800_000
NOT_LISTED = frozenset({"elsewhere", "tested"})
"""Uses that no reading stands for; they count as cycles."""


class Overdue(NamedTuple):
    """A use that came too late: the tool, the use, the reading it was for, and every reason."""

    tool: Tool
    use: ToolUse
    reading: Reading
    grounds: tuple[Ground, ...]


def overdue_uses(
    book: Book, *, since: Moment | None = None, until: Moment | None = None, as_of: Moment | None = None
) -> tuple[Overdue, ...]:
    """The uses while a tool was overdue, oldest first. Refused attempts are among them; struck readings are not.

    Args:
        book: the record.
        since, until: the window of performed work; `until` is not included.
        as_of: what was known then, or nothing for now.
    """
    start = BEGINNING if since is None else since
    end = END_OF_TIME if until is None else until
    known = END_OF_TIME if as_of is None else as_of
    every = [tool for sort in SORTS for tool in tools.tools(book.connection, sort, AsOf(known, known))]
    found = [each for tool in every for each in _of_tool(book, tool, known) if start <= each.use.at < end]
    return tuple(
        sorted(found, key=lambda each: (each.use.at, each.use.recorded, each.use.station, each.use.number))
    )


def _of_tool(book: Book, tool: Tool, known: Moment) -> Iterator[Overdue]:
    connection = book.connection
    uses = uses_of(connection, tool.tool, BEGINNING, END_OF_TIME, AsOf(known, known))
    if not uses:
        return
    limits = limits_told.told(connection, tool.tool, AsOf(END_OF_TIME, known))
    rules = stations.rule_changes(connection, book.station, known)
    history = History(
        calibrations(connection, tool.tool, AsOf(END_OF_TIME, known), points=False),
        [*(each.at for each in limits), *(each.at for each in rules)],
        lambda at: tools.tool(connection, tool.tool, AsOf(at, known)) or tool,
        lambda at: stations.rules_at(rules, at).due_through,
        book.zone,
    )
    for use, grounds in overdue(history, uses):
        reading = readings.reading(connection, use.station, use.number)
        if use.role not in NOT_LISTED and reading is not None:
            yield Overdue(tool, use, reading, grounds)
