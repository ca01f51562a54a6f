"""A plot of two axes: where a value stands in it, its frame, its scales. Only lines and words; no library."""

from collections.abc import Iterable, Sequence
from math import ceil, floor, log10
from typing import Final, NamedTuple

from torquelog.sheets.model import Box, Line, Path, Ring, Shape, Word

WIDTH: Final = 420.0
HEIGHT: Final = 210.0
LEFT: Final = 58.0
TOP: Final = 14.0
RIGHT: Final = 54.0
BOTTOM: Final = 40.0


class Axes(NamedTuple):
    """The values at the edges of a plot: across from `left` to `right`, upwards from `low` to `high`."""

    left: float
    right: float
    low: float
    high: float

    @property
    def width(self) -> float:
        """The width of the whole drawing."""
        return LEFT + WIDTH + RIGHT

    @property
    def height(self) -> float:
        """The height of the whole drawing."""
        return TOP + HEIGHT + BOTTOM

    def x(self, value: float) -> float:
        """Where a value stands across."""
        return LEFT + (value - self.left) / (self.right - self.left) * WIDTH

    def y(self, value: float) -> float:
        """Where a value stands upwards."""
        return TOP + HEIGHT - (value - self.low) / (self.high - self.low) * HEIGHT

    def path(self, points: Iterable[tuple[float, float]], look: str, *, closed: bool = False) -> Path:
        """A line, or an area, through values."""
        told = " L".join(f"{self.x(x):.1f} {self.y(y):.1f}" for x, y in points)
        return Path(f"M{told}{' Z' if closed else ''}", look)

    def level(self, value: float, look: str) -> Line:
        """A line across at one value."""
        return Line(LEFT, self.y(value), LEFT + WIDTH, self.y(value), look)

    def band(self, low: float, high: float) -> Box:
        """An area across between two values."""
        return Box(LEFT, self.y(high), WIDTH, self.y(low) - self.y(high), "band")

    def ring(self, x: float, y: float, look: str) -> Ring:
        """A mark at one value."""
        return Ring(self.x(x), self.y(y), 3.6, look)

    def frame(self) -> Box:
        """The frame of the plot."""
        return Box(LEFT, TOP, WIDTH, HEIGHT, "thin")

    def across(self, marks: Sequence[tuple[float, str]], title: str) -> list[Shape]:
        """The scale below: its marks with their words, and what it counts."""
        foot = TOP + HEIGHT
        drawn: list[Shape] = [Word(LEFT + WIDTH / 2, foot + 34, title)]
        for value, text in marks:
            drawn += [
                Line(self.x(value), foot, self.x(value), foot + 5, "thin"),
                Word(self.x(value), foot + 17, text),
            ]
        return drawn

    def upwards(self, marks: Sequence[tuple[float, str]], title: str) -> list[Shape]:
        """The scale on the left."""
        drawn: list[Shape] = [Word(12, TOP + HEIGHT / 2, title, turn=-90)]
        for value, text in marks:
            y = self.y(value)
            drawn += [Line(LEFT - 5, y, LEFT, y, "thin"), Word(LEFT - 8, y + 4, text, "end")]
        return drawn


def step(span: float, most: int) -> float:
    """A round distance between marks, so that there are not more than so many."""
    rough = span / most
    power = 10 ** floor(log10(rough))
    return next(float(power * factor) for factor in (1, 2, 5, 10) if power * factor >= rough * 0.999)


def ticks(low: float, high: float, most: int = 8) -> list[float]:
    """Round values from `low` to `high`; finer ones where none of those lies between."""
    distance = step(high - low, most)
    first = ceil(low / distance - 1e-9)
    last = floor(high / distance + 1e-9)
    if first > last:
        return ticks(low, high, 2 * most)
    return [number * distance for number in range(first, last + 1)]


def plain(value: float) -> str:
    """A value at a scale, without needless zeros, with a true minus."""
    text = f"{value:.6g}"
    return text.replace("-", "−")


def signed_percent(share: float) -> str:
    """A deviation at a scale: "+4 %", "−1.5 %", "0"."""
    percent = share * 100
    if abs(percent) < 1e-9:
        return "0"
    return f"{'+' if percent > 0 else '−'}{abs(percent):.3g} %"
