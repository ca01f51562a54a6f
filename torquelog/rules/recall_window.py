"""The window of a recall: from when a tool was last known to be good until it was out of use.

How a tool was at a moment is told by two certificates: the one before says how it was left, the one after how
it was found. A certificate stands for the tool itself, accepted here or not.
"""

from collections.abc import Iterable, Sequence
from datetime import date
from fractions import Fraction
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from torquelog.clock import Moment, day_end, day_start, local_date
from torquelog.facts.calibrations import Calibration
from torquelog.facts.custody import Move
from torquelog.facts.tested import Check
from torquelog.torque.pair import Pair

OUT_OF_USE: Final = frozenset({"return", "send", "retire"})
FOUND: Final = frozenset({"as-found", "unchanged"})
NEAR: Final = Fraction(1, 10)
"""How far beyond the readings of a check, as a share, it still says something of the tool."""


class Window(NamedTuple):
    """A span of time in milliseconds since 1970 UTC; both ends belong to it."""

    since: Moment
    until: Moment

    def holds(self, at: Moment) -> bool:
        """Whether a moment lies inside."""
        return self.since <= at <= self.until

    def covers(self, other: "Window") -> bool:
        """Whether all of another window lies inside."""
        return self.since <= other.since and other.until <= self.until


class Term(NamedTuple):
    """A time between two calibrations of a tool.

    Attributes:
        ends: the first moment that no longer belongs to it, or nothing for the last one.
        left: the certificate that it began with, or nothing before the first one.
        found: the certificate that ended it, or nothing while there is none.
    """

    ends: Moment | None
    left: Calibration | None
    found: Calibration | None


def in_order(calibrations: Sequence[Calibration]) -> tuple[Calibration, ...]:
    """Certificates by the day of calibration, those of one day as they were recorded."""
    return tuple(sorted(calibrations, key=lambda each: (each.on, each.recorded, each.station, each.number)))


def found_day(calibration: Calibration) -> date:
    """The day of the results as found."""
    return calibration.found_on or calibration.on


def terms(calibrations: Sequence[Calibration], zone: ZoneInfo) -> tuple[Term, ...]:
    """The times between the calibrations of a tool, oldest first, through the one that still runs.

    The day on which it was found belongs to the time before, unless it was accepted back on that very day. A
    first certificate that found nothing counts from the start of its day.
    """
    found: list[Term] = []
    before: Calibration | None = None
    for each in in_order(calibrations):
        ends = day_end(found_day(each), zone)
        if each.accepted is not None:
            ends = min(ends, each.accepted)
        if before is None and not has_found(each):
            ends = min(ends, day_start(each.on, zone))
        found.append(Term(ends, before, each))
        before = each
    return (*found, Term(None, before, None))


def states(calibration: Calibration) -> frozenset[str]:
    """The states of a certificate's results."""
    return frozenset(point.state for point in calibration.points)


def has_found(calibration: Calibration) -> bool:
    """Whether a certificate says how the tool was found: by results, or by a length or ratio measured."""
    measured = calibration.length is not None or calibration.multiplier is not None
    return measured or bool(states(calibration) & FOUND)


def last_good(calibrations: Sequence[Calibration], found: Calibration) -> Calibration | None:
    """The last certificate before another one of them that was accepted back, or nothing."""
    every = in_order(calibrations)
    earlier = every[: every.index(found)]
    return next((each for each in reversed(earlier) if each.accepted is not None), None)


def since_good(good: Calibration, *, first: bool, used: Moment | None, zone: ZoneInfo) -> Moment:
    """The beginning of the day on which a certificate was accepted back.

    A tool's first certificate counts from the start of its calibration day, so work told for the days before
    the acceptance moves the beginning there.

    Args:
        good: the certificate, accepted.
        first: whether it is the tool's first one here.
        used: the first use from the start of its calibration day on, or nothing.
        zone: where days are counted.
    """
    assert good.accepted is not None  # noqa: S101  a good one was accepted back
    begins = day_start(local_date(good.accepted, zone), zone)
    return day_start(good.on, zone) if first and used is not None and used < begins else begins


def out_of_use(
    moves: Sequence[Move], since: Moment, latest: Moment, used: Moment | None, zone: ZoneInfo
) -> Moment:
    """The last moment of the day on which a tool went out of use.

    It is the day of the last return (or sending away, or retirement) in the time asked about, else the last
    day of that time. A later use that is on record all the same moves it on: what somebody did counts, not
    where the tool should have been.

    Args:
        moves: every act of custody of the tool, oldest first.
        since: where the time begins.
        latest: the last moment of that time.
        used: the last use in that time, or nothing.
        zone: where days are counted.
    """
    ends = [each.at for each in moves if each.act in OUT_OF_USE and since <= each.at <= latest]
    last = max(ends[-1] if ends else latest, since)
    if used is not None:
        last = max(last, used)
    return day_end(local_date(last, zone), zone) - 1


def narrowed(window: Window, failed: Sequence[Pair], checks: Iterable[Check]) -> Window:
    """A window that begins with the newest check in it which shows that the tool was still good.

    A check shows it only where it measured what failed later: the same direction, and for each result that failed a
    reading near it or readings on both sides. A check at one torque says nothing of another.

    Args:
        window: from the last known good certificate on.
        failed: the results that failed at its end, N·m.
        checks: of the tool, on testers that are not in doubt themselves.
    """
    good = [
        each.at
        for each in checks
        if each.outcome == "within" and window.holds(each.at) and failed and _measured(each, failed)
    ]
    return window._replace(since=max(good, default=window.since))


def _measured(check: Check, failed: Sequence[Pair]) -> bool:
    for pair in failed:
        shown = [each.reading.newton_metres for each in check.pairs if each.direction == pair.direction]
        if not shown or not min(shown) * (1 - NEAR) <= pair.indicated <= max(shown) * (1 + NEAR):
            return False
    return True


def without_found(calibrations: Sequence[Calibration], window: Window, zone: ZoneInfo) -> list[Term]:
    """The times before and inside a window of which no results tell how the tool was found at their end.

    Each is a finding of its own. They are looked for backwards from the window's end, up to the first time
    before it that ended with results as found.
    """
    known: list[Term] = []
    ended = [term for term in terms(calibrations, zone) if term.left is not None and term.found is not None]
    for term in reversed(ended):
        assert term.found is not None  # noqa: S101  as chosen above
        assert term.ends is not None  # noqa: S101  what found it ended it
        if has_found(term.found):
            if term.ends <= window.since:
                break
        elif term.ends <= window.until:
            known.append(term)
    return known[::-1]
