"""What a certificate covers: the directions and the range of its results as left, and whether each kept the accuracy.

Every single reading decides, not the mean (ISO 6789-1, from memory).
"""

from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from torquelog.facts.calibrations import Point
from torquelog.torque.curve import ROUNDED_CONVERSION
from torquelog.torque.deviation import within
from torquelog.torque.units import Torque

AS_LEFT = ("as-left", "unchanged")


class Span(NamedTuple):
    """What is covered in one direction: the ends as on the certificate, and the same in newton metres."""

    direction: str
    first: Torque
    last: Torque
    low: Fraction
    high: Fraction

    def reaches(self, newton_metres: Fraction, unit: str) -> bool:
        """Whether a reading in this unit lies inside; both ends belong to it.

        A certificate in another unit than the scale has rounded its ends: what lies no further outside than the
        rounding of `torque.curve.ROUNDED_CONVERSION` explains is inside.
        """
        low = self.low if self.first.unit == unit else self.low * (1 - ROUNDED_CONVERSION)
        high = self.high if self.last.unit == unit else self.high * (1 + ROUNDED_CONVERSION)
        return low <= newton_metres <= high


class Coverage(NamedTuple):
    """What the results as left say: a span for each direction, and the readings outside the accuracy."""

    spans: tuple[Span, ...]
    failed: tuple[Point, ...]

    def span(self, direction: str) -> Span | None:
        """The span of a direction, or nothing; without a direction clockwise first."""
        found = {span.direction: span for span in self.spans}
        return found.get(direction or "cw") or (None if direction else found.get("ccw"))


@lru_cache(maxsize=1024)
def coverage(points: tuple[Point, ...], accuracy: Fraction | None) -> Coverage:
    """Sum up the results of a certificate as left.

    Args:
        points: every result; those as found only are passed over.
        accuracy: the largest deviation allowed (1/25 is 4 %), by ISO 6789 divided by the reference; without
            it no reading is called bad.
    """
    left = [point for point in points if point.state in AS_LEFT]
    directions = sorted({point.direction for point in left}, reverse=True)
    spans = tuple(
        _span(direction, [each for each in left if each.direction == direction]) for direction in directions
    )
    return Coverage(
        spans, tuple(point for point in left if accuracy is not None and not _kept(point, accuracy))
    )


def _span(direction: str, points: list[Point]) -> Span:
    ends = sorted(
        ((point.indicated.newton_metres, point.indicated) for point in points), key=lambda end: end[0]
    )
    (low, first), (high, last) = ends[0], ends[-1]
    return Span(direction, first, last, low, high)


def _kept(point: Point, accuracy: Fraction) -> bool:
    return within(point.indicated.newton_metres, point.reference.newton_metres, accuracy)
