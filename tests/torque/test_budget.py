"""Uncertainty budgets against two general-purpose uncertainty libraries."""

from fractions import Fraction
from math import inf, sqrt

import GTC
import pytest
import uncertainties
from hypothesis import given, settings
from hypothesis import strategies as st

from torquelog.torque.budget import Contribution, combined, coverage, freedom_of, rectangular, scatter
from torquelog.torque.distributions import student_quantile

sizes = st.floats(0.001, 10.0)
slopes = st.floats(-5.0, 5.0)
budgets = st.lists(
    st.tuples(sizes, slopes.filter(lambda c: abs(c) > 0.01), st.integers(1, 60)), min_size=1, max_size=6
)


def parts_of(rows):
    """Contributions named by their place."""
    return [Contribution(str(n), u, c, freedom) for n, (u, c, freedom) in enumerate(rows)]


@settings(max_examples=60)
@given(budgets)
def test_a_budget_equals_the_libraries(rows):
    """Independent sources combine, and their degrees of freedom, as both libraries have it."""
    found = combined(parts_of(rows))
    gtc = sum(c * GTC.ureal(0.0, u, freedom) for u, c, freedom in rows)
    other = sum(c * uncertainties.ufloat(0.0, u) for u, c, _ in rows)
    assert found.standard == pytest.approx(GTC.uncertainty(gtc), rel=1e-12)
    assert found.standard == pytest.approx(other.std_dev, rel=1e-12)
    assert found.freedom == pytest.approx(GTC.dof(gtc), rel=1e-9)


@settings(max_examples=60)
@given(sizes, sizes, slopes, slopes, st.floats(-1.0, 1.0))
def test_correlated_sources_equal_the_library(one, two, c_one, c_two, r):
    """Two correlated sources combine with the mixed term of JCGM 100 clause 5.2.2."""
    parts = [Contribution("lever", one, c_one), Contribution("adapter", two, c_two)]
    found = combined(parts, {("lever", "adapter"): r})
    x, y = GTC.ureal(0.0, one, independent=False), GTC.ureal(0.0, two, independent=False)
    GTC.set_correlation(r, x, y)
    assert found.standard == pytest.approx(GTC.uncertainty(c_one * x + c_two * y), rel=1e-6, abs=1e-6)


def test_full_correlation_adds_or_cancels():
    """Fully correlated shares add as they are, or cancel; independent ones add as squares."""
    parts = [Contribution("a", 3.0), Contribution("b", 4.0)]
    assert combined(parts).standard == 5.0
    assert combined(parts, {("a", "b"): 1.0}).standard == 7.0
    assert combined(parts, {("a", "b"): -1.0}).standard == 1.0


def test_correlated_sources_with_few_degrees_of_freedom_take_the_fewest():
    """The formula for effective degrees wants independence; without it the fewest stand for all."""
    parts = [Contribution("a", 1.0, freedom=9), Contribution("b", 1.0, freedom=4), Contribution("c", 1.0)]
    assert combined(parts, {("a", "c"): 0.5}).freedom == 4
    free = [part._replace(freedom=inf) for part in parts]
    assert combined(free, {("a", "c"): 0.5}).freedom == inf


@pytest.mark.parametrize(
    ("freedom", "factor"),
    [(1, 13.97), (2, 4.53), (3, 3.31), (4, 2.87), (5, 2.65), (6, 2.52), (7, 2.43), (8, 2.37), (10, 2.28),
     (20, 2.13), (50, 2.05), (100, 2.025), (inf, 2.0)],
)  # fmt: skip
def test_the_coverage_factors_for_95_45_percent(freedom, factor):
    """JCGM 100 table G.2, column 95.45 %; taken from memory and equal to what Student's t gives."""
    assert coverage(freedom) == pytest.approx(factor, abs=0.0051)


def test_a_broken_number_of_degrees_is_cut():
    """9.57 degrees of freedom expand as 9 do, and less than one as one: never too small a factor."""
    assert coverage(9.57) == coverage(9)
    assert coverage(0.3) == coverage(1)


@given(st.integers(1, 200))
def test_a_certificates_k_tells_its_degrees_of_freedom(freedom):
    """The coverage factor leads back to the degrees of freedom; 2 or less tells of infinitely many."""
    found = freedom_of(Fraction(coverage(freedom)))
    assert student_quantile(0.97725, found) == pytest.approx(coverage(freedom), abs=0.0006)
    assert freedom_of(Fraction(2)) == freedom_of(Fraction("1.96")) == inf
    assert freedom_of(Fraction(20)) == 1.0


def test_the_expanded_uncertainty_is_a_fraction_near_its_float():
    """What a limit is compared with is exact, and equals factor times standard uncertainty."""
    found = combined([Contribution("a", 0.3, freedom=8), Contribution("b", 0.4)])
    assert isinstance(found.expanded, Fraction)
    assert float(found.expanded) == pytest.approx(coverage(found.freedom) * 0.5, rel=1e-6)
    assert combined([Contribution("a", 0.25)]).expanded == Fraction(1, 2)


@given(st.fractions(Fraction(1, 1000), 10))
def test_a_rectangle_is_divided_by_two_roots_of_three(width):
    """A full width b is a standard uncertainty of b/(2√3): JCGM 100 clause 4.3.7, taken from memory."""
    assert rectangular(width) == pytest.approx(float(width) / sqrt(12), rel=1e-12)


def test_repetitions_tell_about_one_reading():
    """1, 2, 3, 4, 5 scatter with √2.5 and four degrees of freedom; one reading alone tells nothing."""
    found = scatter([Fraction(n) for n in range(1, 6)])
    assert (found.standard, found.freedom) == (sqrt(2.5), 4)
    assert scatter([Fraction(5)]) is None
    assert scatter([Fraction(5), Fraction(5)]).standard == 0.0


def test_correlated_sources_that_are_known_well_leave_the_others_their_degrees():
    """Where those with a correlation have infinite degrees of freedom, Welch and Satterthwaite's formula counts."""
    parts = [Contribution("one", 1.0), Contribution("two", 1.0), Contribution("three", 1.0, freedom=4)]
    assert combined(parts, {("one", "two"): 0.5}).freedom == pytest.approx(4.0**2 * 4)


def test_the_coverage_factor_is_taken_with_six_decimals():
    """An expanded uncertainty is a fraction, the same on every machine: u times k rounded at the sixth decimal."""
    found = combined([Contribution("one", 0.5, freedom=4)])
    assert found.expanded == Fraction(1, 2) * Fraction(round(coverage(4), 6))


def test_three_decimals_of_k_are_looked_at():
    """A k of 2.0004 is a 2, and tells of no limit to the degrees of freedom; 2.001 does."""
    assert freedom_of(Fraction("2.0004")) == inf
    assert freedom_of(Fraction("2.001")) < inf


def test_repetitions_are_told_as_such():
    """The contribution bears the name by which a budget shows it."""
    assert scatter([Fraction(1), Fraction(2)]).name == "repeatability"
