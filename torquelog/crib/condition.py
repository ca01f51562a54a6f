"""What befalls tools: reports, quarantine and its release, restrictions and their lifting."""

from collections.abc import Sequence
from typing import Any, NamedTuple

from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.toolbox import fitness_at, tool_named
from torquelog.book.writing import Writing, writing
from torquelog.clock import Moment, offset_text
from torquelog.crib.custody import earlier
from torquelog.errors import TorquelogError
from torquelog.facts.conditions import REPORTS, conditions
from torquelog.facts.members import quantity
from torquelog.facts.tools import Tool
from torquelog.facts.uses import ToolUse, uses_of
from torquelog.rules import validity
from torquelog.rules.fitness import Fitness
from torquelog.torque.pair import DIRECTIONS
from torquelog.torque.units import Torque

_FROM_NOW_ON = ("found", "released", "unrestricted")
"""What makes a tool good again counts from its recording, whatever time is told with it."""


class Told(NamedTuple):
    """Something told of a tool.

    Attributes:
        tool: the tool.
        what: what was told: one of `facts.conditions.REPORTS`, quarantined, released, restricted or unrestricted.
        at: since when it is so.
        now: when it was recorded.
        fitness: how fit the tool is now.
        used_since: the uses between `at` and now that were judged without knowing it.
        reference: the entry.
    """

    tool: Tool
    what: str
    at: Moment
    now: Moment
    fitness: Fitness
    used_since: tuple[ToolUse, ...]
    reference: str


def report(
    book: Book, signer: Signer, name: str, what: str, *, why: str = "", at: Moment | None = None, sort: str = ""
) -> Told:  # fmt: skip
    """Report that a tool was dropped, overloaded, damaged, repaired, lost or found. Anybody may.

    Args:
        book, signer: where, and who signs.
        name: the tool's number.
        what: one of `facts.conditions.REPORTS`.
        why: what happened, or "".
        at: when, or nothing for now. A finding counts from now on, whenever it was.
        sort: which sort of tool is meant, "" for any.

    Raises:
        TorquelogError: `tool-unknown`, `report-unknown`, `in-the-future`, `nothing-to-end` for a tool found
            that was not lost.
    """
    if what not in REPORTS:
        raise TorquelogError(
            "report-unknown", f'A tool cannot be reported "{what}".', hint=f"It is {', '.join(REPORTS)}."
        )
    with writing(book) as w:
        tool = tool_named(w.connection, name, sort)
        if what == "found":
            _demand_standing(w, tool, "lost", "found", f"{tool.tool} is not reported lost.")
        body = {"what": what} | ({"why": why} if why else {})
        return _tell(w, book, signer, tool, "report", body, what, at)


def quarantine(
    book: Book, signer: Signer, names: Sequence[str], *, why: str, at: Moment | None = None, sort: str = ""
) -> tuple[Told, ...]:
    """Put tools in quarantine, until quality releases them. Anybody may.

    Raises:
        TorquelogError: `tool-unknown`, `in-the-future`.
    """
    with writing(book) as w:
        return tuple(
            _tell(w, book, signer, tool, "quarantine", {"why": why}, "quarantined", at)
            for tool in _tools(w, names, sort)
        )


def release(
    book: Book, signer: Signer, names: Sequence[str], *, why: str, at: Moment | None = None, sort: str = ""
) -> tuple[Told, ...]:
    """Release tools from quarantine. Quality, by passphrase.

    Args:
        book, signer: where, and who signs.
        names: the tools' numbers.
        why: the reason.
        at: when they were looked at, or nothing for now; whatever is told, they are released from now on only.
        sort: which sort of tool is meant, "" for any.

    Raises:
        TorquelogError: `tool-unknown`, `nothing-to-end`, `in-the-future`.
    """
    with writing(book) as w:
        found = _tools(w, names, sort)
        for tool in found:
            _demand_standing(w, tool, "quarantined", "released", f"{tool.tool} is not in quarantine.")
        body = {"why": why}
        return tuple(
            _tell(w, book, signer, tool, "quarantine-release", body, "released", at) for tool in found
        )


def restrict(
    book: Book,
    signer: Signer,
    names: Sequence[str],
    *,
    low: Torque | None,
    high: Torque | None,
    direction: str,
    why: str,
    at: Moment | None = None,
    sort: str = "",
) -> tuple[Told, ...]:
    """Restrict tools to a part of their range, to one direction, or both. Quality, by passphrase.

    Args:
        book, signer: where, and who signs.
        names: the tools' numbers.
        low, high: the bounds, which belong to what is allowed; nothing for none.
        direction: cw or ccw, the only one allowed, or "" for both.
        why: the reason.
        at: since when, or nothing for now.
        sort: which sort of tool is meant, "" for any.

    Raises:
        TorquelogError: `tool-unknown`, `in-the-future`, `restriction-empty`.
    """
    if direction and direction not in DIRECTIONS:
        raise TorquelogError(
            "restriction-empty", f'"{direction[:40]}" is not a direction.', hint="It is cw or ccw."
        )
    if low is None and high is None and not direction:
        raise TorquelogError(
            "restriction-empty",
            "That restricts nothing.",
            hint='Add --range "20..80 ft-lb", --direction cw, or both.',
        )
    bounds = {end: quantity(bound) for end, bound in (("low", low), ("high", high)) if bound is not None}
    body: dict[str, Any] = bounds | ({"direction": direction} if direction else {}) | {"why": why}
    with writing(book) as w:
        return tuple(
            _tell(w, book, signer, tool, "restriction", body, "restricted", at)
            for tool in _tools(w, names, sort)
        )


def lift(
    book: Book, signer: Signer, names: Sequence[str], *, why: str, at: Moment | None = None, sort: str = ""
) -> tuple[Told, ...]:
    """Lift every restriction of tools, from now on and never backwards. Quality, by passphrase.

    Raises:
        TorquelogError: `tool-unknown`, `nothing-to-end`, `in-the-future`.
    """
    with writing(book) as w:
        found = _tools(w, names, sort)
        for tool in found:
            _demand_standing(w, tool, "restricted", "unrestricted", f"{tool.tool} is not restricted.")
        body = {"lift": "yes", "why": why}
        return tuple(_tell(w, book, signer, tool, "restriction", body, "unrestricted", at) for tool in found)


def _tools(w: Writing, names: Sequence[str], sort: str) -> list[Tool]:
    """Each tool once, in the order named."""
    found = {tool.tool: tool for tool in (tool_named(w.connection, name, sort) for name in names)}
    return list(found.values())


def _demand_standing(w: Writing, tool: Tool, begins: str, ends: str, words: str) -> None:
    if not validity.standing(conditions(w.connection, tool.tool), begins, ends):
        raise TorquelogError(
            "nothing-to-end", f"{words} Nothing was recorded.", hint=f"torquelog {tool.sort} show {tool.tool}"
        )


def _tell(
    w: Writing, book: Book, signer: Signer, tool: Tool, kind: str, body: dict[str, Any], what: str, at: Moment | None
) -> Told:  # fmt: skip
    now = w.time()
    told = now if at is None else earlier(w, at)
    then = now if what in _FROM_NOW_ON else told
    members = {"tool": tool.tool} | body | ({"at": offset_text(at, book.zone)} if at is not None else {})
    entry = w.append(signer, kind, members, at=now)
    return Told(
        tool=tool, what=what, at=then, now=now, fitness=fitness_at(w.connection, book, tool, now),
        used_since=uses_of(w.connection, tool.tool, then, now) if then < now else (),
        reference=entry.reference,
    )  # fmt: skip
