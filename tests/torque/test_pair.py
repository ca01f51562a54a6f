"""Calibration results: what can be one, and what is refused."""

from fractions import Fraction

import pytest

from torquelog.errors import TorquelogError
from torquelog.torque.pair import Pair, checked


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"indicated": Fraction(0)}, "above zero"),
        ({"reference": Fraction(-20)}, "above zero"),
        ({"direction": "left"}, "direction"),
        ({"state": "as-is"}, "state"),
        ({"uncertainty": Fraction(0), "k": Fraction(2)}, "above zero"),
        ({"uncertainty": Fraction(1)}, "coverage factor"),
        ({"uncertainty": Fraction(1), "k": Fraction(1, 2)}, "at least 1"),
    ],
)
def test_a_pair_that_cannot_be_a_result_is_refused(change, word):
    """Zero, negative and half-told results are refused with the reason and what to type instead."""
    good = Pair(Fraction(20), Fraction(20))
    assert checked(good) == good
    with pytest.raises(TorquelogError, match=word) as caught:
        checked(good._replace(**change))
    assert caught.value.code == "calibration-pair"
    assert caught.value.hint


def test_zero_on_the_reference_is_no_result():
    """As little as zero on the tool."""
    with pytest.raises(TorquelogError, match="above zero"):
        checked(Pair(Fraction(20), Fraction(0)))


@pytest.mark.parametrize("k", [Fraction(1), Fraction("1.65"), Fraction(2)])
def test_a_coverage_factor_may_be_one(k):
    """A certificate may give its standard uncertainty."""
    pair = Pair(Fraction(20), Fraction(20), uncertainty=Fraction(1), k=k)
    assert checked(pair) == pair


def test_what_a_certificate_does_not_say():
    """Clockwise, as found, the first of its repetitions, without an uncertainty."""
    assert Pair(Fraction(20), Fraction(20))[2:] == ("cw", "as-found", 1, None, None)
