"""Keep, shorten or lengthen a calibration interval, or too few results to say: advice with its reason.

Two ways to the same question: one tool's own drift, and the share of a family of tools that comes back in
tolerance. The decision is quality's. The rules of caution are this program's own: an interval is shortened
on slight evidence and lengthened on strong, by no more than half at once, and a line through results is not
believed far beyond them.
"""

from collections.abc import Sequence
from math import floor
from typing import Final, Literal, NamedTuple

from torquelog.torque.drift import Change, Drift, days_within, drift
from torquelog.torque.reliability import binomial_limits, exponential_interval

__all__ = ["Advice", "Decision", "from_drift", "from_family"]

Decision = Literal["keep", "shorten", "lengthen", "too-few"]

LARGEST_STEP: Final = 1.5  # a new interval, to the present one or to the longest that the results rest on
WORTH_CHANGING: Final = 1.25  # less gain than this is not worth lengthening for
FEWEST_CHANGES: Final = 3  # two coefficients' worth of doubt is more than fewer can carry
FEWEST_FOR_A_BEND: Final = 6
FEWEST_TOOLS: Final = 5
SLIGHT: Final = 0.30  # confidence between the limits: evidence enough to shorten
STRONG: Final = 0.90  # and to lengthen


class Advice(NamedTuple):
    """What the results speak for.

    Attributes:
        decision: keep, shorten, lengthen, too-few.
        days: the interval proposed, whole days; nothing where none can be computed.
        reason: one or two sentences for the person who decides.
    """

    decision: Decision
    days: int | None
    reason: str


def from_drift(
    changes: Sequence[Change], tolerance: float, reliability: float, interval: int, *, initial: float = 0.0
) -> Advice:
    """Advise from one tool's own results.

    Args:
        changes: past intervals, with the change of the deviation over each.
        tolerance: the largest deviation allowed on either side, in the unit of the changes.
        reliability: the share of intervals that must end in tolerance, 0 to 1.
        interval: the present interval, days.
        initial: standard uncertainty of the calibration, in the unit of the changes.
    """
    usable = [change for change in changes if change.days > 0]
    if len(usable) < FEWEST_CHANGES:
        return Advice("too-few", None, f"{_results(len(usable))}; a drift needs at least {FEWEST_CHANGES}.")
    known = drift(usable, _powers(usable))
    days = days_within(known, tolerance, reliability, initial=initial)
    return _by_days(known, days, interval, reliability)


def _powers(changes: Sequence[Change]) -> tuple[int, ...]:
    """Fit a bend only where there are results enough, at intervals that differ enough, to see one."""
    spans = [change.days for change in changes]
    bends = len(spans) >= FEWEST_FOR_A_BEND and max(spans) >= 1.5 * min(spans) and len(set(spans)) > 2
    return (1, 2) if bends else (1,)


def _by_days(known: Drift, days: int, interval: int, reliability: float) -> Advice:
    share = f"{reliability:.0%}"
    if days < interval:
        return Advice(
            "shorten",
            days or None,
            f"By its own drift the tool stays in tolerance with {share} for {days} days.",
        )
    most = floor(LARGEST_STEP * min(interval, known.longest))
    if min(days, most) >= WORTH_CHANGING * interval:
        return Advice(
            "lengthen",
            min(days, most),
            f"By its own drift the tool would stay in tolerance with {share} longer.",
        )
    if days >= WORTH_CHANGING * interval:
        return Advice(
            "keep",
            interval,
            f"The drift would allow more, but no result is older than {known.longest} days.",
        )
    return Advice(
        "keep", interval, f"By its own drift the tool stays in tolerance with {share} for {days} days."
    )


def from_family(good: int, tested: int, interval: int, target: float) -> Advice:
    """Advise from a family of like tools on one interval (days): `good` of `tested` came back in tolerance.

    `target` is the share that is wanted in tolerance, 0 to 1.
    """
    found = f"{good} of {tested} came back in tolerance"
    if tested < FEWEST_TOOLS:
        return Advice("too-few", None, f"{_results(tested)}; a family needs at least {FEWEST_TOOLS}.")
    if binomial_limits(good, tested, SLIGHT).high < target:
        return _shorter(good, tested, interval, target, found)
    proven = binomial_limits(good, tested, STRONG).low
    if proven > target:
        return _longer(proven, interval, target, found)
    if binomial_limits(tested, tested, SLIGHT).low < target:
        return Advice(
            "too-few", None, f"{found}; so few results could not show {target:.0%} even if all were good."
        )
    return Advice("keep", interval, f"{found}, which agrees with the {target:.0%} that is wanted.")


def _shorter(good: int, tested: int, interval: int, target: float, found: str) -> Advice:
    days = exponential_interval(interval, good / tested, target)
    if days is None:
        return Advice("shorten", None, f"{found}; no interval can be computed from a share of none.")
    return Advice("shorten", floor(days) or None, f"{found}, fewer than the {target:.0%} that is wanted.")


def _longer(proven: float, interval: int, target: float, found: str) -> Advice:
    """Lengthen by what the lower limit of the share allows; the share itself, all good, has no answer."""
    days = exponential_interval(interval, proven, target) or float(interval)
    step = floor(min(days, LARGEST_STEP * interval))
    if step < WORTH_CHANGING * interval:
        return Advice(
            "keep", interval, f"{found}, more than the {target:.0%} wanted, but not by enough to gain much."
        )
    return Advice("lengthen", step, f"{found}, more than the {target:.0%} that is wanted.")


def _results(count: int) -> str:
    return "There is 1 result" if count == 1 else f"There are {count} results"
