"""The interval and the cycle limit of a tool, set anew by quality: from now on and never backwards."""

from typing import NamedTuple

from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.toolbox import fitness_at, tool_named
from torquelog.book.writing import writing
from torquelog.clock import Period
from torquelog.errors import TorquelogError
from torquelog.facts import tools
from torquelog.facts.tools import Tool
from torquelog.rules.fitness import Fitness


class LimitsSet(NamedTuple):
    """Limits set: the tool before and after, how fit it is now, and the entry."""

    before: Tool
    after: Tool
    fitness: Fitness
    reference: str


def set_limits(
    book: Book, signer: Signer, name: str, *, every: Period | None, cycles: int | None, why: str, sort: str = ""
) -> LimitsSet:  # fmt: skip
    """Set a tool's interval, its cycle limit, or both. Quality, by passphrase.

    Work done before it is judged by what was set before, also where it is told later.

    Args:
        book, signer: where, and who signs.
        name: the tool's number.
        every: the interval from now on, or nothing to leave it.
        cycles: the cycle limit from now on, or nothing to leave it.
        why: the reason.
        sort: which sort of tool is meant, "" for any.

    Raises:
        TorquelogError: `tool-unknown`, `needs-option` where nothing is to be set, `limits-same`, `tool-facts`.
    """
    if every is None and cycles is None:
        raise TorquelogError(
            "needs-option",
            "Nothing is said that should be set.",
            hint='Add --every "6 months", --cycles 4000, or both.',
        )
    if cycles is not None and cycles < 1:
        raise TorquelogError(
            "tool-facts", "A limit of no cycles lets nobody use a tool.", hint="Retire it instead."
        )
    with writing(book) as w:
        tool = tool_named(w.connection, name, sort)
        if every in (None, tool.every) and cycles in (None, tool.cycles):
            raise TorquelogError(
                "limits-same", f"{tool.tool} has these limits already. Nothing was recorded."
            )
        body = {"tool": tool.tool, "why": why}
        if every is not None and every != tool.every:
            body["every"] = str(every)
        if cycles is not None and cycles != tool.cycles:
            body["cycles"] = str(cycles)
        entry = w.append(signer, "tool-limits", body)
        after = tools.tool(w.connection, tool.tool)
        assert after is not None  # noqa: S101  it was there a moment ago
        return LimitsSet(tool, after, fitness_at(w.connection, book, after, w.time()), entry.reference)
