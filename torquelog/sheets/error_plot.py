"""The error curve of a certificate: its deviations as found and as left over the torque, with the accuracy allowed."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Final

from torquelog.facts.calibrations import Point, pairs
from torquelog.sheets.model import Drawing, Shape, Word
from torquelog.sheets.plot import LEFT, WIDTH, Axes, plain, signed_percent, ticks
from torquelog.sheets.wording import ROUND
from torquelog.torque.curve import Applied, Curve, actual, error_curve
from torquelog.torque.deviation import deviation
from torquelog.torque.units import in_unit

STATES: Final = (("as-found", "hollow", "dashed-curve"), ("as-left", "filled", "thick-curve"))
PIECES: Final = 12
"""Parts of a curve between two points; straight in the torque, it is a little bent in the deviation."""


def error_plot(
    points: Sequence[Point], direction: str, accuracy: Fraction | None, unit: str
) -> Drawing | None:
    """The plot of one direction; None where the certificate has no results in it."""
    mine = [each for each in points if each.direction == direction and has_deviation(each)]
    if not mine:
        return None
    axes = _axes(mine, accuracy, unit)
    shapes: list[Shape] = []
    if accuracy is not None:
        limit = float(accuracy)
        shapes += [axes.band(-limit, limit), axes.level(limit, "limit"), axes.level(-limit, "limit")]
        shapes += [
            Word(LEFT + WIDTH + 6, axes.y(end) + 4, signed_percent(end), "start") for end in (limit, -limit)
        ]
    shapes += [axes.level(0, "thin"), axes.frame()]
    for state, mark, line in STATES:
        shapes += _curve(axes, mine, direction, state, line, unit)
        shapes += _marks(axes, mine, state, mark, unit)
    shapes += axes.across(
        [(value, plain(value)) for value in ticks(axes.left, axes.right)], f"indicated, {unit}"
    )
    shapes += axes.upwards(
        [(value, signed_percent(value)) for value in ticks(axes.low, axes.high, 9)], "deviation"
    )
    title = (
        f"Deviation over the indicated torque, {ROUND[direction]}. Its numbers stand in the table of results."
    )
    return Drawing(axes.width, axes.height, title, tuple(shapes))


def deviation_of(point: Point) -> Fraction:
    """The deviation of one reading, by ISO 6789: (indicated - reference) / reference."""
    return deviation(point.indicated.newton_metres, point.reference.newton_metres)


def has_deviation(point: Point) -> bool:
    """Whether a reading has one: at zero there is nothing to divide by."""
    return point.reference.newton_metres > 0 and point.indicated.newton_metres > 0


def _axes(points: Sequence[Point], accuracy: Fraction | None, unit: str) -> Axes:
    shown = [float(each.indicated.in_unit(unit)) for each in points]
    most = max([abs(float(deviation_of(each))) for each in points] + [float(accuracy or 0), 0.005]) * 1.3
    return Axes(0.0, max(shown) * 1.06, -most, most)


def _curve(
    axes: Axes, points: Sequence[Point], direction: str, state: str, look: str, unit: str
) -> Iterator[Shape]:
    curve = error_curve(pairs(points), direction, state)
    if isinstance(curve, Curve) and len(curve.points) > 1:
        yield axes.path(list(_along(curve, unit)), look)


def _along(curve: Curve, unit: str) -> Iterator[tuple[float, float]]:
    for low, high in pairwise(curve.points):
        for piece in range(PIECES + 1):
            indicated = low.indicated + (high.indicated - low.indicated) * Fraction(piece, PIECES)
            applied = actual(curve, indicated)
            assert isinstance(applied, Applied)  # noqa: S101  between two points the curve always speaks
            yield float(in_unit(indicated, unit)), float(deviation(indicated, applied.torque))


def _marks(axes: Axes, points: Sequence[Point], state: str, look: str, unit: str) -> Iterator[Shape]:
    for each in points:
        # What was found good and left unchanged stands as left, with a ring about it for as found.
        if each.state == state or each.state == "unchanged":
            size = 5.6 if each.state == "unchanged" and state == "as-found" else 3.6
            x, y = axes.x(float(each.indicated.in_unit(unit))), axes.y(float(deviation_of(each)))
            yield axes.ring(0, 0, look)._replace(x=x, y=y, radius=size)
