"""When a tool was in doubt, by what is known now: by a recall, by what calls for one, or by what measured it."""

import sqlite3
from collections.abc import Iterator
from typing import NamedTuple

from torquelog.book.recall_causes import Cause, Facts, pending
from torquelog.book.recall_judging import Scope
from torquelog.clock import Moment, local_date
from torquelog.facts import recall_causes, recalls, tools
from torquelog.facts.recalls import Recall
from torquelog.facts.rows import END_OF_TIME, LATEST, AsOf
from torquelog.rules import recall_window
from torquelog.rules.recall_window import Window

TOOLS = frozenset({"wrench", "adapter"})


class Doubt(NamedTuple):
    """A time in which a tool was in doubt, and by what: a recall's number, or the entry that calls for one."""

    window: Window
    by: str


class Doubts:
    """The doubts about tools, each tool looked up once."""

    def __init__(self, connection: sqlite3.Connection, as_of: AsOf = LATEST) -> None:
        self._connection = connection
        self._as_of = as_of
        self._known: dict[str, list[Doubt]] = {}
        self._badly: dict[str, list[Doubt]] | None = None
        self._recalls: list[Recall] | None = None

    def about(self, tool: str, at: Moment) -> list[str]:
        """What puts a tool in doubt at a moment: numbers of recalls, and entries; nothing where it is good."""
        if tool not in self._known:
            self._known[tool] = [*self._own(tool), *self._measured_badly().get(tool, ())]
        return [doubt.by for doubt in self._known[tool] if doubt.window.holds(at)]

    def _own(self, tool: str) -> Iterator[Doubt]:
        for recall in self._opened():
            if recall.subject in TOOLS and recall.name == tool:
                yield Doubt(Window(recall.since, recall.until), recall.recall)
        for cause in pending(self._connection, self._as_of, tool):
            yield Doubt(cause.window, cause.reference)

    def _opened(self) -> list[Recall]:
        if self._recalls is None:
            self._recalls = recalls.recalls(self._connection, self._as_of)
        return self._recalls

    def _measured_badly(self) -> dict[str, list[Doubt]]:
        """The times in which tools rested on certificates that a tester in doubt measured, by tool."""
        if self._badly is None:
            self._badly = {}
            for scope, by in self._testers():
                for tool, begins, ends in rested_on(self._connection, scope, self._as_of):
                    self._badly.setdefault(tool, []).append(Doubt(Window(begins, ends - 1), by))
        return self._badly

    def _testers(self) -> Iterator[tuple[Scope, str]]:
        for recall in self._opened():
            if recall.subject == "tester":
                yield scope_of(recall), recall.recall
        for tester in tools.tools(self._connection, "tester", self._as_of):
            for cause in pending(self._connection, self._as_of, tester.tool):
                yield scope_of_cause(cause), cause.reference


def scope_of(recall: Recall) -> Scope:
    """What an opened recall goes by."""
    return Scope(recall.subject, recall.name, recall.revision, recall.calibration, recall.since, recall.until)


def scope_of_cause(cause: Cause) -> Scope:
    """What a recall would go by that answers a cause."""
    return Scope(cause.sort, cause.tool, "", cause.calibration, *cause.window)


def rested_on(
    connection: sqlite3.Connection, scope: Scope, as_of: AsOf = LATEST
) -> list[tuple[str, Moment, Moment]]:
    """The tools measured on a tester in the window, and from when until when they were as it left them."""
    facts = Facts(connection, as_of)
    first, last = (local_date(moment, facts.zone) for moment in (scope.since, scope.until))
    found = []
    for entry in recall_causes.measured_on(connection, scope.name, as_of):
        begins: Moment | None = None
        for term in recall_window.terms(facts.calibrations(entry.tool), facts.zone):
            left = term.left
            if left is not None and (left.station, left.number) == entry[:2] and first <= left.on <= last:
                ends = END_OF_TIME if term.ends is None else term.ends
                found.append((entry.tool, ends if begins is None else begins, ends))
            begins = term.ends
    return found
