"""The bolt circle as an engineering drawing shows it: centre lines, a mark, numbers clockwise from the mark.

It is a scheme, not to scale: a card tells how many fasteners there are and in which order, not where they sit.
A group that is tightened from the middle of a row outwards is drawn as a row.
"""

from collections.abc import Sequence
from math import cos, pi, sin
from typing import Final, NamedTuple

from torquelog.sheets.model import Box, Drawing, Line, Path, Ring, Shape, Word
from torquelog.torque.sequence import order as pattern

MOST: Final = 40
"""More fasteners than this are not drawn: their numbers would not be legible."""

FEWEST: Final = 3
PITCH: Final = 34.0
"""The least distance between two fasteners of the drawing."""

HOLE: Final = 9.0


RIM: Final = 24.0
"""From the circle of the fasteners to the rim."""


class Point(NamedTuple):
    """A place in a drawing."""

    x: float
    y: float


class Bolt(NamedTuple):
    """One fastener of a drawing: its number, its state (done, open, outside, or "" on a blank), what stands beside it."""

    number: int
    state: str
    text: str = ""


def bolt_drawing(bolts: Sequence[Bolt], order: Sequence[int], what: str) -> Drawing | None:
    """The fasteners of one group; None where there are too few or too many to draw.

    Args:
        bolts: in the order of their numbers, from 1.
        order: the numbers in the order of tightening; empty where the card demands none.
        what: the group in words, for the drawing's title.
    """
    if not FEWEST <= len(bolts) <= MOST:
        return None
    if is_row(order):
        return _row(bolts, order, what)
    return _circle(bolts, order, what)


def is_row(order: Sequence[int]) -> bool:
    """Whether an order is that of a row, and of nothing round."""
    count = len(order)
    asked = tuple(order)
    return count > FEWEST and asked == pattern(count, "line") and asked != pattern(count, "star")


def _turns(order: Sequence[int]) -> dict[int, int]:
    return {number: place for place, number in enumerate(order, 1)}


def _circle(bolts: Sequence[Bolt], order: Sequence[int], what: str) -> Drawing:
    count = len(bolts)
    radius = max(92.0, PITCH * count / (2 * pi))
    centre = Point(radius + 100, radius + 62)
    turns = _turns(order)
    reach = radius + RIM + 7
    shapes: list[Shape] = [
        Line(centre.x - reach, centre.y, centre.x + reach, centre.y, "centre"),
        Line(centre.x, centre.y - reach, centre.x, centre.y + reach, "centre"),
        Ring(centre.x, centre.y, radius, "centre"),
        Ring(centre.x, centre.y, radius + RIM, "thin"),
        *_mark(centre.x, centre.y - radius - RIM),
        *_sense(centre.x, centre.y, radius * 0.4),
    ]
    for each in bolts:
        angle = 2 * pi * (each.number - 1) / count - pi / 2
        at = _on(centre, angle, radius)
        shapes += _hole(at.x, at.y, each.state)
        shapes += _inward(centre, angle, radius, each, turns.get(each.number))
        shapes += _outward(centre, angle, radius, each)
    return Drawing(2 * centre.x, 2 * centre.y, _title(count, what, order, "circle"), tuple(shapes))


def _on(centre: Point, angle: float, radius: float) -> Point:
    return Point(centre.x + radius * cos(angle), centre.y + radius * sin(angle))


def _title(count: int, what: str, order: Sequence[int], form: str) -> str:
    turn = f", tightened in the order {', '.join(map(str, order))}" if order else ""
    way = "numbered clockwise from the mark" if form == "circle" else "numbered from the left"
    return f"Scheme of the {form} of {count}, {what}, {way}{turn}. Its values stand in the table."


def _mark(x: float, y: float) -> list[Shape]:
    """The mark from which the fasteners are counted: a filled triangle at the rim, over number 1."""
    return [
        Path(f"M{x:.1f} {y:.1f} l-7 -12 h14 z", "filled"),
        Word(x + 11, y - 3, "mark", "start", "tiny"),
    ]


def _sense(x: float, y: float, radius: float) -> list[Shape]:
    """An arrow that says which way they are counted."""
    ends = [(x + radius * cos(a), y + radius * sin(a)) for a in (-pi * 0.85, -pi * 0.15)]
    tip = ends[1]
    return [
        Path(f"M{ends[0][0]:.1f} {ends[0][1]:.1f} A{radius:.1f} {radius:.1f} 0 0 1 {tip[0]:.1f} {tip[1]:.1f}", "thin"),
        Path(f"M{tip[0]:.1f} {tip[1]:.1f} l-1 -9 l-7 5 z", "filled"),
    ]  # fmt: skip


def _hole(x: float, y: float, state: str) -> list[Shape]:
    """One fastener: dashed where it is open, filled where it is done, crossed where it is outside; else plain."""
    if state == "open":
        return [Ring(x, y, HOLE, "dashed")]
    drawn: list[Shape] = [Ring(x, y, HOLE, "hollow")]
    if state == "outside":
        arm = HOLE * 1.25
        drawn += [
            Line(x - arm, y - arm, x + arm, y + arm, "bad"),
            Line(x - arm, y + arm, x + arm, y - arm, "bad"),
        ]
    elif state == "done":
        drawn.append(Ring(x, y, HOLE * 0.5, "filled"))
    return drawn


def _inward(centre: Point, angle: float, radius: float, bolt: Bolt, turn: int | None) -> list[Shape]:
    """The number, inside the circle, and below it which turn it has."""
    at = _on(centre, angle, radius - 24)
    drawn: list[Shape] = [Word(at.x, at.y + (1 if turn else 4), str(bolt.number), look="number")]
    if turn is not None:
        drawn.append(Word(at.x, at.y + 11, f"({turn})", look="tiny"))
    return drawn


def _outward(centre: Point, angle: float, radius: float, bolt: Bolt) -> list[Shape]:
    """What stands beside it, outside the rim, read away from the circle on either side."""
    if not bolt.text:
        return []
    upright = abs(cos(angle)) < 0.12
    at = _on(centre, angle, radius + RIM + (20 if upright else 10))
    anchor = "middle" if upright else "start" if cos(angle) > 0 else "end"
    look = "alarm" if bolt.state == "outside" else "word"
    return [Word(at.x, at.y + 4, bolt.text, anchor, look)]


def _row(bolts: Sequence[Bolt], order: Sequence[int], what: str) -> Drawing:
    turns = _turns(order)
    step = 46.0
    width, y = step * len(bolts) + 24, 48.0
    shapes: list[Shape] = [
        Line(4, y, width - 4, y, "centre"),
        Box(8, y - 22, width - 16, 44, "thin"),
    ]
    for each in bolts:
        x = 12 + step * (each.number - 0.5)
        shapes += _hole(x, y, each.state)
        shapes.append(Word(x, y - 28, str(each.number), look="number"))
        shapes.append(Word(x, y + 38, f"({turns[each.number]})", look="tiny"))
        if each.text:
            look = "alarm" if each.state == "outside" else "word"
            shapes.append(Word(x, y + 54, each.text, look=look))
    return Drawing(width, 110.0, _title(len(bolts), what, order, "row"), tuple(shapes))
