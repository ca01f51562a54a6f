"""The exponential model and exact binomial limits."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from torquelog.torque.reliability import binomial_limits, exponential_interval

shares = st.floats(0.05, 0.99)


@pytest.mark.parametrize(("observed", "days"), [(0.85, 115.199), (0.90, 177.695)])
def test_the_exponential_model(observed, days):
    """A year at .85 or at .90, wanted .95: 115.199 and 177.695 days. The model is a textbook's; computed."""
    assert round(exponential_interval(365, observed, 0.95), 3) == days


@pytest.mark.parametrize(("observed", "target"), [(1.0, 0.95), (0.0, 0.95), (0.9, 1.0), (0.9, 0.0)])
def test_all_or_none_has_no_answer(observed, target):
    """The logarithm of a share of one or of none says nothing about a rate."""
    assert exponential_interval(365, observed, target) is None


@given(shares, shares)
def test_the_model_leads_back(observed, target):
    """The interval for the target, asked back for the observed share, is the first interval."""
    there = exponential_interval(365, observed, target)
    assert exponential_interval(there, target, observed) == pytest.approx(365)
    assert (target <= observed) or there < 365 * (
        1 + 1e-9
    )  # nearly equal shares may round to equal intervals


def test_the_exact_limits_of_the_handbook():
    """Central 30 % (35 % on each side), 42 of 50: .8067 and .8664.

    Clopper and Pearson; the figures read where another document reproduces them, and computed.
    """
    found = binomial_limits(42, 50, 0.30)
    assert (round(found.low, 4), round(found.high, 4)) == (0.8067, 0.8664)


@settings(max_examples=60)
@given(st.data(), st.integers(1, 120), st.floats(0.1, 0.99))
def test_the_limits_equal_the_reference(data, tested, confidence):
    """The limits equal the reference library's, hold the observed share, and widen with confidence."""
    good = data.draw(st.integers(0, tested))
    found = binomial_limits(good, tested, confidence)
    reference = stats.binomtest(good, tested).proportion_ci(confidence, "exact")
    assert found == pytest.approx((reference.low, reference.high), rel=1e-9, abs=1e-12)
    assert found.low <= good / tested <= found.high
    wider = binomial_limits(good, tested, (1 + confidence) / 2)
    assert wider.low <= found.low
    assert wider.high >= found.high


def test_all_good_and_none_good_have_their_open_end():
    """With all good the upper limit is 1, with none good the lower one is 0."""
    assert binomial_limits(20, 20, 0.9).high == 1.0
    assert binomial_limits(20, 20, 0.9).low == pytest.approx(0.05 ** (1 / 20))
    assert binomial_limits(0, 20, 0.9).low == 0.0
