"""The deviation under both conventions, at their edges."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from torquelog.errors import TorquelogError
from torquelog.torque.deviation import CONVENTIONS, actual, band, convention, deviation, within

FOUR_PERCENT = Fraction(1, 25)
torques = st.fractions(Fraction(1, 100), 2000, max_denominator=1000)
accuracies = st.fractions(Fraction(1, 1000), Fraction(1, 2), max_denominator=1000)
conventions = st.sampled_from(CONVENTIONS)


def percent(value):
    """A deviation in per cent, to five decimals."""
    return round(float(value * 100), 5)


@pytest.mark.parametrize(
    ("reference", "by", "printed", "inside"),
    [
        ("96.15", "iso-6789", 4.00416, False),
        ("96.15", "by-indication", -3.85, True),
        ("104.16", "iso-6789", -3.99386, True),
        ("104.16", "by-indication", 4.16, False),
    ],
)
def test_the_two_conventions_part_at_the_limit(reference, by, printed, inside):
    """Set to 100 with 4 % allowed, the same reading is in by one convention and out by the other.

    Computed from the definition of ISO 6789-1, which is taken from memory; its denominator, the
    reference, was confirmed in print. Other documents divide by the indication.
    """
    found = deviation(Fraction(100), Fraction(reference), by)
    assert percent(found) == printed
    assert within(Fraction(100), Fraction(reference), FOUR_PERCENT, by) is inside


def test_a_positive_iso_deviation_means_less_torque_than_shown():
    """A wrench at +4 % that shows 104 gave the fastener 100."""
    assert actual(Fraction(104), FOUR_PERCENT) == 100
    assert actual(Fraction(100), Fraction(-4, 100), "by-indication") == 96


def test_the_iso_band_is_not_symmetrical():
    """The ISO band around a setting X runs from X/1.04 to X/0.96; the other one from 0.96 X to 1.04 X."""
    assert band(Fraction(100), FOUR_PERCENT) == (Fraction(10000, 104), Fraction(10000, 96))
    assert band(Fraction(100), FOUR_PERCENT, "by-indication") == (96, 104)


@given(torques, torques, conventions)
def test_deviation_and_actual_are_inverse(indicated, reference, by):
    """A deviation leads back to the reference torque that it was computed from, exactly."""
    assert actual(indicated, deviation(indicated, reference, by), by) == reference


@given(torques, accuracies, conventions)
def test_both_ends_of_the_band_lie_on_the_accuracy(indicated, accuracy, by):
    """On the limit is inside, and the least bit beyond is outside."""
    low, high = band(indicated, accuracy, by)
    assert {abs(deviation(indicated, end, by)) for end in (low, high)} == {accuracy}
    assert within(indicated, low, accuracy, by)
    assert within(indicated, high, accuracy, by)
    bit = Fraction(1, 10**30)
    assert not within(indicated, low - bit, accuracy, by)
    assert not within(indicated, high + bit, accuracy, by)


def test_a_tool_within_its_tolerance_left_the_fastener_outside():
    """At +3.9 %, allowed 4 %, a wrench set to 98 gave less than the 95 that the fastener needs."""
    assert actual(Fraction(98), Fraction("0.039")) < 95
    assert actual(Fraction(98), Fraction("0.039")) == Fraction(98000, 1039)


def test_a_tool_out_of_tolerance_left_the_fastener_inside():
    """At +5 %, allowed 4 %, a wrench set to 100 still gave a torque between 95 and 110."""
    assert 95 < actual(Fraction(100), Fraction(5, 100)) < 110


def test_a_tool_that_reads_low_gives_too_much():
    """A wrench that shows 11 % less than the reference and was set to 100 gave 112, above a limit of 110."""
    assert actual(Fraction(100), Fraction(-11, 100)) > 110


def test_a_tester_that_reads_high_hides_a_wrench_that_gives_too_little():
    """A tester 1.5 % high shows 97.0 where 95.57 was there: a wrench at 100 passes at 4 % and is outside."""
    shown = Fraction(97)
    assert within(Fraction(100), shown, FOUR_PERCENT)
    assert not within(Fraction(100), actual(shown, Fraction(15, 1000)), FOUR_PERCENT)


def test_the_conventions_are_read_by_their_names():
    """Both names are read; any other is refused, and the hint names both."""
    assert [convention(name) for name in CONVENTIONS] == list(CONVENTIONS)
    with pytest.raises(TorquelogError, match="percent") as caught:
        convention("percent")
    assert caught.value.code == "convention-unknown"
    assert all(name in caught.value.hint for name in CONVENTIONS)


def test_without_a_convention_it_is_divided_by_the_reference():
    """100 shown at 125 is −20 %, and 104.1 at 100 shown lies within 4 %."""
    assert deviation(Fraction(100), Fraction(125)) == Fraction(-1, 5)
    assert within(Fraction(100), Fraction("104.1"), Fraction(1, 25))
