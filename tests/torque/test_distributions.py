"""The distributions against a general-purpose statistics library and against their own symmetries."""

from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import special, stats

from torquelog.torque.distributions import (
    beta_quantile,
    incomplete_beta,
    normal_cdf,
    student_cdf,
    student_quantile,
)

freedoms = st.one_of(st.integers(1, 200), st.floats(0.5, 1e9))
scores = st.floats(-60.0, 60.0)
shapes = st.floats(0.25, 400.0)
shares = st.floats(1e-6, 1 - 1e-6)


@given(scores)
def test_the_normal_distribution_equals_the_reference(z):
    """The normal probability equals the reference library's, far into both tails."""
    assert normal_cdf(z) == pytest.approx(stats.norm.cdf(z), rel=1e-12, abs=1e-300)


@settings(max_examples=100)
@given(scores, freedoms)
def test_student_equals_the_reference(t, freedom):
    """Student's t equals the reference library's for whole, broken, few and very many degrees of freedom."""
    assert student_cdf(t, freedom) == pytest.approx(special.stdtr(freedom, t), rel=1e-8, abs=1e-10)


@settings(max_examples=60)
@given(shares, st.one_of(st.integers(1, 60), st.floats(1.0, 1e6)))
def test_a_student_quantile_leads_back_to_its_probability(probability, freedom):
    """The quantile is the place at which the distribution reaches the probability asked for."""
    assert student_cdf(student_quantile(probability, freedom), freedom) == pytest.approx(
        probability, abs=1e-10
    )


def test_student_has_its_ends_and_its_limit():
    """At probability 0 and 1 the quantile is infinite; with infinite freedom it is the normal one."""
    assert student_quantile(0.0, 5) == -inf
    assert student_quantile(1.0, 5) == inf
    assert student_cdf(inf, 5) == 1.0
    assert student_cdf(0.0, 5) == 0.5
    assert student_quantile(0.975, inf) == pytest.approx(1.959963984540054, rel=1e-12)


@pytest.mark.parametrize(
    ("freedom", "factor"),
    [
        (1, 12.71),
        (2, 4.30),
        (3, 3.18),
        (4, 2.78),
        (5, 2.57),
        (10, 2.23),
        (20, 2.09),
        (50, 2.01),
        (100, 1.984),
    ],
)
def test_students_table_at_95_percent(freedom, factor):
    """The two-sided 95 % factors of JCGM 100 table G.2, from memory; every textbook prints the same."""
    assert student_quantile(0.975, freedom) == pytest.approx(factor, abs=0.006)


@settings(max_examples=100)
@given(shares, shapes, shapes)
def test_the_incomplete_beta_function_equals_the_reference(x, a, b):
    """The regularised incomplete beta function equals the reference library's."""
    assert incomplete_beta(x, a, b) == pytest.approx(special.betainc(a, b, x), rel=1e-9, abs=1e-12)


@given(shapes, shapes)
def test_the_incomplete_beta_function_has_its_ends(a, b):
    """It is 0 at 0 and 1 at 1."""
    assert (incomplete_beta(0.0, a, b), incomplete_beta(1.0, a, b)) == (0.0, 1.0)


@settings(max_examples=60)
@given(st.floats(0.01, 0.99), st.integers(1, 300), st.integers(1, 300))
def test_a_beta_quantile_equals_the_reference(probability, a, b):
    """The beta quantile equals the reference library's."""
    assert beta_quantile(probability, a, b) == pytest.approx(stats.beta.ppf(probability, a, b), rel=1e-9)


@pytest.mark.parametrize("freedom", [3, 150, 201, 203, 1000, 99_999, 100_001, 1e7])
@pytest.mark.parametrize("t", [-3.0, -1.0, -0.01, 0.0, 1.0, 2.0, 8.0])
def test_student_keeps_its_digits_where_the_way_to_compute_it_changes(t, freedom):
    """Twelve decimals on both sides of a large argument; ten beyond a hundred thousand degrees."""
    digits = 2e-12 if freedom < 1e5 else 1e-10
    assert student_cdf(t, freedom) == pytest.approx(stats.t.cdf(t, freedom), abs=digits)


@pytest.mark.parametrize("probability", [0.001, 0.3, 0.5, 0.975, 0.9999])
@pytest.mark.parametrize("freedom", [1, 4, 50])
def test_a_student_quantile_is_the_references(probability, freedom):
    """Far below the bracket that the search begins with, and far above."""
    found = student_quantile(probability, freedom)
    assert found == pytest.approx(stats.t.ppf(probability, freedom), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("x", [0.01, 0.2, 0.49, 0.5, 0.51, 0.8, 0.99])
@pytest.mark.parametrize(("a", "b"), [(0.5, 0.5), (1, 1), (2, 9), (9, 2), (40, 60), (500, 0.5)])
def test_the_incomplete_beta_function_keeps_its_digits(x, a, b):
    """On both sides of the middle and of the point where the fraction changes sides."""
    assert incomplete_beta(x, a, b) == pytest.approx(special.betainc(a, b, x), rel=1e-11)
