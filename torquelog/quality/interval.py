"""Advice on a tool's calibration interval, from its own results and from those of tools like it. Quality decides."""

from datetime import date
from itertools import pairwise
from typing import NamedTuple

from torquelog.book.opening import Book
from torquelog.book.recall_causes import outside
from torquelog.book.toolbox import tool_named
from torquelog.clock import add_period, local_date
from torquelog.errors import TorquelogError
from torquelog.facts import tools
from torquelog.facts.calibrations import Calibration, calibrations
from torquelog.facts.stations import rules
from torquelog.facts.tools import Tool
from torquelog.rules import interval_advice, recall_window
from torquelog.rules.interval_advice import Past
from torquelog.torque.interval import Advice, from_family


class Advised(NamedTuple):
    """The advice on a tool.

    Attributes:
        tool: the tool.
        days: its present interval, days.
        target: the share of tools that is wanted in tolerance, percent.
        advice: what the results together speak for.
        own, family: what its own drift and its family speak for.
        history: its past intervals, oldest first.
        members: the tools of the family, itself included.
        good, tested: how many results of the family were found in tolerance, of how many.
    """

    tool: Tool
    days: int
    target: int
    advice: Advice
    own: Advice
    family: Advice
    history: tuple[Past, ...]
    members: tuple[str, ...]
    good: int
    tested: int


def advise(book: Book, name: str, sort: str = "") -> Advised:
    """Advise on the interval of a wrench or tester.

    Args:
        book: the record.
        name: the tool's number.
        sort: which sort of tool is meant, "" for any.

    Raises:
        TorquelogError: `tool-unknown`, `accuracy-missing`, `interval-missing`.
    """
    tool = tool_named(book.connection, name, sort)
    if tool.accuracy is None:
        raise TorquelogError(
            "accuracy-missing",
            f"{tool.tool} is registered without an accuracy, so nothing says what is good.",
        )
    mine = recall_window.in_order(calibrations(book.connection, tool.tool))
    days = _interval(tool, mine, local_date(book.clock.now(), book.zone))
    target = rules(book.connection, book.station).whole("reliability-percent")
    where = interval_advice.places(mine[-1]) if mine else ()
    history = tuple(
        interval_advice.past(left, found, (recall_window.found_day(found) - left.on).days, where)
        for left, found in pairwise(mine)
        if recall_window.has_found(found)
    )
    own = interval_advice.own_advice(history, where, tool.accuracy, target / 100, days)
    members = [each for each in tools.tools(book.connection, tool.sort) if _alike(each, tool)]
    verdicts = [verdict for each in members for verdict in _verdicts(book, each)]
    family = from_family(sum(verdicts), len(verdicts), days, target / 100)
    return Advised(
        tool=tool, days=days, target=target, advice=interval_advice.together(own, family), own=own, family=family,
        history=history, members=tuple(each.tool for each in members), good=sum(verdicts), tested=len(verdicts),
    )  # fmt: skip


def _interval(tool: Tool, mine: tuple[Calibration, ...], today: date) -> int:
    """The present interval in days: the tool's, else what its newest certificate says."""
    newest = mine[-1] if mine else None
    if tool.every is not None:
        begins = newest.on if newest else today
        return (add_period(begins, tool.every) - begins).days
    if newest is not None and newest.due is not None and newest.due > newest.on:
        return (newest.due - newest.on).days
    raise TorquelogError(
        "interval-missing",
        f"Nothing says when {tool.tool} is due: there is no interval to advise on.",
        hint=f"torquelog {tool.sort} show {tool.tool}",
    )


def _alike(each: Tool, tool: Tool) -> bool:
    """Whether two tools are of one family: sort, type, maker, scales, accuracy and interval are the same."""
    return _family(each) == _family(tool)


def _family(tool: Tool) -> tuple[object, ...]:
    scales = tuple(sorted((each.low.newton_metres, each.high.newton_metres) for each in tool.scales))
    return tool.sort, tool.type, tool.maker.casefold(), scales, tool.accuracy, tool.every


def _verdicts(book: Book, tool: Tool) -> list[bool]:
    """For each certificate that says how the tool was found after an interval: whether it was in tolerance."""
    mine = recall_window.in_order(calibrations(book.connection, tool.tool))
    return [
        not outside(each, tool.accuracy)
        for each in mine[1:]
        if tool.accuracy is not None and recall_window.has_found(each)
    ]
