"""Drift through as-found results, beside the worked case of the handbook."""

from fractions import Fraction
from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from torquelog.errors import TorquelogError
from torquelog.torque.distributions import student_quantile
from torquelog.torque.drift import HORIZON, Change, days_until_uncertainty, days_within, drift

DAYS = (70, 86, 104, 135, 167, 173)
CHANGES = (".1", ".11", ".251", ".299", ".403", ".615")


def handbook():
    """The six results of the handbook's example."""
    return drift([Change(days, Fraction(change)) for days, change in zip(DAYS, CHANGES, strict=True)])


def test_the_handbooks_regression():
    """b 0.00015741 and 0.00001674, variances 1.01e-6 and 4.549e-11, covariance −6.607e-9, s 0.0708.

    NASA-HDBK-8739.19-5 chapter 7, read where another document reproduces it, and derived again.
    """
    found = handbook().fit
    assert [round(float(b), 8) for b in found.coefficients] == [0.00015741, 0.00001674]
    assert float(found.covariance[0][0]) == pytest.approx(1.01e-6, rel=1e-3)
    assert float(found.covariance[1][1]) == pytest.approx(4.549e-11, rel=2e-4)
    assert float(found.covariance[0][1]) == pytest.approx(-6.607e-9, rel=1e-4)
    assert round(sqrt(found.scatter), 4) == 0.0708
    assert found.freedom == 4


def test_the_day_on_which_the_uncertainty_reaches_its_limit():
    """From 0.28 the uncertainty reaches 0.5 at 327.15 days, the residuals' variance inside the root."""
    assert round(days_until_uncertainty(handbook(), 0.28, 0.5), 2) == 327.15


def test_an_uncertainty_may_start_beyond_its_limit_or_never_reach_it():
    """At the limit from the beginning is day zero; not within the horizon is nothing."""
    assert days_until_uncertainty(handbook(), 0.5, 0.5) == 0.0
    assert days_until_uncertainty(handbook(), 0.28, 0.5, horizon=300) is None


def test_the_days_by_a_reliability_use_student():
    """On the last day the t quantile for four degrees still fits inside the tolerance, not the day after.

    The normal quantile would allow more days than six results can promise.
    """
    known = handbook()
    days = days_within(known, 1.0, 0.95)
    t, z = student_quantile(0.95, 4), 1.6449

    def reach(at, quantile):
        found = known.at(Fraction(at))
        return float(found.value) + quantile * found.standard_of_one

    assert reach(days, t) <= 1.0 < reach(days + 1, t)
    assert reach(days + 1, z) < 1.0


def test_the_days_fall_with_the_reliability_and_the_uncertainty():
    """More reliability and a worse calibration leave fewer days; a wider tolerance leaves more."""
    known = handbook()
    assert days_within(known, 1.0, 0.99) < days_within(known, 1.0, 0.95) < days_within(known, 1.2, 0.95)
    assert days_within(known, 1.0, 0.95, initial=0.2) < days_within(known, 1.0, 0.95)
    assert days_within(known, 0.01, 0.95) == 0
    assert days_within(known, 10.0**9, 0.95, horizon=40) == 40


@settings(max_examples=30)
@given(st.fractions(Fraction(1, 10**5), Fraction(1, 10**3), max_denominator=10**6), st.integers(0, 2))
def test_a_steady_drift_without_scatter_lasts_its_exact_days(slope, shift):
    """A tool that drifts by the same amount each day leaves its tolerance on the day that arithmetic says."""
    known = drift([Change(days + shift, slope * (days + shift)) for days in (100, 200, 300)], (1,))
    tolerance = float(slope) * 250.5
    assert days_within(known, tolerance, 0.95) == 250


def test_alike_intervals_cannot_show_a_bend():
    """Intervals of one length tell one coefficient, not two."""
    same = [Change(365, Fraction(n, 100)) for n in (1, 2, 3)]
    assert drift(same, (1,)).at(Fraction(365)).value == Fraction(2, 100)
    with pytest.raises(TorquelogError) as caught:
        drift(same)
    assert caught.value.code == "results-too-few"


def steady(slope="1/128"):
    """A drift of so much a day without any scatter."""
    return drift([Change(days, days * Fraction(slope)) for days in (32, 64, 128)], (1,))


def test_the_horizon_is_twenty_years():
    """With their leap days."""
    assert HORIZON == 20 * 365.25


def test_an_uncertainty_that_grows_within_the_first_day_is_told_in_parts_of_it():
    """At the beginning it is below the limit, after a day beyond it."""
    days = days_until_uncertainty(handbook(), 0.28, sqrt(0.28**2 + handbook().fit.scatter) + 1e-9)
    assert 0.0 < days < 1.0


def test_at_its_limit_from_the_beginning_and_never_growing_is_day_zero():
    """A drift without scatter adds nothing; on the limit is reached."""
    assert days_until_uncertainty(steady(), 0.5, 0.5) == 0.0
    assert days_until_uncertainty(steady(), 0.5, 0.5000001) is None


def test_the_last_day_of_the_horizon_is_looked_at():
    """The 328th day brings the limit of the example; a horizon of 327 days does not reach it."""
    assert round(days_until_uncertainty(handbook(), 0.28, 0.5, horizon=328), 2) == 327.15
    assert days_until_uncertainty(handbook(), 0.28, 0.5, horizon=327) is None
    last = days_within(handbook(), 1.0, 0.95)
    assert days_within(handbook(), 1.0, 0.95, horizon=last + 1) == last
    assert days_within(handbook(), 1.0, 0.95, horizon=last) == last


def test_a_tool_is_within_its_tolerance_on_its_very_limit():
    """1/128 a day reaches a half on day 64, which still belongs to it, with certainty."""
    assert days_within(steady(), 0.5, 1.0) == 64
