"""A torque beside its limits is rounded for reading, never across them."""

from fractions import Fraction

from hypothesis import example, given
from hypothesis import strategies as st

from torquelog.torque.beside import beside
from torquelog.torque.limits import Limits
from torquelog.torque.units import parse_torque

SOME = st.fractions(min_value=Fraction(1, 100), max_value=2000, max_denominator=10**6)


def test_four_digits_where_they_do() -> None:
    """Without limits, and well inside them."""
    assert beside(Fraction("35.928"), "N·m") == "35.93 N·m"
    assert beside(Fraction("35.928"), "N·m", Limits(Fraction(34), Fraction(38))) == "35.93 N·m"


def test_as_many_as_keep_it_on_its_side() -> None:
    """38.0004 is above 38, and four digits would put it on the limit."""
    assert beside(Fraction("38.0004"), "N·m", Limits(Fraction(34), Fraction(38))) == "38.0004 N·m"


def test_on_a_limit_that_no_decimal_number_meets() -> None:
    """A third has no end as a decimal: on a low limit it leans up, on a high one down, just outside either outwards."""
    third, near = Fraction(100, 3), Fraction(1, 10**20)
    low, high = Limits(third, None), Limits(None, third)
    assert beside(third, "N·m", low) == "33.33333333333337 N·m"
    assert beside(third - near, "N·m", low) == "33.33 N·m"
    assert beside(third, "N·m", high) == "33.33 N·m"
    assert beside(third + near, "N·m", high) == "33.33333333333337 N·m"
    inch = parse_torque("1 lbf·in").newton_metres
    assert beside(third * inch, "lbf·in", Limits(third * inch, None)) == "33.33333333333337 lbf·in"
    assert beside(Fraction("38.0004") * inch, "lbf·in", Limits(34 * inch, 38 * inch)) == "38.0004 lbf·in"
    foot = parse_torque("1 lbf·ft").newton_metres * 2
    assert beside(third * foot, "lbf·ft", Limits(None, third * foot)) == "66.6666666666666 lbf·ft"


def test_sixteen_digits_at_most() -> None:
    """All sixteen where they are needed; where they do not do, the last one leans."""
    sixteen, seventeen = Fraction("1.000000000000003"), Fraction("1.0000000000000005")
    assert beside(sixteen, "N·m", Limits(sixteen, None)) == "1.000000000000003 N·m"
    assert beside(seventeen, "N·m", Limits(seventeen, None)) == "1.000000000000002 N·m"


@example(Fraction(47963, 33000), Fraction(47963, 33000), Fraction(1, 100))
@example(Fraction(2, 3), Fraction(1, 3), Fraction(1, 3))
@given(SOME, SOME, SOME)
def test_what_is_shown_is_on_the_side_where_it_is(torque: Fraction, low: Fraction, width: Fraction) -> None:
    """Read back, the text lies within, below or above like the torque itself."""
    limits = Limits(low, low + width)
    shown = Fraction(beside(torque, "N·m", limits).removesuffix(" N·m"))
    assert limits.side(shown) == limits.side(torque)
