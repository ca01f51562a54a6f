"""The verdict on an applied torque, and the probability that it was within its limits."""

from collections import Counter
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from torquelog.torque.budget import Uncertainty
from torquelog.torque.curve import Indeterminate, actual, error_curve
from torquelog.torque.distributions import normal_cdf
from torquelog.torque.limits import Limits
from torquelog.torque.pair import Pair
from torquelog.torque.uncertainty import Arm, Quantity, gain, of_reading
from torquelog.torque.verdict import at_fastener, probability, verdict

FOUR_PERCENT = Fraction(1, 25)
OPEN = Limits(None, None)
torques = st.fractions(50, 150, max_denominator=100)
spreads = st.fractions(Fraction(1, 100), 20, max_denominator=100)


def known(expanded):
    """An uncertainty with k = 2 and infinite freedom."""
    return Uncertainty(Fraction(expanded), float(Fraction(expanded)) / 2, float("inf"), ())


def found_curve(*pairs, part=200):
    """A curve as found with U of 0.5 % (one part in 200) and k 2."""
    return error_curve(
        [Pair(Fraction(x), Fraction(y), uncertainty=Fraction(y) / part, k=Fraction(2)) for x, y in pairs],
        "cw",
        "as-found",
    )


def test_the_oil_of_the_published_example():
    """Viscosity 12.5 to 16.3, measured 13.6 with u 1.8: conforms with probability 0.66.

    JCGM 106:2012 clause 7; the example is taken from memory and recomputed, 0.662 629 8.
    """
    assert round(probability(13.6, 1.8, 12.5, 16.3), 7) == 0.6626298


def test_a_guard_band_of_the_whole_uncertainty_leaves_97_7_percent():
    """A value that is U inside its one limit conforms with 97.7 % (computed; k = 2)."""
    assert round(probability(98.0, 1.0, None, 100.0), 3) == 0.977
    assert probability(102.0, 1.0, 100.0, None) == pytest.approx(normal_cdf(2.0), rel=1e-12)


STORY = found_curve(("20", "18.69"), ("60", "59.40"), ("100", "99.50"))
FLEET = [  # fasteners, indicated, low, high, flies, tightened again since with a good tool
    (30, "22", "20.9", "23.1", False, True),
    (16, "45", "42.75", "47.25", False, False),
    (6, "22", "20.9", "23.1", False, False),
    (40, "22", "20.9", "23.1", True, False),
    (26, "25", "23.75", "26.25", True, False),
    (22, "90", "85.5", "94.5", True, False),
]


def verdict_at(indicated, low, high):
    """The story's verdict on one reading."""
    return at_fastener(
        actual(STORY, Fraction(indicated)), Limits(Fraction(low), Fraction(high)), accuracy=FOUR_PERCENT
    )


def test_a_wrench_that_failed_at_its_low_end():
    """140 fasteners of a wrench found at 18.69, 59.40 and 99.50: 76 outside, 26 nobody can tell, 38 within.

    Of those not tightened again since, 46 are outside, and 40 of these fly.
    """
    answers, standing, flying = Counter(), Counter(), Counter()
    for count, indicated, low, high, flies, again in FLEET:
        answer = verdict_at(indicated, low, high).answer
        answers[answer] += count
        standing[answer] += 0 if again else count
        flying[answer] += count if flies else 0
    assert answers == {"outside": 76, "indeterminate": 26, "within": 38}
    assert answers.total() == 140
    assert standing["outside"] == 46
    assert flying["outside"] == 40


def test_the_reasons_of_the_story():
    """At 25 the uncertainty spans the limit, between a bad and a good point; the others need no reason."""
    doubtful = verdict_at("25", "23.75", "26.25")
    assert doubtful.reasons == ("uncertainty-spans-limit", "between-good-and-bad")
    assert doubtful.torque == Fraction("23.77875")
    assert doubtful.side == "within"
    assert 0.6 < doubtful.probability < 0.8
    low = verdict_at("22", "20.9", "23.1")
    assert (low.torque, low.expanded, low.side, low.reasons) == (
        Fraction("20.7255"),
        Fraction("0.1036275"),
        "below",
        (),
    )
    assert low.probability < 0.001
    assert verdict_at("90", "85.5", "94.5").probability > 0.999


def test_between_a_good_and_a_bad_point_both_ways_to_read_the_curve_must_agree():
    """At 24 the torque is clearly within by one rule and in doubt by the other: nobody can tell.

    The same torque from a tool whose points are all good, or whose accuracy is not known, is within.
    """
    applied = actual(STORY, Fraction(24))
    limits = Limits(Fraction("22.6"), Fraction("25"))
    mixed = at_fastener(applied, limits, accuracy=FOUR_PERCENT)
    assert (mixed.answer, mixed.reasons) == ("indeterminate", ("between-good-and-bad",))
    assert mixed.probability > 0.9
    assert at_fastener(applied, limits).answer == "within"
    assert at_fastener(applied, limits, accuracy=Fraction(1, 10)).answer == "within"


@given(st.fractions(20, 100, max_denominator=50), st.fractions(Fraction(1, 2), 8, max_denominator=20))
def test_a_gain_changes_no_verdict_when_the_limits_grow_with_it(indicated, ratio):
    """Through any adapter, against limits as much larger, every reading of the story has the same verdict."""
    applied = actual(STORY, indicated)
    limits = Limits(indicated * 95 / 100, indicated * 105 / 100)
    plain = at_fastener(applied, limits, accuracy=FOUR_PERCENT)
    through = at_fastener(applied, limits.times(ratio), gain=ratio, accuracy=FOUR_PERCENT)
    assert (through.answer, through.reasons, through.side) == (plain.answer, plain.reasons, plain.side)


def test_few_degrees_of_freedom_reach_the_probability():
    """With k 3.31 the certificate tells of three degrees of freedom: its tails are Student's."""
    pair = Pair(Fraction(100), Fraction(100), uncertainty=Fraction("3.31"), k=Fraction("3.31"))
    found = at_fastener(
        actual(error_curve([pair], "cw", "as-found"), Fraction(100)), Limits(Fraction(98), None)
    )
    assert found.probability == pytest.approx(stats.t.cdf(2, 3), abs=1e-3)


def test_beyond_the_points_nobody_can_tell():
    """Outside the points the verdict is indeterminate with the curve's reason and no probability."""
    found = at_fastener(
        actual(STORY, Fraction(19)), Limits(Fraction(18), Fraction(20)), accuracy=FOUR_PERCENT
    )
    assert found == ("indeterminate", ("below-the-points",), None, None, None, None)
    other = at_fastener(Indeterminate("direction-not-calibrated"), OPEN)
    assert other.reasons == ("direction-not-calibrated",)


def test_the_limits_are_closed_and_compared_exactly():
    """Uncertainty that ends on the limit is within; one bit more and nobody can tell; all beyond, outside."""
    bit = Fraction(1, 10**30)
    limits = Limits(Fraction(95), Fraction(110))
    assert verdict(Fraction(96), limits, known(1)).answer == "within"
    assert verdict(Fraction(96) - bit, limits, known(1)).answer == "indeterminate"
    assert verdict(Fraction(94), limits, known(1)).answer == "indeterminate"
    assert verdict(Fraction(94) - bit, limits, known(1)).answer == "outside"
    assert verdict(Fraction(109), limits, known(1)).answer == "within"
    assert verdict(Fraction(111) + bit, limits, known(1)).side == "above"


def test_without_an_uncertainty_the_value_decides_and_says_so():
    """A certificate without uncertainty still gives a verdict, marked, and no probability."""
    curve = error_curve([Pair(Fraction(100), Fraction(96))], "cw", "as-found")
    found = at_fastener(actual(curve, Fraction(100)), Limits(Fraction(95), Fraction(110)))
    assert (found.answer, found.reasons) == ("within", ("uncertainty-not-given",))
    assert (found.expanded, found.probability) == (None, None)


def test_an_open_limit_is_no_limit():
    """A minimum alone and a maximum alone are judged on their one side."""
    assert verdict(Fraction(10**6), Limits(Fraction(95), None), known(1)).answer == "within"
    assert verdict(Fraction(94), Limits(None, Fraction(95)), known(1)).answer == "within"
    assert verdict(Fraction(90), Limits(Fraction(95), None), known(1)).side == "below"
    assert verdict(Fraction(90), OPEN, known(1)).probability == 1.0


@pytest.mark.parametrize(
    ("error", "indicated", "answer", "side"),
    [
        ("0.039", 98, "outside", "below"),
        ("0.05", 100, "within", "within"),
        ("-0.11", 100, "outside", "above"),
    ],
)
def test_the_tools_verdict_is_not_the_fasteners(error, indicated, answer, side):
    """A good wrench left one outside, a bad one left one inside, and one that reads low gave too much."""
    pairs = [(str(x), Fraction(x) / (1 + Fraction(error))) for x in (20, 100)]
    curve = found_curve(*pairs, part=500)
    found = at_fastener(actual(curve, Fraction(indicated)), Limits(Fraction(95), Fraction(110)))
    assert (found.answer, found.side) == (answer, side)


def test_an_adapter_that_was_longer_than_stamped():
    """An adapter of 2.25 in taken for 2.00 in on a 10 in wrench gives 2.1 % more: within becomes outside."""
    curve = found_curve(("20", "20"), ("100", "100"))
    stamped, measured = Fraction("12") / 10, Fraction("12.25") / 10
    limits = Limits(Fraction(95), Fraction("103"))
    applied = actual(curve, Fraction(85))
    assert at_fastener(applied, limits, gain=stamped).answer == "within"
    really = at_fastener(applied, limits, gain=measured)
    assert (really.answer, really.side, really.torque) == ("outside", "above", Fraction("104.125"))
    assert really.expanded == really.torque / 200


def test_a_whole_budget_replaces_the_certificates_uncertainty():
    """With the step of the scale and the adapter's lengths in the budget, a clear answer becomes a doubt."""
    curve = found_curve(("20", "20"), ("100", "100"))
    applied = actual(curve, Fraction(80))
    through = gain(Quantity(Fraction(10), 0.1), [Arm(Quantity(Fraction(2), 0.05))])
    limits = Limits(Fraction("95.4"), Fraction(110))
    assert at_fastener(applied, limits, gain=through.value).answer == "within"
    known_ = of_reading(applied, through=through, graduation=Fraction(1))
    found = at_fastener(applied, limits, gain=through.value, known=known_)
    assert (found.answer, found.reasons) == ("indeterminate", ("uncertainty-spans-limit",))
    assert found.expanded == known_.expanded > Fraction(96) / 200


@given(st.floats(0.01, 50), st.floats(0.01, 50), st.floats(0.1, 40))
def test_the_probability_falls_as_the_uncertainty_grows_around_a_centred_value(one, two, half):
    """In the middle of its limits a torque is the less surely within, the larger its uncertainty."""
    less, more = sorted((one, two))
    assert probability(100, less, 100 - half, 100 + half) >= probability(100, more, 100 - half, 100 + half)


@given(torques, spreads, torques, torques)
def test_a_definite_verdict_and_the_probability_agree(torque, expanded, one, two):
    """Within means at least 95.4 % for it, outside at most 2.3 %."""
    low, high = sorted((one, two))
    found = verdict(torque, Limits(low, high), known(expanded))
    if found.answer == "within":
        assert found.probability >= 0.954499
    if found.answer == "outside":
        assert found.probability <= 0.0227502
    assert found.reasons == (("uncertainty-spans-limit",) if found.answer == "indeterminate" else ())


@given(st.floats(50, 150), st.floats(0.1, 20), st.floats(50, 150), st.floats(50, 150), st.integers(1, 50))
def test_the_probability_equals_the_reference(torque, standard, one, two, freedom):
    """With few degrees of freedom it is Student's t, as the reference library computes it."""
    low, high = sorted((one, two))
    scaled = stats.t(freedom, loc=torque, scale=standard)
    assert probability(torque, standard, low, high, freedom) == pytest.approx(
        scaled.cdf(high) - scaled.cdf(low), abs=1e-10
    )


@given(torques, torques, torques)
def test_without_uncertainty_the_probability_is_certainty(torque, one, two):
    """A standard uncertainty of zero gives 1 inside the closed limits and 0 outside."""
    low, high = sorted((one, two))
    assert probability(torque, 0.0, low, high) == (1.0 if low <= torque <= high else 0.0)


@given(torques, spreads, spreads)
def test_the_verdict_widens_with_the_uncertainty(torque, one, two):
    """More uncertainty turns a definite verdict into doubt, never into the other definite one."""
    less, more = sorted((one, two))
    small = verdict(torque, Limits(Fraction(80), Fraction(120)), known(less)).answer
    large = verdict(torque, Limits(Fraction(80), Fraction(120)), known(more)).answer
    assert large in (small, "indeterminate")


def test_without_uncertainty_one_limit_is_enough():
    """The other end is open, and on the limit is inside."""
    assert probability(20.0, 0.0, None, 20.0) == 1.0
    assert probability(20.0, 0.0, 20.0, None) == 1.0
    assert probability(20.1, 0.0, None, 20.0) == 0.0
    assert probability(19.9, 0.0, 20.0, None) == 0.0


def test_an_indeterminate_reading_between_good_and_bad_bears_both_reasons():
    """Also where the other way to read the curve would be as indeterminate."""
    found = verdict(Fraction(20), Limits(Fraction(20), Fraction(30)), known(1), Fraction(20))
    assert found.answer == "indeterminate"
    assert found.reasons == ("uncertainty-spans-limit", "between-good-and-bad")


def test_without_an_uncertainty_nothing_is_spread():
    """A torque on its limit is within, however narrow the limits."""
    assert verdict(Fraction(20), Limits(Fraction(20), Fraction(20))).answer == "within"


def test_good_and_bad_are_told_by_the_reference_where_no_convention_is_named():
    """104.1 at 100 keeps 4 % of the reference, so both ends are good and nothing is mixed."""
    curve = error_curve(
        [Pair(Fraction(50), Fraction(50)), Pair(Fraction(100), Fraction("104.1"))], "cw", "as-found"
    )
    applied = actual(curve, Fraction(75))
    assert not isinstance(applied, Indeterminate)
    assert (
        at_fastener(applied, Limits(Fraction(76), Fraction(78)), accuracy=Fraction(1, 25)).answer == "within"
    )
    # 75 was 77.05 by the torque; by the deviation it would be 76.5 and so.
    tight = Limits(Fraction(77), Fraction("77.1"))
    assert at_fastener(applied, tight, accuracy=Fraction(1, 25)).answer == "within"
    assert at_fastener(applied, tight, accuracy=Fraction(1, 25), by="by-indication").answer == "indeterminate"
