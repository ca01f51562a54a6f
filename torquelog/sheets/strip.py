"""A value against its limits, drawn beside the number it repeats: two ticks for the limits, a diamond for the value."""

from fractions import Fraction
from typing import Final

from torquelog.sheets.model import Box, Drawing, Line, Path, Shape
from torquelog.torque.limits import Limits

WIDTH: Final = 92.0
HEIGHT: Final = 13.0
LOW: Final = 26.0
HIGH: Final = 66.0
"""Where the two limits stand; a value outside is drawn beyond them, at the most at the edge."""


def strip(value: Fraction, limits: Limits) -> Drawing:
    """The drawing of one value; it has no title, as its number stands beside it."""
    y = HEIGHT / 2
    shapes: list[Shape] = [Line(2, y, WIDTH - 2, y, "hair")]
    left = LOW if limits.low is not None else 2.0
    right = HIGH if limits.high is not None else WIDTH - 2
    shapes.append(Box(left, y - 3.5, right - left, 7, "band"))
    if limits.low is not None:
        shapes.append(Line(LOW, 1, LOW, HEIGHT - 1, "thick"))
    if limits.high is not None:
        shapes.append(Line(HIGH, 1, HIGH, HEIGHT - 1, "thick"))
    x = _place(value, limits)
    look = "filled" if limits.side(value) == "within" else "bad"
    shapes.append(Path(f"M{x - 4:.1f} {y:.1f} l4 -4.5 l4 4.5 l-4 4.5 z", look))
    return Drawing(WIDTH, HEIGHT, "", tuple(shapes))


def _place(value: Fraction, limits: Limits) -> float:
    """Where a value stands; inside never beyond a tick, outside always visibly beyond it."""
    low, high = limits
    if low is not None and high is not None and high > low:
        share = float((value - low) / (high - low))
        at = LOW + share * (HIGH - LOW)
    elif low is not None:
        at = LOW + float((value - low) / (low or 1)) * (HIGH - LOW)
    elif high is not None:
        at = HIGH - float((high - value) / (high or 1)) * (HIGH - LOW)
    else:
        at = WIDTH / 2
    side = limits.side(value)
    if side == "below":
        return min(max(6.0, at), LOW - 6)
    if side == "above":
        return max(min(WIDTH - 6, at), HIGH + 6)
    return min(max(at, 6.0), WIDTH - 6)
