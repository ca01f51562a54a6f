"""A torque beside its limits is rounded for reading, never across them."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from torquelog.torque.beside import beside
from torquelog.torque.limits import Limits

SOME = st.fractions(min_value=Fraction(1, 100), max_value=2000, max_denominator=10**6)


def test_four_digits_where_they_do() -> None:
    """Without limits, and well inside them."""
    assert beside(Fraction("35.928"), "N·m") == "35.93 N·m"
    assert beside(Fraction("35.928"), "N·m", Limits(Fraction(34), Fraction(38))) == "35.93 N·m"


def test_as_many_as_keep_it_on_its_side() -> None:
    """38.0004 is above 38, and four digits would put it on the limit."""
    assert beside(Fraction("38.0004"), "N·m", Limits(Fraction(34), Fraction(38))) == "38.0004 N·m"


@given(SOME, SOME, SOME)
def test_what_is_shown_is_on_the_side_where_it_is(torque: Fraction, low: Fraction, width: Fraction) -> None:
    """Read back, the text lies within, below or above like the torque itself."""
    limits = Limits(low, low + width)
    shown = Fraction(beside(torque, "N·m", limits).removesuffix(" N·m"))
    assert limits.side(shown) == limits.side(torque)
