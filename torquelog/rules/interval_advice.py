"""What to do with a tool's calibration interval: its own drift and its family weighed together.

The more cautious of the two wins: an interval is shortened where either asks for it, and lengthened only where neither
speaks against it. Changes are taken from how the tool was left to how it was found next, at the torques at which it was
left last.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Final, NamedTuple

from torquelog.facts.calibrations import Calibration, pairs
from torquelog.torque.curve import ROUNDED_CONVERSION, Applied, Curve, Indeterminate, actual, error_curve
from torquelog.torque.deviation import deviation
from torquelog.torque.drift import Change
from torquelog.torque.interval import Advice, from_drift

NONE: Final = Fraction(0)


class Place(NamedTuple):
    """A direction and a nominal torque in N·m at which a tool was left, and how: deviation and standard uncertainty."""

    direction: str
    indicated: Fraction
    left: Fraction
    standard: Fraction


class Past(NamedTuple):
    """One past interval: the certificate it began with, the one that ended it, its days, the change at each place."""

    left: Calibration
    found: Calibration
    days: int
    changes: dict[Place, Fraction]

    @property
    def worst(self) -> Fraction | None:
        """The largest change, with its sign, or nothing where no place can be compared."""
        return max(self.changes.values(), key=abs, default=None)


def places(last: Calibration) -> tuple[Place, ...]:
    """Where a certificate says how the tool was left."""
    found = []
    for direction in ("cw", "ccw"):
        curve = error_curve(pairs(last.points), direction, "as-left")
        if isinstance(curve, Curve):
            found += [
                Place(
                    direction, point.indicated, deviation(point.indicated, point.reference),
                    (point.standard or NONE) / point.reference,
                )
                for point in curve.points
            ]  # fmt: skip
    return tuple(found)


def past(left: Calibration, found: Calibration, days: int, where: Iterable[Place]) -> Past:
    """A past interval, with the change of the deviation at each place that both certificates speak of."""
    changes = {}
    for place in where:
        before = _deviation(left, found, place, "as-left")
        after = _deviation(found, left, place, "as-found")
        if before is not None and after is not None:
            changes[place] = after - before
    return Past(left, found, days, changes)


def _deviation(at: Calibration, other: Calibration, place: Place, state: str) -> Fraction | None:
    curve = error_curve(pairs(at.points), place.direction, state)
    units = {point.indicated.unit for each in (at, other) for point in each.points}
    rounding = ROUNDED_CONVERSION if len(units) > 1 else NONE
    applied: Applied | Indeterminate = actual(curve, place.indicated, rounding)
    return deviation(place.indicated, applied.torque) if isinstance(applied, Applied) else None


def own_advice(
    history: Sequence[Past], where: Sequence[Place], accuracy: Fraction, target: float, interval: int
) -> Advice:
    """What the tool's own drift speaks for: the most cautious of its places.

    Args:
        history: its past intervals.
        where: the places at which it was left last.
        accuracy: the largest deviation allowed, a share.
        target: the share of intervals that must end in tolerance, 0 to 1.
        interval: the present interval, days.
    """
    found = [
        from_drift(
            [Change(each.days, each.changes[place]) for each in history if place in each.changes],
            float(max(accuracy - abs(place.left), NONE)), target, interval, initial=float(place.standard),
        )
        for place in where
    ]  # fmt: skip
    if not found:
        return Advice("too-few", None, "No certificate says how it was left.")
    return min(found, key=_caution)


_ORDER: Final = ("shorten", "keep", "lengthen", "too-few")
"""From the most cautious on; what says nothing counts only where nothing else is said."""


def _caution(advice: Advice) -> tuple[int, int]:
    return _ORDER.index(advice.decision), advice.days or 0


def together(own: Advice, family: Advice) -> Advice:
    """One advice of two: the more cautious one, the tool's own where they are alike."""
    return min(own, family, key=_caution)
