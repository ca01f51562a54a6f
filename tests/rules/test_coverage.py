"""What the results of a certificate as left cover, end by end and reading by reading."""

from fractions import Fraction

import pytest

from tests.support.tools import points
from torquelog.rules.coverage import Coverage, Span, coverage
from torquelog.torque.units import Torque

FOUR = Fraction(1, 25)


def span(direction: str, unit: str = "N·m") -> Span:
    """20 to 100 of a unit, told as that many newton metres."""
    return Span(direction, Torque("20", unit), Torque("100", unit), Fraction(20), Fraction(100))


CW, CCW = span("cw"), span("ccw")


@pytest.mark.parametrize(
    ("spans", "asked", "found"),
    [
        ((CW, CCW), "cw", CW),
        ((CW, CCW), "ccw", CCW),
        ((CW,), "ccw", None),
        ((CCW,), "cw", None),
        ((CW, CCW), "", CW),
        ((CCW, CW), "", CW),
        ((CCW,), "", CCW),
        ((), "", None),
    ],
)
def test_a_direction_has_its_own_span_and_none_told_means_clockwise_first(
    spans: tuple[Span, ...], asked: str, found: Span | None
) -> None:
    """One direction never speaks for the other where it is told which one is meant."""
    assert Coverage(spans, ()).span(asked) == found


def test_spans_are_told_clockwise_first_with_their_ends_as_on_the_certificate() -> None:
    """Whatever the order of the results; those as found only are passed over."""
    results = (
        *points("80 80", "30 30", direction="ccw"),
        *points("60 60", "100 100", "20 20", state="unchanged"),
        *points("10 10", "150 150", state="as-found"),
    )
    foot = Fraction("1.3558179483314004")
    assert coverage(results, None).spans == (
        Span("cw", Torque("20", "lbf·ft"), Torque("100", "lbf·ft"), 20 * foot, 100 * foot),
        Span("ccw", Torque("30", "lbf·ft"), Torque("80", "lbf·ft"), 30 * foot, 80 * foot),
    )


@pytest.mark.parametrize(
    ("unit", "newton_metres", "inside"),
    [
        ("N·m", "20", True),
        ("N·m", "19.999", False),
        ("N·m", "100", True),
        ("N·m", "100.001", False),
        ("lbf·ft", "19.9", True),
        ("lbf·ft", "19.899", False),
        ("lbf·ft", "100.5", True),
        ("lbf·ft", "100.501", False),
    ],
)
def test_both_ends_are_inside_and_a_scale_in_another_unit_may_be_a_rounding_off(
    unit: str, newton_metres: str, inside: bool
) -> None:
    """A two-hundredth beyond each end where the certificate converted and rounded it, else nothing."""
    assert CW.reaches(Fraction(newton_metres), unit) is inside


def test_each_reading_as_left_outside_the_accuracy_is_named() -> None:
    """104 shown was 100: exactly 4 % by the reference is inside; without an accuracy none is called bad."""
    results = (
        *points("104 100", "104.1 100", "96 100", "95.9 100"),
        *points("110 100", state="as-found"),
        *points("120 100", state="unchanged", direction="ccw"),
    )
    bad = coverage(results, FOUR).failed
    assert [each.indicated.value for each in bad] == ["104.1", "95.9", "120"]
    assert coverage(results, None).failed == ()
    assert coverage(results[:1], FOUR).failed == ()
    assert coverage((), FOUR) == Coverage((), ())
