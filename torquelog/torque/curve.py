"""The error curve of a torque tool: from its calibration's pairs to the torque that a reading really applied.

One curve stands for one direction and one state (as found, as left). It is linear **in the reference
torque** between its points; a point is the mean reference at one nominal indication. Nothing is ever
extrapolated: where the curve says nothing, the answer is `Indeterminate` with its reason. All torques are
newton metres at the tool's square.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Final, NamedTuple

from torquelog.torque.pair import Pair, checked

__all__ = [
    "ROUNDED_CONVERSION",
    "Applied",
    "Curve",
    "Indeterminate",
    "Point",
    "actual",
    "error_curve",
    "reaches",
]

ROUNDED_CONVERSION: Final = Fraction(1, 200)
"""How far outside the end points an indication may lie if the certificate is in another unit than the scale.

A value rounded to three significant digits is off by at most 0.5 %: 15 lbf·ft (20.337 N·m) is certified as
20.3 N·m. A certificate rounded more coarsely has spoilt its own deviations and is not stretched
to fit.
"""


class Point(NamedTuple):
    """What all repetitions say at one nominal indication.

    Attributes:
        indicated: the nominal indication, N·m.
        reference: the mean of the references, N·m; the curve goes through it.
        readings: each pair behind the mean; conformity is decided by these, never by the mean.
        expanded: the largest expanded uncertainty among them, N·m, or nothing where one has none.
        standard: the largest standard uncertainty (each expanded one divided by its own k once), N·m.
    """

    indicated: Fraction
    reference: Fraction
    readings: tuple[Pair, ...]
    expanded: Fraction | None
    standard: Fraction | None


class Curve(NamedTuple):
    """The points of one direction and state, rising in both coordinates."""

    direction: str
    state: str
    points: tuple[Point, ...]


class Indeterminate(NamedTuple):
    """Nobody can tell, and why.

    `reason` is one of `no-result-as-found`, `no-result-as-left`, `direction-not-calibrated`, `not-monotone`,
    `below-the-points`, `above-the-points`.
    """

    reason: str


class Applied(NamedTuple):
    """The torque that an indication stands for.

    Attributes:
        torque: by the house's rule, linear in the reference torque, N·m.
        by_deviation: by the other rule in use, linear in the ISO deviation, N·m; the two differ where the
            points differ.
        expanded: the certificate's expanded uncertainty here, N·m, or nothing.
        standard: the same as a standard uncertainty, N·m, or nothing.
        low, high: the points on either side; the same one twice when the indication is a point.
    """

    torque: Fraction
    by_deviation: Fraction
    expanded: Fraction | None
    standard: Fraction | None
    low: Point
    high: Point


def error_curve(pairs: Iterable[Pair], direction: str, state: str) -> Curve | Indeterminate:
    """Build the curve of one direction in one state (`as-found` or `as-left`).

    Results that were found and left unchanged serve both states. The order of the pairs does not matter,
    one point is enough (a preset tool), and a curve that turns back on itself cannot be read: two
    indications would mean one torque.

    Raises:
        TorquelogError: `calibration-pair`.
    """
    in_state = [checked(pair) for pair in pairs if pair.state in (state, "unchanged")]
    if not in_state:
        return Indeterminate(f"no-result-{state}")
    chosen = [pair for pair in in_state if pair.direction == direction]
    if not chosen:
        return Indeterminate("direction-not-calibrated")
    points = tuple(sorted(_point(group) for group in _groups(chosen)))
    if not all(_rises(low, high) for low, high in pairwise(points)):
        return Indeterminate("not-monotone")
    return Curve(direction, state, points)


def _rises(low: Point, high: Point) -> bool:
    return low.indicated < high.indicated and low.reference < high.reference


def _groups(pairs: Sequence[Pair]) -> list[list[Pair]]:
    """Bring the repetitions of one nominal torque together.

    A setting tool is set to a nominal indication. An indicating tool may be loaded to a nominal reference
    instead: then its repetitions, each with a number of its own, share the reference, and their indications
    differ a little. Whichever makes fewer points was the nominal one.
    """
    by_indicated = _gathered(pairs, [pair.indicated for pair in pairs])
    by_reference = _gathered(pairs, [pair.reference for pair in pairs])
    if len(by_reference) < len(by_indicated) and all(_repetitions(group) for group in by_reference):
        return by_reference
    return by_indicated


def _gathered(pairs: Sequence[Pair], keys: Sequence[Fraction]) -> list[list[Pair]]:
    groups: dict[Fraction, list[Pair]] = {}
    for key, pair in zip(keys, pairs, strict=True):
        groups.setdefault(key, []).append(pair)
    return list(groups.values())


def _repetitions(group: Sequence[Pair]) -> bool:
    return len({pair.repeat for pair in group}) == len(group)


def _point(group: Sequence[Pair]) -> Point:
    readings = tuple(sorted(group, key=lambda pair: (pair.repeat, pair.indicated, pair.reference)))
    count = len(readings)
    expanded = [pair.uncertainty for pair in readings if pair.uncertainty is not None]
    standard = [pair.uncertainty / pair.k for pair in readings if pair.uncertainty is not None and pair.k]
    complete = len(standard) == count
    return Point(
        indicated=sum((pair.indicated for pair in readings), Fraction(0)) / count,
        reference=sum((pair.reference for pair in readings), Fraction(0)) / count,
        readings=readings,
        expanded=max(expanded) if complete else None,
        standard=max(standard) if complete else None,
    )


def actual(
    curve: Curve | Indeterminate, indicated: Fraction, tolerance: Fraction = Fraction(0)
) -> Applied | Indeterminate:
    """Give the torque that the tool applied when it indicated so much.

    `tolerance` is zero, or `ROUNDED_CONVERSION` where the certificate is in another unit than the scale
    that was read: an indication that is this fraction outside an end point then **is** the end point, and
    the distance is added to the expanded uncertainty (half of it to the standard one). A curve that could
    not be built passes its reason on.
    """
    if isinstance(curve, Indeterminate):
        return curve
    points = curve.points
    place = bisect_left(points, indicated, key=lambda point: point.indicated)
    if place < len(points) and points[place].indicated == indicated:
        return _at_point(points[place], Fraction(0))
    if 0 < place < len(points):
        return _between(points[place - 1], points[place], indicated)
    end = points[0] if place == 0 else points[-1]
    distance = abs(indicated - end.indicated)
    if distance <= tolerance * end.indicated:
        return _at_point(end, distance)
    return Indeterminate("below-the-points" if place == 0 else "above-the-points")


def reaches(curve: Curve | Indeterminate, indicated: Fraction, tolerance: Fraction = Fraction(0)) -> bool:
    """Tell whether the curve says anything at this indication; `tolerance` as in `actual`."""
    return isinstance(actual(curve, indicated, tolerance), Applied)


def _at_point(point: Point, distance: Fraction) -> Applied:
    expanded = None if point.expanded is None else point.expanded + distance
    standard = None if point.standard is None else point.standard + distance / 2
    return Applied(point.reference, point.reference, expanded, standard, point, point)


def _between(low: Point, high: Point, indicated: Fraction) -> Applied:
    """Interpolate between two neighbouring points.

    The standard uncertainty is interpolated like the torque: both points were measured with one standard,
    and with full correlation the uncertainty of a weighted mean is the weighted mean of the uncertainties,
    the most it can be.
    """
    share = (indicated - low.indicated) / (high.indicated - low.indicated)
    error = _weighted(low.indicated / low.reference, high.indicated / high.reference, share)
    return Applied(
        torque=_weighted(low.reference, high.reference, share),
        by_deviation=indicated / error,
        expanded=_weighted_or_none(low.expanded, high.expanded, share),
        standard=_weighted_or_none(low.standard, high.standard, share),
        low=low,
        high=high,
    )


def _weighted(low: Fraction, high: Fraction, share: Fraction) -> Fraction:
    return low + (high - low) * share


def _weighted_or_none(low: Fraction | None, high: Fraction | None, share: Fraction) -> Fraction | None:
    return None if low is None or high is None else _weighted(low, high, share)
