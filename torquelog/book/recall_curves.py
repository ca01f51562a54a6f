"""The times between a tool's certificates and the error curves of these, as a recall asks for them.

A record of years holds thousands of certificates, and a recall of somebody's work may ask for each of them again and
again. Of a certificate no more is held than when and where it counts; of the curves those that were asked for last, and
the results of the others are read again.
"""

import sqlite3
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from datetime import date
from itertools import accumulate
from typing import Final, NamedTuple

from torquelog.book.recall_causes import Facts, failing
from torquelog.clock import Moment, day_start
from torquelog.facts.calibrations import Calibration, Point, pairs, results
from torquelog.facts.tools import Tool
from torquelog.rules import recall_window
from torquelog.rules.recall_verdict import corrected
from torquelog.torque.curve import Curve, Indeterminate, error_curve

MOST: Final = 1024
"""How many curves are held."""


class Known(NamedTuple):
    """What is held of a certificate: its entry, its day, the unit of its results, its tester, how it decides, its end."""

    station: str
    number: int
    on: date
    unit: str
    tester: str
    decision: str
    withdrawn: bool


class Span(NamedTuple):
    """A time between two calibrations of a tool, as `recall_window.Term`."""

    ends: Moment | None
    left: Known | None
    found: Known | None


class Spans:
    """The times between the calibrations of a tool."""

    def __init__(self, certificates: Sequence[Calibration], facts: Facts) -> None:
        known = {each.reference: _known(each) for each in certificates}
        self._spans = [
            Span(term.ends, _of(known, term.left), _of(known, term.found))
            for term in recall_window.terms(certificates, facts.zone)
        ]
        # A moment belongs to the first that has not ended then; one that ends before an earlier one is never reached.
        self._latest = list(accumulate((each.ends for each in self._spans if each.ends is not None), max))

    def at(self, moment: Moment) -> Span:
        """The time that a moment belongs to."""
        return self._spans[bisect_right(self._latest, moment)]


class Curves:
    """What a recall asks about the certificates of tools."""

    def __init__(
        self,
        connection: sqlite3.Connection,
        facts: Facts,
        tester: str = "",
        rests_on: Calibration | None = None,
    ) -> None:
        """Hold nothing yet.

        Args:
            connection: the record.
            facts: what is asked about tools.
            tester: the tester that is recalled, or "".
            rests_on: the certificate on which that rests, or nothing.
        """
        self._connection = connection
        self._facts = facts
        self._recalled = (tester, rests_on)
        self._tools: dict[str, Tool | None] = {}
        self._spans: dict[str, Spans] = {}
        self._doubted: dict[Known, bool] = {}
        self._curves: dict[tuple[str, int, str, str], Curve | Indeterminate] = {}

    def tool(self, number: str) -> Tool | None:
        """The tool, as registered."""
        if number not in self._tools:
            self._tools[number] = self._facts.tool(number)
        return self._tools[number]

    def span(self, tool: str, at: Moment) -> Span:
        """The time between two calibrations of a tool that a moment belongs to."""
        spans = self._spans.get(tool)
        if spans is None:
            spans = self._spans[tool] = Spans(self._facts.read(tool), self._facts)
        return spans.at(at)

    def curve(self, found: Known | None, direction: str, state: str) -> Curve | Indeterminate:
        """The error curve that a certificate gives in one direction and state, or why there is none."""
        if found is None:
            return Indeterminate(f"no-result-{state}")
        if found.withdrawn:
            return Indeterminate("certificate-withdrawn")
        key = (found.station, found.number, direction, state)
        curve = self._curves.pop(key, None)
        if curve is None:
            curve = self._made(found, direction, state)
            if len(self._curves) >= MOST:
                del self._curves[next(iter(self._curves))]  # the one that nobody asked for the longest
        self._curves[key] = curve
        return curve

    def _made(self, found: Known, direction: str, state: str) -> Curve | Indeterminate:
        measured = pairs(results(self._connection, found.station, found.number))
        tester = self._tester_curve(found, direction)
        return error_curve(measured if tester is None else corrected(measured, tester), direction, state)

    def _tester_curve(self, found: Known, direction: str) -> Curve | Indeterminate | None:
        """How the tester that measured a certificate was found itself; nothing where it is in no doubt."""
        if not found.tester:
            return None
        name, by = self._recalled
        if name == found.tester:
            return Indeterminate("no-result-as-found") if by is None else _as_found(by.points, direction)
        known = self.span(found.tester, day_start(found.on, self._facts.zone)).found
        if known is None or not self._in_doubt(found.tester, known):
            return None
        return _as_found(results(self._connection, known.station, known.number), direction)

    def _in_doubt(self, tester: str, known: Known) -> bool:
        """Whether a tester's certificate found it outside its accuracy."""
        if known not in self._doubted:
            tool, points = self.tool(tester), results(self._connection, known.station, known.number)
            accuracy = tool.accuracy if tool else None
            self._doubted[known] = accuracy is not None and bool(failing(points, accuracy, known.decision))
        return self._doubted[known]


def _as_found(points: Sequence[Point], direction: str) -> Curve | Indeterminate:
    return error_curve(pairs(points), direction, "as-found")


def _known(found: Calibration) -> Known:
    return Known(
        found.station, found.number, found.on, found.points[0].indicated.unit if found.points else "", found.tester,
        found.decision, found.withdrawn is not None,
    )  # fmt: skip


def _of(known: Mapping[str, Known], found: Calibration | None) -> Known | None:
    return None if found is None else known[found.reference]
