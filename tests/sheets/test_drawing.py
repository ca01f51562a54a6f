"""Drawings: a bolt circle as an engineering drawing numbers it, a value beside its limits, round marks at a scale."""

from fractions import Fraction
from math import atan2, degrees, hypot, isclose

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from torquelog.facts.calibrations import Point
from torquelog.sheets import plot
from torquelog.sheets.circle import FEWEST, MOST, Bolt, bolt_drawing, is_row
from torquelog.sheets.error_plot import error_plot, has_deviation
from torquelog.sheets.model import Drawing, Path, Ring, Word
from torquelog.sheets.plot import LEFT, TOP, Axes, signed_percent, ticks
from torquelog.sheets.strip import HIGH, LOW, WIDTH, strip
from torquelog.torque.limits import Limits
from torquelog.torque.sequence import order
from torquelog.torque.units import Torque


def drawn(count: int, states: dict[int, str] | None = None, pattern: str = "star") -> Drawing:
    """A circle of so many fasteners, done where nothing else is said."""
    bolts = [
        Bolt(number, (states or {}).get(number, "done"), f"{number}.5 N·m") for number in range(1, count + 1)
    ]
    found = bolt_drawing(bolts, order(count, pattern), "tie bolts")
    assert found is not None
    return found


def holes(drawing: Drawing) -> list[Ring]:
    """The rings of the fasteners, in the order drawn."""
    return [shape for shape in drawing.shapes if isinstance(shape, Ring) and shape.radius == 9.0]


@given(st.integers(FEWEST, MOST))
def test_fasteners_stand_clockwise_from_the_mark_at_the_top(count: int) -> None:
    """Number 1 at the top, each next one further to the right, all on one circle at equal angles."""
    drawing = drawn(count)
    found = holes(drawing)
    assert len(found) == count
    middle = drawing.width / 2, drawing.height / 2
    angles = [degrees(atan2(ring.x - middle[0], middle[1] - ring.y)) % 360 for ring in found]
    assert all(
        isclose((angle - 360 * place / count + 180) % 360, 180, abs_tol=0.01)
        for place, angle in enumerate(angles)
    )
    radii = {round(hypot(ring.x - middle[0], ring.y - middle[1]), 3) for ring in found}
    assert len(radii) == 1


@given(st.integers(FEWEST, MOST), st.sampled_from(["star", "circular"]))
def test_each_number_bears_its_turn(count: int, pattern: str) -> None:
    """In brackets below it: the place of the number in the card's order."""
    words = [shape for shape in drawn(count, pattern=pattern).shapes if isinstance(shape, Word)]
    numbers = [int(word.text) for word in words if word.look == "number"]
    turns = [int(word.text.strip("()")) for word in words if word.text.startswith("(")]
    assert numbers == list(range(1, count + 1))
    assert [numbers[turns.index(turn)] for turn in range(1, count + 1)] == list(order(count, pattern))


@settings(max_examples=30)
@given(st.integers(FEWEST, MOST))
def test_no_two_fasteners_touch_and_nothing_leaves_the_drawing(count: int) -> None:
    """However many there are; a text stands wholly inside, at about six units a letter."""
    drawing = drawn(count)
    found = holes(drawing)
    for place, ring in enumerate(found):
        for other in found[place + 1 :]:
            assert hypot(ring.x - other.x, ring.y - other.y) > 2.5 * ring.radius
    for word in (shape for shape in drawing.shapes if isinstance(shape, Word)):
        width = 6 * len(word.text)
        left = {"start": word.x, "middle": word.x - width / 2, "end": word.x - width}[word.anchor]
        assert left >= 0
        assert left + width <= drawing.width
        assert 0 < word.y < drawing.height


def test_a_state_is_seen_without_colour() -> None:
    """Done is filled, open is dashed, outside is crossed."""
    drawing = drawn(4, {2: "open", 3: "outside"})
    assert [ring.look for ring in holes(drawing)] == ["hollow", "dashed", "hollow", "hollow"]
    looks = [getattr(shape, "look", "") for shape in drawing.shapes]
    assert looks.count("bad") == 2
    filled = [shape for shape in drawing.shapes if isinstance(shape, Ring) and shape.look == "filled"]
    assert len(filled) == 2


def test_a_row_is_drawn_as_a_row() -> None:
    """Where the order begins in the middle and works outwards; a circle is never taken for one."""
    drawing = drawn(6, pattern="line")
    assert len({ring.y for ring in holes(drawing)}) == 1
    assert not is_row(order(6, "star"))
    assert not is_row(order(6, "circular"))
    assert not is_row(())


@pytest.mark.parametrize("count", [1, 2, MOST + 1, 200])
def test_too_few_or_too_many_are_not_drawn(count: int) -> None:
    """A picture that nobody can read is none."""
    bolts = [Bolt(number, "done") for number in range(1, count + 1)]
    assert bolt_drawing(bolts, (), "nuts") is None


ENDS = st.fractions(min_value=1, max_value=500, max_denominator=1000)


@given(ENDS, ENDS, st.fractions(min_value=0, max_value=1000, max_denominator=1000))
def test_a_value_stands_on_the_right_side_of_its_ticks(one: Fraction, two: Fraction, value: Fraction) -> None:
    """Inside between them, outside clearly beyond, never out of the drawing."""
    limits = Limits(min(one, two), max(one, two) + 1)
    diamond = next(shape for shape in strip(value, limits).shapes if isinstance(shape, Path))
    x = float(diamond.commands[1:].split()[0]) + 4
    assert 0 < x < WIDTH
    side = limits.side(value)
    assert {"below": x < LOW - 4, "within": LOW - 0.1 <= x <= HIGH + 0.1, "above": x > HIGH + 4}[side]
    assert diamond.look == ("filled" if side == "within" else "bad")


@given(st.sampled_from([Limits(Fraction(10), None), Limits(None, Fraction(10))]), ENDS)
def test_an_open_end_has_no_tick(limits: Limits, value: Fraction) -> None:
    """A minimum alone, or a maximum alone; the value stands on its side of the one there is."""
    shapes = strip(value, limits).shapes
    assert sum(getattr(shape, "look", "") == "thick" for shape in shapes) == 1
    x = float(next(shape for shape in shapes if isinstance(shape, Path)).commands[1:].split()[0]) + 4
    assert 0 < x < WIDTH
    if limits.side(value) != "within":
        assert x < LOW or x > HIGH


@example(1.0, 41.0, 2)  # between 0 and 50
@given(st.floats(-100, 100), st.floats(0.001, 1000), st.integers(2, 10))
def test_marks_of_a_scale_are_round_and_not_too_many(low: float, span: float, most: int) -> None:
    """Evenly apart, all inside, at least one, and never many more than asked for."""
    found = ticks(low, low + span, most)
    assert 1 <= len(found) <= most + 1
    assert all(low - span * 1e-6 <= value <= low + span * (1 + 1e-6) for value in found)


def test_the_axes_put_the_ends_at_the_edges() -> None:
    """Left and low at one corner, right and high at the other."""
    axes = Axes(0.0, 10.0, -0.04, 0.04)
    assert axes.x(10.0) - axes.x(0.0) == 420.0
    assert axes.y(-0.04) - axes.y(0.04) == 210.0


@pytest.mark.parametrize(("share", "text"), [(0.04, "+4 %"), (-0.015, "−1.5 %"), (0.0, "0"), (1e-12, "0")])
def test_a_deviation_at_a_scale_has_its_sign(share: float, text: str) -> None:
    """A true minus, and none at zero."""
    assert signed_percent(share) == text


RESULTS = st.lists(
    st.tuples(
        st.sampled_from(["as-found", "as-left", "unchanged"]),
        st.sampled_from(["cw", "ccw"]),
        st.integers(0, 300),
        st.integers(0, 300),
    ),
    max_size=12,
)


@given(RESULTS, st.sampled_from([None, Fraction(1, 25)]), st.sampled_from(["N·m", "lbf·in"]))
def test_an_error_curve_is_drawn_from_whatever_results_there_are(
    results: list[tuple[str, str, int, int]], accuracy: Fraction | None, unit: str
) -> None:
    """A mark a reading of that direction, inside the frame; nothing where there is none but at zero."""
    points = [
        Point(state, direction, Torque(str(shown), "N·m"), Torque(str(reference), "N·m"))
        for state, direction, shown, reference in results
    ]
    for direction in ("cw", "ccw"):
        mine = [each for each in points if each.direction == direction and has_deviation(each)]
        drawing = error_plot(points, direction, accuracy, unit)
        if not mine:
            assert drawing is None
            continue
        assert drawing is not None
        marks = [shape for shape in drawing.shapes if isinstance(shape, Ring)]
        assert len(marks) == sum(2 if each.state == "unchanged" else 1 for each in mine)
        assert all(LEFT <= ring.x <= LEFT + plot.WIDTH for ring in marks)
        assert all(TOP <= ring.y <= TOP + plot.HEIGHT for ring in marks)


def test_a_curve_is_bent_between_its_points_and_meets_them() -> None:
    """It goes through the mean of each nominal torque, as the record computes with."""
    ends = (("20", "19.90"), ("60", "59.40"), ("100", "99.60"))
    points = [Point("as-left", "cw", Torque(shown, "N·m"), Torque(read, "N·m")) for shown, read in ends]
    drawing = error_plot(points, "cw", None, "N·m")
    assert drawing is not None
    (curve,) = [shape for shape in drawing.shapes if isinstance(shape, Path) and shape.look == "thick-curve"]
    marks = [shape for shape in drawing.shapes if isinstance(shape, Ring)]
    corners = [tuple(map(float, each.split())) for each in curve.commands[1:].split(" L")]
    for ring in marks:
        assert any(isclose(x, ring.x, abs_tol=0.06) and isclose(y, ring.y, abs_tol=0.06) for x, y in corners)
