"""Which tools could do it instead. Looked for outside any transaction, as it judges many tools."""

from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from typing import NamedTuple

from torquelog.book.opening import Book
from torquelog.book.toolbox import fitness_at
from torquelog.clock import Moment
from torquelog.facts import custody, tools
from torquelog.facts.custody import Whereabouts
from torquelog.facts.tools import Tool
from torquelog.rules.fitness import Fitness

Needs = Callable[[Tool], Sequence[Fraction]]
"""What a tool would have to indicate, in N·m: one value for each reading of the work."""


class Alternative(NamedTuple):
    """A tool that could be used: which, where it is, and how fit."""

    tool: Tool
    where: Whereabouts
    fitness: Fitness


def alternatives(
    book: Book,
    needs: Needs | None = None,
    *,
    sort: str = "wrench",
    person: str = "",
    direction: str = "",
    uses: int = 1,
    without: Iterable[str] = (),
    most: int = 5,
) -> tuple[Alternative, ...]:
    """Tools that may be used now and reach what is needed: first the person's own, then those in the crib.

    Tools that others have are left out, and so are those whose cycles do not last.

    Args:
        book: the record.
        needs: what each tool would have to indicate; without it any fit tool will do.
        sort: which sort of tool.
        person: who needs it, or "".
        direction: `cw`, `ccw`, or "" for any.
        uses: how many actuations are needed.
        without: tools that are out of the question.
        most: how many are given at most.
    """
    now = book.clock.now()
    left_out = frozenset(without)
    found = []
    for tool in tools.tools(book.connection, sort):
        if tool.tool in left_out:
            continue
        where = custody.whereabouts(book.connection, tool.tool)
        if not _within_reach(where, person):
            continue
        each = _judged(book, tool, where, now, needs, direction, uses)
        if each is not None:
            found.append(each)
    return tuple(sorted(found, key=lambda each: _rank(each, person))[:most])


def _within_reach(where: Whereabouts, person: str) -> bool:
    return where.kind in ("crib", "place") or (where.kind == "person" and where.person == person)


def _judged(
    book: Book,
    tool: Tool,
    where: Whereabouts,
    now: Moment,
    needs: Needs | None,
    direction: str,
    uses: int,
) -> Alternative | None:
    values = needs(tool) if needs else ()
    if values and not any(_on_scale(tool, value) for value in values):
        return None
    fitness = fitness_at(book.connection, book, tool, now, direction=direction)
    lasts = fitness.cycles_left is None or fitness.cycles_left >= uses
    if fitness.grounds or not lasts or not all(reaches(tool, fitness, value) for value in values):
        return None
    return Alternative(tool, where, fitness)


def reaches(tool: Tool, fitness: Fitness, newton_metres: Fraction) -> bool:
    """Whether a fit tool can be set to a torque: on one of its scales, inside its calibrated range."""
    if not _on_scale(tool, newton_metres):
        return False
    return fitness.calibrated is None or fitness.calibrated[0] <= newton_metres <= fitness.calibrated[1]


def _on_scale(tool: Tool, newton_metres: Fraction) -> bool:
    return any(scale.low.newton_metres <= newton_metres <= scale.high.newton_metres for scale in tool.scales)


def _rank(each: Alternative, person: str) -> tuple[bool, bool, str]:
    own = each.where.kind == "person" and each.where.person == person
    return not own, each.where.kind != "crib", each.tool.tool


def middle_of(tool: Tool) -> Fraction | None:
    """The middle of a tool's first scale, in N·m; what a tool that replaces it has to reach."""
    if not tool.scales:
        return None
    return (tool.scales[0].low.newton_metres + tool.scales[0].high.newton_metres) / 2
