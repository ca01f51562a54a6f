"""Conformity of a calibration: every reading, by a named decision rule."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from torquelog.errors import TorquelogError
from torquelog.torque.conformity import ANSWERS, RULES, conformity, is_good, judged, rule
from torquelog.torque.curve import error_curve
from torquelog.torque.deviation import CONVENTIONS, within
from torquelog.torque.pair import Pair

FOUR_PERCENT = Fraction(1, 25)
references = st.fractions(80, 120, max_denominator=1000)
uncertainties = st.fractions(Fraction(1, 100), 5, max_denominator=100)
conventions = st.sampled_from(CONVENTIONS)


def reading(reference, uncertainty="1"):
    """A reading at 100 N·m whose expanded uncertainty is 1 N·m."""
    return Pair(Fraction(100), Fraction(reference), uncertainty=Fraction(uncertainty), k=Fraction(2))


@pytest.mark.parametrize(
    ("reference", "simple", "guarded", "four"),
    [
        ("100", "pass", "pass", "pass"),
        ("97", "pass", "pass", "pass"),
        ("96.999", "pass", "fail", "conditional-pass"),
        ("96", "pass", "fail", "conditional-pass"),
        ("95.999", "fail", "fail", "conditional-fail"),
        ("95", "fail", "fail", "conditional-fail"),
        ("94.999", "fail", "fail", "fail"),
        ("103", "pass", "pass", "pass"),
        ("103.001", "pass", "fail", "conditional-pass"),
        ("104", "pass", "fail", "conditional-pass"),
        ("104.001", "fail", "fail", "conditional-fail"),
        ("105", "fail", "fail", "conditional-fail"),
        ("105.001", "fail", "fail", "fail"),
    ],
)
def test_the_three_rules_at_every_edge(reference, simple, guarded, four):
    """The answers of ILAC-G8:09/2019 clause 4.2 (read) for 96 to 104 and w = 1, on and beside each edge."""
    pair = reading(reference)
    answers = [judged(pair, FOUR_PERCENT, "by-indication", name) for name in RULES]
    assert answers == [simple, guarded, four]


def test_the_same_reading_by_the_iso_band():
    """Under ISO's convention the limits of a setting of 100 are 96.1538 and 104.1666, not 96 and 104."""
    assert judged(reading("96.1"), FOUR_PERCENT, "iso-6789") == "fail"
    assert judged(reading("96.1"), FOUR_PERCENT, "by-indication") == "pass"
    assert judged(reading("104.1"), FOUR_PERCENT, "iso-6789") == "pass"
    assert judged(reading("104.1"), FOUR_PERCENT, "by-indication") == "fail"


@given(references, uncertainties, conventions)
def test_the_rules_agree_where_they_must(reference, uncertainty, by):
    """Both kinds of four-way pass are a simple pass, and its plain pass is the guard band's."""
    pair = reading(reference, uncertainty)
    simple, guarded, four = (judged(pair, FOUR_PERCENT, by, name) for name in RULES)
    assert (simple == "pass") is (four in ("pass", "conditional-pass"))
    assert (guarded == "pass") is (four == "pass")
    assert (simple == "pass") is within(pair.indicated, pair.reference, FOUR_PERCENT, by)


@given(references, uncertainties, uncertainties, conventions)
def test_more_uncertainty_never_makes_a_clear_answer(reference, one, two, by):
    """A larger uncertainty never turns a guarded fail into a pass."""
    less, more = sorted((one, two))
    if judged(reading(reference, less), FOUR_PERCENT, by, "guard-band") == "fail":
        assert judged(reading(reference, more), FOUR_PERCENT, by, "guard-band") == "fail"


def test_one_bad_reading_decides_and_not_the_mean():
    """Five readings whose mean is 100 fail by the one that is out (ISO 6789-1, taken from memory)."""
    pairs = [Pair(Fraction(100), Fraction(y), repeat=n) for n, y in enumerate((105, 99, 99, 99, 98), 1)]
    found = conformity(pairs, FOUR_PERCENT)
    assert found.answers == ("fail", "pass", "pass", "pass", "pass")
    assert found.worst == "fail"
    assert not found.conforms
    point = error_curve(pairs, "cw", "as-found").points[0]
    assert point.reference == 100
    assert not is_good(point, FOUR_PERCENT)


def test_the_worst_answer_is_the_tools():
    """Answers rank from pass to fail; a conditional pass still conforms, a conditional fail does not."""
    assert ANSWERS == ("pass", "conditional-pass", "conditional-fail", "fail")
    conditional = conformity([reading("96.5"), reading("100")], FOUR_PERCENT, "by-indication", "four-way")
    assert (conditional.worst, conditional.conforms) == ("conditional-pass", True)
    failing = conformity([reading("96.5"), reading("95.5")], FOUR_PERCENT, "by-indication", "four-way")
    assert (failing.worst, failing.conforms) == ("conditional-fail", False)


@pytest.mark.parametrize("name", ["guard-band", "four-way"])
def test_a_rule_that_needs_an_uncertainty_asks_for_it(name):
    """A guard band cannot be made up where no uncertainty is given; simple acceptance needs none."""
    bare = Pair(Fraction(100), Fraction(100))
    with pytest.raises(TorquelogError, match=name) as caught:
        conformity([bare], FOUR_PERCENT, deciding=name)
    assert caught.value.code == "uncertainty-missing"
    assert conformity([bare], FOUR_PERCENT).conforms


def test_the_rules_are_read_by_their_names():
    """The three names are read; any other is refused, and the hint names all of them."""
    assert [rule(name) for name in RULES] == list(RULES)
    with pytest.raises(TorquelogError) as caught:
        rule("shared risk")
    assert caught.value.code == "rule-unknown"
    assert all(name in caught.value.hint for name in RULES)


def test_without_a_convention_the_deviation_is_divided_by_the_reference():
    """104.1 at 100 shown keeps 4 % of the reference and not 4 % of the indication."""
    pair = Pair(Fraction(100), Fraction("104.1"))
    assert judged(pair, Fraction(1, 25)) == "pass"
    assert judged(pair, Fraction(1, 25), "by-indication") == "fail"
    assert conformity([pair], Fraction(1, 25)).worst == "pass"
    curve = error_curve([pair], "cw", "as-found")
    assert is_good(curve.points[0], Fraction(1, 25))


def test_there_are_three_rules():
    """By these names, which certificates and cards bear."""
    assert set(RULES) == {"simple-acceptance", "guard-band", "four-way"}
