"""The plot of a drift: as left and as found over the years, joined by interval, and the band of the prediction."""

from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from typing import Final

from torquelog.rules.days import MONTHS
from torquelog.sheets.drift_view import DriftView
from torquelog.sheets.model import Drawing, Shape, Word
from torquelog.sheets.plot import LEFT, WIDTH, Axes, signed_percent, ticks

MOST: Final = 3.0
"""A band wider than so many times what was seen goes beyond the frame; its numbers stand below."""


def drift_plot(view: DriftView, accuracy: Fraction | None) -> Drawing | None:
    """The plot; None where no interval counts."""
    if not view.intervals:
        return None
    axes = _axes(view, accuracy)
    shapes: list[Shape] = list(_prediction(axes, view))
    if accuracy is not None:
        limit = float(accuracy)
        shapes += [axes.level(limit, "limit"), axes.level(-limit, "limit")]
        shapes += [
            Word(LEFT + WIDTH + 6, axes.y(end) + 4, signed_percent(end), "start") for end in (limit, -limit)
        ]
    shapes += [axes.level(0, "thin"), axes.frame()]
    for each in view.intervals:
        ends = (_day(each.on), float(each.left)), (_day(each.until), float(each.found))
        shapes += [
            axes.path(ends, "thick-curve"),
            axes.ring(*ends[0], "filled"),
            axes.ring(*ends[1], "hollow"),
        ]
    if view.left is not None:
        shapes.append(axes.ring(_day(view.left[0]), float(view.left[1]), "filled"))
    shapes += axes.across(list(_years(axes)), "day of calibration")
    shapes += axes.upwards(
        [(value, signed_percent(value)) for value in ticks(axes.low, axes.high, 9)], "deviation"
    )
    title = (
        f"Deviation at {view.indicated} over the certificates. Its numbers stand in the table of intervals."
    )
    return Drawing(axes.width, axes.height, title, tuple(shapes))


def _day(day: date) -> float:
    return float(day.toordinal())


def _axes(view: DriftView, accuracy: Fraction | None) -> Axes:
    ends = [float(accuracy or 0), 0.005]
    ends += [abs(float(each)) for interval in view.intervals for each in (interval.left, interval.found)]
    known = max(ends)
    edges = [abs(edge) for each in view.path for edge in (each.low, each.high)]
    most = min(max([known, *edges]), MOST * known) * 1.15
    first = _day(view.intervals[0].on)
    last = _day(max([view.intervals[-1].until, *(each.day for each in view.path)]))
    room = (last - first) * 0.04
    return Axes(first - room, last + room, -most, most)


def _prediction(axes: Axes, view: DriftView) -> Iterator[Shape]:
    if view.path:
        upper = [(_day(each.day), min(each.high, axes.high)) for each in view.path]
        lower = [(_day(each.day), max(each.low, axes.low)) for each in reversed(view.path)]
        yield axes.path([*upper, *lower], "band", closed=True)
        middle = [(_day(each.day), each.value) for each in view.path if axes.low < each.value < axes.high]
        yield axes.path(middle, "dashed-curve")


def _years(axes: Axes) -> Iterator[tuple[float, str]]:
    """Marks at the beginning of months, a year apart or less, as many as have room."""
    first, last = date.fromordinal(int(axes.left) + 1), date.fromordinal(int(axes.right))
    months = (last.year - first.year) * 12 + last.month - first.month
    apart = next((each for each in (1, 2, 3, 6, 12, 24, 60, 120) if months / each <= 7), 240)
    for number in range(first.year * 12, last.year * 12 + 12, apart):
        day = date(number // 12, number % 12 + 1, 1)
        if first <= day <= last:
            yield _day(day), f"{MONTHS[day.month - 1]} {day.year}"
