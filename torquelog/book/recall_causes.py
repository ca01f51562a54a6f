"""Pending recalls: what calls for one by itself and has got neither a recall nor an answer yet."""

import sqlite3
from collections.abc import Callable, Collection, Iterable, Iterator
from fractions import Fraction
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from torquelog import clock
from torquelog.clock import Moment, day_end, local_date
from torquelog.errors import TorquelogError
from torquelog.facts import calibrations, custody, recall_causes, recalls, stations, tested, tools
from torquelog.facts.calibrations import Calibration, Point
from torquelog.facts.conditions import FAILED_CHECK
from torquelog.facts.recall_causes import Event, Withdrawn
from torquelog.facts.rows import END_OF_TIME, LATEST, AsOf
from torquelog.facts.tested import Check
from torquelog.facts.tools import Tool
from torquelog.ledger import store
from torquelog.ledger.form import reference
from torquelog.rules import recall_window, sayings
from torquelog.rules.days import day_name
from torquelog.rules.recall_window import Window
from torquelog.torque import conformity
from torquelog.torque.number import display
from torquelog.torque.pair import Pair
from torquelog.torque.units import in_unit

BEGINNING: Final[Moment] = -62_135_596_800_000
_BEFELL: Final = {"lost": "was reported lost", FAILED_CHECK: "failed a check"}
SHARE: Final = Fraction(1, 100)
"""How far a length or ratio may be from the one it was used by before that calls for a recall: 1 %.

It changes the torque by less than that share, for the lever is only a part of the arm.
"""


class Cause(NamedTuple):
    """What calls for a recall.

    Attributes:
        station, number: the entry.
        code: one of `rules.recall_codes.CAUSES`.
        sort, tool: the tool.
        calibration: the certificate concerned, or "".
        recorded: when it was recorded.
        window: the time in doubt.
        text: what happened, a sentence.
    """

    station: str
    number: int
    code: str
    sort: str
    tool: str
    calibration: str
    recorded: Moment
    window: Window
    text: str

    @property
    def reference(self) -> str:
        """The entry."""
        return reference(self.station, self.number)


def home_zone(connection: sqlite3.Connection) -> ZoneInfo:
    """Where this file's own station counts its days."""
    own = store.own_station(connection)
    found = stations.station(connection, own) if own else None
    return clock.zone(found.zone if found else "UTC")


def pending(connection: sqlite3.Connection, as_of: AsOf = LATEST, tool: str = "") -> list[Cause]:
    """What calls for a recall and has got none, and no answer, oldest first.

    Args:
        connection: the record.
        as_of: `at` bounds when the causes, recalls and answers were recorded.
        tool: one tool's number, or "" for all of them.
    """
    answered = recalls.answered(connection, as_of)
    return _causes(connection, as_of, tool, lambda entry: entry not in answered)


def causes_of(connection: sqlite3.Connection, tool: str, entries: Collection[tuple[str, int]]) -> list[Cause]:
    """The causes that entries about a tool are, answered or not; an entry that is none is passed over."""
    return _causes(connection, LATEST, tool, lambda entry: entry in entries) if entries else []


def _causes(
    connection: sqlite3.Connection, as_of: AsOf, tool: str, wanted: Callable[[tuple[str, int]], bool]
) -> list[Cause]:
    facts = Facts(connection, as_of)
    found: list[Cause] = []
    for entry in recall_causes.doubtful(connection, as_of, tool):
        if wanted(entry[:2]):
            found += facts.failed(entry.tool, entry[:2])
    for entry in recall_causes.measured(connection, as_of, tool):
        if wanted(entry[:2]):
            found += facts.measured(entry.tool, entry[:2])
    for event in recall_causes.events(connection, as_of, tool):
        if wanted(event[:2]):
            found += facts.befell(event)
    for each in recall_causes.withdrawn(connection, as_of, tool):
        if wanted(each[:2]):
            found += facts.withdrawn(each)
    return sorted(found, key=lambda each: (each.recorded, each.station, each.number))


class Facts:
    """What is asked about tools to find the windows of causes, each tool once."""

    def __init__(self, connection: sqlite3.Connection, as_of: AsOf = LATEST) -> None:
        self._connection = connection
        # Where a window begins and ends rests on everything that is known, not only on what was so by then.
        self._as_of = AsOf(END_OF_TIME, as_of.known)
        self.zone = home_zone(connection)
        self._calibrations: dict[str, tuple[Calibration, ...]] = {}
        self._testers: dict[str, list[Window]] = {}

    def calibrations(self, tool: str) -> tuple[Calibration, ...]:
        """The certificates of a tool with their results, in the order of their days."""
        if tool not in self._calibrations:
            self._calibrations[tool] = self.read(tool)
        return self._calibrations[tool]

    def read(self, tool: str) -> tuple[Calibration, ...]:
        """The same, for those who ask about more tools than can be held."""
        return recall_window.in_order(calibrations.calibrations(self._connection, tool, self._as_of))

    def tool(self, number: str) -> Tool | None:
        """The tool, as registered."""
        return tools.tool(self._connection, number, self._as_of)

    def window(self, tool: str, found: Calibration) -> Window:
        """The time that a certificate's results as found speak of: from the last good one until it was out of use."""
        until = day_end(recall_window.found_day(found), self.zone) - 1
        good = recall_window.last_good(self.calibrations(tool), found)
        since = self.since_of(tool, good, until)
        known = self.tool(tool)
        bad = outside(found, known.accuracy) if known and known.accuracy is not None else []
        return recall_window.narrowed(self._until(tool, since, until), bad, self.checks(tool))

    def checks(self, tool: str) -> list[Check]:
        """The checks of a tool on testers that no recall or pending cause doubts at that time."""
        found = tested.checks(self._connection, tool, self._as_of)
        return [
            each for each in found if not any(window.holds(each.at) for window in self._doubts(each.tester))
        ]

    def _doubts(self, tester: str) -> list[Window]:
        """The times in which a tester is in doubt itself."""
        if tester not in self._testers:
            waiting = pending(self._connection, self._as_of, tester)
            opened = recalls.recalls(self._connection, self._as_of)
            self._testers[tester] = [each.window for each in waiting] + [
                Window(each.since, each.until)
                for each in opened
                if (each.subject, each.name) == ("tester", tester)
            ]
        return self._testers[tester]

    def since_of(self, tool: str, good: Calibration | None, until: Moment) -> Moment:
        """Where the time begins for which a certificate stood, or the first use where there is none."""
        if good is None:
            uses = self._uses(tool, BEGINNING, until + 1)
            return min(uses[0], until) if uses else clock.day_start(local_date(until, self.zone), self.zone)
        first = min(self.calibrations(tool), key=lambda each: (each.recorded, each.station, each.number))
        uses = self._uses(tool, clock.day_start(good.on, self.zone), until + 1)
        return recall_window.since_good(
            good, first=good.reference == first.reference, used=uses[0] if uses else None, zone=self.zone
        )

    def _until(self, tool: str, since: Moment, latest: Moment) -> Window:
        moves = custody.moves(self._connection, tool, self._as_of)
        uses = self._uses(tool, since, latest + 1)
        until = recall_window.out_of_use(moves, since, latest, uses[1] if uses else None, self.zone)
        return Window(since, until)

    def used_between(self, tool: str, after: Moment, before: Moment) -> bool:
        """Whether a reading names a tool from `after` up to, not including, `before`."""
        return self._uses(tool, after, before) is not None

    def _uses(self, tool: str, after: Moment, before: Moment) -> tuple[Moment, Moment] | None:
        """The first and the last use; a tester is used on the days on which it measured other tools."""
        found = recall_causes.first_and_last_use(self._connection, tool, after, before, self._as_of)
        if found is not None:
            return found
        days = recall_causes.days_measured(self._connection, tool, self._as_of)
        inside = [start for day in days if after <= (start := clock.day_start(day, self.zone)) < before]
        return (inside[0], inside[-1]) if inside else None

    def failed(self, number: str, entry: tuple[str, int]) -> Iterator[Cause]:
        """The cause that a certificate is whose results as found are outside the tool's accuracy."""
        tool, found = self.tool(number), self.certificate(number, entry)
        if tool is None or found is None or tool.accuracy is None:
            return
        bad = outside(found, tool.accuracy)
        if bad:
            worst = max(bad, key=lambda pair: abs(pair.indicated - pair.reference) / pair.reference)
            unit = found.points[0].indicated.unit
            shown, real = (display(in_unit(end, unit), 4) for end in (worst.indicated, worst.reference))
            text = (
                f"{number} failed calibration {found.certificate} on {day_name(recall_window.found_day(found))}, "
                f"as found, {sayings.ROUND[worst.direction]}: {shown} {unit} shown was {real} {unit} applied."
            )
            yield self._of(found, "failed-as-found", tool, self.window(number, found), text)

    def measured(self, number: str, entry: tuple[str, int]) -> Iterator[Cause]:
        """The cause that a certificate is which measured an adapter other than it was used."""
        tool, found = self.tool(number), self.certificate(number, entry)
        if tool is None or found is None:
            return
        before, now = used_as(tool, self.calibrations(number), found), measure_of(found)
        if before is None or now is None or abs(now - before) <= SHARE * abs(before):
            return
        was = display(before * 1000, 6) + " mm" if found.length else display(before, 6)
        is_now = display(now * 1000, 6) + " mm" if found.length else display(now, 6)
        text = (
            f"{number} was measured by {found.certificate} on {day_name(found.on)}: it is {is_now}, "
            f"and was used as {was}."
        )
        yield self._of(found, "measured-different", tool, self.measured_window(number, found), text)

    def measured_window(self, number: str, found: Calibration) -> Window:
        """The time in which an adapter was used by another length: through the acceptance of the one measured."""
        window = self.window(number, found)
        cap = END_OF_TIME if found.accepted is None else found.accepted
        uses = self._uses(number, window.since, cap)
        if uses is None or uses[1] <= window.until:
            return window
        return window._replace(until=day_end(local_date(uses[1], self.zone), self.zone) - 1)

    def befell(self, event: Event) -> Iterator[Cause]:
        """The cause that a report is: from the event on until the tool was out of use."""
        tool = self.tool(event.tool)
        if tool is None:
            return
        day = local_date(event.at, self.zone)
        after = [each for each in self.calibrations(event.tool) if recall_window.found_day(each) >= day]
        cleared = next((each for each in after if each.accepted and each.accepted > event.at), None)
        latest = day_end(local_date(event.recorded, self.zone), self.zone) - 1
        cap = END_OF_TIME if cleared is None or cleared.accepted is None else cleared.accepted
        uses = self._uses(event.tool, event.at, cap)
        until = max(latest, uses[1]) if uses else latest
        until = day_end(local_date(until, self.zone), self.zone) - 1
        words = _BEFELL.get(event.what, f"was {event.what}")
        text = f"{event.tool} {words} on {day_name(day)}" + (f": {event.why}" if event.why else ".")
        calibration = next((each.reference for each in after if recall_window.has_found(each)), "")
        yield Cause(
            event.station, event.number, event.what, tool.sort, event.tool, calibration, event.recorded,
            Window(self._doubtful_since(event), until), text,
        )  # fmt: skip

    def _doubtful_since(self, event: Event) -> Moment:
        """From when a tool is in doubt: from the event on, or before a failed check from when it was last good."""
        if event.what != FAILED_CHECK:
            return event.at
        every = tested.checks(self._connection, event.tool, self._as_of)
        own = next((each for each in every if (each.station, each.number) == event[:2]), None)
        good = [each for each in self.calibrations(event.tool) if each.accepted and each.accepted <= event.at]
        since = self.since_of(event.tool, good[-1] if good else None, event.at)
        failed = own.failed if own else ()
        return recall_window.narrowed(Window(since, event.at), failed, self.checks(event.tool)).since

    def withdrawn(self, each: Withdrawn) -> Iterator[Cause]:
        """The cause that a withdrawal is: all work that rested on the certificate."""
        found = calibrations.calibration(
            self._connection, each.calibration_station, each.calibration_number, self._as_of
        )
        tool = self.tool(found.tool) if found else None
        if found is None or tool is None or found.accepted is None:
            return
        mine = self.calibrations(found.tool)
        newer = [other for other in mine if other.accepted and other.accepted > found.accepted]
        cap = min((other.accepted for other in newer if other.accepted), default=each.recorded)
        since = self.since_of(found.tool, found, cap)
        text = f"Certificate {found.certificate} of {found.tool}, {day_name(found.on)}, was withdrawn: {each.why}"
        yield Cause(
            each.station, each.number, "withdrawn", tool.sort, found.tool, found.reference, each.recorded,
            self._until(found.tool, since, day_end(local_date(cap, self.zone), self.zone) - 1), text,
        )  # fmt: skip

    def certificate(self, tool: str, entry: tuple[str, int]) -> Calibration | None:
        """The certificate of a tool with this entry."""
        return next((each for each in self.calibrations(tool) if (each.station, each.number) == entry), None)

    def _of(self, found: Calibration, code: str, tool: Tool, window: Window, text: str) -> Cause:
        return Cause(
            found.station,
            found.number,
            code,
            tool.sort,
            tool.tool,
            found.reference,
            found.recorded,
            window,
            text,
        )


def outside(found: Calibration, accuracy: Fraction) -> list[Pair]:
    """The results as found that are outside the accuracy, by the certificate's decision rule (`failing`)."""
    return failing(found.points, accuracy, found.decision)


def failing(points: Iterable[Point], accuracy: Fraction, decision: str) -> list[Pair]:
    """The results as found that are outside the accuracy, by a decision rule.

    Where that rule asks for an uncertainty that a result does not have, simple acceptance decides it.
    """
    pairs = [pair for pair in calibrations.pairs(points) if pair.state in recall_window.FOUND]
    deciding: conformity.Rule = next(
        (each for each in conformity.RULES if each == decision), "simple-acceptance"
    )
    return [pair for pair in pairs if _fails(pair, accuracy, deciding)]


def _fails(pair: Pair, accuracy: Fraction, deciding: conformity.Rule) -> bool:
    try:
        return conformity.judged(pair, accuracy, deciding=deciding) in ("fail", "conditional-fail")
    except TorquelogError:
        return conformity.judged(pair, accuracy) == "fail"


def measure_of(found: Calibration) -> Fraction | None:
    """The length in metres, or the ratio, that a certificate measured."""
    return found.length.metres if found.length else found.multiplier


def used_as(tool: Tool, of_tool: tuple[Calibration, ...], found: Calibration) -> Fraction | None:
    """The length in metres, or the ratio, by which an adapter was used until a certificate measured it."""
    earlier = of_tool[: of_tool.index(found)]
    measured = [measure_of(each) for each in earlier if each.accepted is not None]
    known = [each for each in measured if each is not None]
    if known:
        return known[-1]
    return tool.length.metres if tool.length else tool.multiplier
