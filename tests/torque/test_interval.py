"""Advice on intervals: keep, shorten, lengthen, or too few results to say."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from torquelog.torque import interval
from torquelog.torque.drift import Change, days_within, drift
from torquelog.torque.interval import LARGEST_STEP, WORTH_CHANGING, from_drift, from_family
from torquelog.torque.reliability import binomial_limits


def yearly(*changes):
    """Changes of the deviation in hundredths of a per cent, each over a year."""
    return [Change(365, Fraction(change, 10_000)) for change in changes]


def test_a_tool_that_drifts_too_far_is_shortened():
    """About 3.4 % a year, scattering, at 4 % allowed: a year is too long, and half of it is not."""
    advice = from_drift(yearly(340, 300, 380, 350), 0.04, 0.95, 365)
    assert advice.decision == "shorten"
    assert 200 < advice.days < 365
    assert f"{advice.days} days" in advice.reason


def test_a_steady_tool_is_kept_or_lengthened():
    """A tool that hardly drifts may go half again as long, no further; one near its limit is kept."""
    steady = from_drift(yearly(10, 20, 5, 15), 0.04, 0.95, 365)
    assert (steady.decision, steady.days) == ("lengthen", 547)
    near = from_drift(yearly(330, 335, 325, 330), 0.04, 0.95, 365)
    assert (near.decision, near.days) == ("keep", 365)


def test_a_line_is_not_believed_far_beyond_its_results():
    """Results over 100 days cannot lengthen an interval of a year, however good they are."""
    advice = from_drift([Change(100, Fraction(n, 100_000)) for n in (1, 2, 1)], 0.04, 0.95, 365)
    assert (advice.decision, advice.days) == ("keep", 365)
    assert "100 days" in advice.reason


def test_a_bend_is_seen_where_the_results_show_one():
    """Six results at different intervals fit a bend, five a straight line."""
    days = (70, 86, 104, 135, 167, 173)
    changes = (".1", ".11", ".251", ".299", ".403", ".615")
    bent = [Change(d, Fraction(c)) for d, c in zip(days, changes, strict=True)]
    assert from_drift(bent, 0.6, 0.95, 365).days == days_within(drift(bent, (1, 2)), 0.6, 0.95)
    assert from_drift(bent[:5], 0.6, 0.95, 365).days == days_within(drift(bent[:5], (1,)), 0.6, 0.95)
    assert from_drift(bent, 0.6, 0.95, 365).days != days_within(drift(bent, (1,)), 0.6, 0.95)


def test_the_very_interval_is_kept():
    """A tool that lasts exactly its interval keeps it; a day more would be too long."""
    steady = [Change(days, Fraction(days, 10_000)) for days in (100, 200, 300)]
    assert from_drift(steady, 0.02505, 0.95, 250).decision == "keep"
    assert from_drift(steady, 0.02505, 0.95, 251).decision == "shorten"


def test_two_results_say_nothing():
    """Fewer than three intervals, or intervals of no days, are too few, and the advice counts them."""
    advice = from_drift(yearly(300, 300), 0.04, 0.95, 365)
    assert (advice.decision, advice.days) == ("too-few", None)
    assert "2 results" in advice.reason
    assert from_drift([Change(0, Fraction(1))] * 9, 0.04, 0.95, 365).decision == "too-few"
    assert "1 result;" in from_drift(yearly(300), 0.04, 0.95, 365).reason


def test_a_tool_out_from_the_first_day_has_no_interval():
    """Where the calibration itself is too uncertain, shorten without a number."""
    advice = from_drift(yearly(100, 120, 90), 0.04, 0.95, 365, initial=0.05)
    assert (advice.decision, advice.days) == ("shorten", None)


def test_a_family_below_its_target_is_shortened_by_the_model():
    """42 of 50 at a year, wanted .95: the upper limit .8664 is below, and the model gives 107 days."""
    advice = from_family(42, 50, 365, 0.95)
    assert (advice.decision, advice.days) == ("shorten", 107)
    assert "42 of 50" in advice.reason


@pytest.mark.parametrize(
    ("good", "tested", "decision", "days"),
    [
        (4, 4, "too-few", None),
        (10, 10, "too-few", None),
        (0, 5, "shorten", None),
        (48, 50, "keep", 365),
        (50, 50, "keep", 365),
        (100, 100, "lengthen", 547),
        (60, 60, "keep", 365),
    ],
)
def test_a_family_at_its_edges(good, tested, decision, days):
    """Few say nothing, none good has no number, all good lengthens only once that proves the target."""
    advice = from_family(good, tested, 365, 0.95)
    assert (advice.decision, advice.days) == (decision, days)
    assert f"{tested}" in advice.reason


@settings(max_examples=60)
@given(st.data(), st.integers(1, 150), st.floats(0.6, 0.99), st.integers(30, 800))
def test_the_advice_on_a_family_keeps_its_bounds(data, tested, target, interval):
    """Shorter is shorter, longer is worth it and bounded, and one more good result never shortens."""
    good = data.draw(st.integers(0, tested))
    advice = from_family(good, tested, interval, target)
    if advice.decision == "shorten":
        assert advice.days is None or advice.days < interval
        assert good / tested < target
    if advice.decision == "lengthen":
        assert WORTH_CHANGING * interval <= advice.days <= LARGEST_STEP * interval
    order = ("shorten", "too-few", "keep", "lengthen")
    better = from_family(min(good + 1, tested), tested, interval, target)
    assert order.index(better.decision) >= order.index(advice.decision)


def changes(*days, slope=Fraction(1, 100_000)):
    """Changes over intervals of so many days, of a tool that drifts steadily."""
    return [Change(each, each * slope) for each in days]


def test_an_interval_of_one_day_counts_and_one_of_none_does_not():
    """Three results are enough, however short the shortest."""
    assert from_drift(changes(1, 200, 365), 0.04, 0.95, 365).decision != "too-few"
    assert from_drift(changes(0, 200, 365), 0.04, 0.95, 365).decision == "too-few"


@pytest.mark.parametrize(
    ("days", "powers"),
    [
        ((100, 110, 120, 130, 140, 150), (1, 2)),
        ((100, 110, 120, 130, 140, 149), (1,)),
        ((100, 110, 120, 130, 150), (1,)),
        ((100, 100, 100, 150, 150, 150), (1,)),
        ((100, 100, 100, 120, 150, 150), (1, 2)),
    ],
)
def test_a_bend_needs_results_enough_that_differ_enough(days, powers):
    """Six results, the longest half again as long as the shortest, and a third length between them."""
    assert interval._powers(changes(*days)) == powers


@pytest.mark.parametrize(
    ("days", "longest", "decision", "proposed", "words"),
    [
        (99, 365, "shorten", 99, "for 99 days"),
        (100, 365, "keep", 100, "for 100 days"),
        (124, 365, "keep", 100, "for 124 days"),
        (125, 365, "lengthen", 125, "longer"),
        (1000, 365, "lengthen", 150, "longer"),
        (124, 60, "keep", 100, "for 124 days"),
        (125, 60, "keep", 100, "no result is older than 60 days"),
        (0, 365, "shorten", None, "for 0 days"),
    ],
)
def test_the_edges_of_the_advice_on_one_tool(days, longest, decision, proposed, words):
    """Of 100 days: fewer is too long, a quarter more is worth lengthening, and half more is the most."""
    known = drift(changes(10, 20, longest))
    advice = interval._by_days(known, days, 100, 0.95)
    assert (advice.decision, advice.days) == (decision, proposed)
    assert words in advice.reason


def test_on_its_very_limit_a_family_is_neither_too_bad_nor_proven_better():
    """What is wanted may be as high as the slight evidence reaches, or as low as the strong one."""
    high = binomial_limits(8, 10, interval.SLIGHT).high
    assert from_family(8, 10, 365, high).decision == "keep"
    low = binomial_limits(20, 20, interval.STRONG).low
    assert from_family(20, 20, 365, low).decision == "keep"
    few = binomial_limits(5, 5, interval.SLIGHT).low
    assert from_family(5, 5, 365, few).decision == "keep"
    assert from_family(5, 5, 365, few + 1e-9).decision == "too-few"


def test_a_family_is_lengthened_from_a_quarter_more_on():
    """39 good of 39 on an interval of four days speak for five, which is just worth it."""
    assert from_family(39, 39, 4, 0.9)[:2] == ("lengthen", 5)


def test_a_family_that_lasts_no_day_has_no_interval():
    """Where the model comes to less than a day, no days are proposed."""
    assert from_family(1, 5, 1, 0.99)[:2] == ("shorten", None)
