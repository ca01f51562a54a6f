"""The uncertainty of a reading through lever, adapters and multipliers, beside figures and two libraries."""

from fractions import Fraction
from math import cos, inf, radians, sqrt

import GTC
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat, umath

from torquelog.errors import TorquelogError
from torquelog.torque.budget import Contribution, rectangular
from torquelog.torque.curve import actual, error_curve
from torquelog.torque.pair import Pair
from torquelog.torque.uncertainty import (
    Arm,
    Quantity,
    Ratio,
    from_certificate,
    gain,
    of_applied,
    of_reading,
    of_setting,
)


def through(lever, length, freedom=inf):
    """One straight adapter."""
    return gain(Quantity(*lever, freedom), [Arm(Quantity(*length, freedom))])


def test_the_setting_of_the_worked_case():
    """Torque 100 u 1, lever 12 u 0.05, adapter 6 u 0.02 give 66.666 667 with u 0.677 129 826.

    With 9, 4 and 4 degrees of freedom, 9.567 161 effective. JCGM 100 applied; computed with two libraries.
    """
    chain = through((12, 0.05), (6, 0.02), 4)
    found = of_setting(Quantity(100, 1, 9), chain)
    assert round(float(100 / chain.value), 6) == 66.666667
    assert round(found.standard, 9) == 0.677129826
    assert round(found.freedom, 6) == 9.567161


def test_the_same_case_in_both_libraries():
    """Both libraries, given the formula with the lever once, find the same figures."""
    torque, lever, adapter = GTC.ureal(100, 1, 9), GTC.ureal(12, 0.05, 4), GTC.ureal(6, 0.02, 4)
    setting = torque * lever / (lever + adapter)
    assert round(GTC.uncertainty(setting), 9) == 0.677129826
    assert round(GTC.dof(setting), 6) == 9.567161
    torque, lever, adapter = ufloat(100, 1), ufloat(12, 0.05), ufloat(6, 0.02)
    assert round((torque * lever / (lever + adapter)).std_dev, 9) == 0.677129826


def test_the_sensitivities_are_the_published_ones():
    """c_T = L/(L+E), c_L = T·E/(L+E)², c_E = −T·L/(L+E)²."""
    found = of_setting(Quantity(100, 1), through((12, 0.05), (6, 0.02)))
    slopes = {part.name: part.sensitivity for part in found.contributions}
    assert slopes["torque"] == pytest.approx(12 / 18)
    assert slopes["lever"] == pytest.approx(100 * 6 / 18**2)
    assert slopes["adapter 1"] == pytest.approx(-100 * 12 / 18**2)
    assert slopes["angle 1"] == pytest.approx(0.0)


def test_the_lever_is_not_counted_twice():
    """Numerator and denominator hold the same lever: taken as two independent ones, u comes out wrong."""
    torque, above, below, adapter = ufloat(100, 1), ufloat(12, 0.05), ufloat(12, 0.05), ufloat(6, 0.02)
    apart = (torque * above / (below + adapter)).std_dev
    found = of_setting(Quantity(100, 1), through((12, 0.05), (6, 0.02))).standard
    assert apart > found * 1.05


lengths = st.tuples(st.floats(0.2, 1.0), st.floats(0.0001, 0.01), st.integers(2, 50))
arms = st.tuples(
    st.floats(-0.09, 0.09),
    st.floats(0.0001, 0.01),
    st.floats(0.0, 180.0),
    st.floats(0.01, 3.0),
    st.integers(2, 50),
)
ratios = st.tuples(st.floats(1.5, 25.0), st.floats(0.001, 0.2), st.integers(2, 50))
cases = (lengths, st.lists(arms, max_size=2), st.lists(ratios, max_size=2), st.floats(1.0, 500.0))


def both(lever, adapters, multipliers):
    """The chain for our function, and the same gain as an expression of each library."""
    length, u, freedom = lever
    chain = [Arm(Quantity(e, ue, n), Quantity(a, ua, n)) for e, ue, a, ua, n in adapters]
    chain += [Ratio(Quantity(*row)) for row in multipliers]
    one, two = GTC.ureal(length, u, freedom), ufloat(length, u)
    first, second = one, two
    for e, ue, a, ua, n in adapters:
        first += GTC.ureal(e, ue, n) * GTC.cos(GTC.ureal(radians(a), radians(ua), n))
        second += ufloat(e, ue) * umath.cos(ufloat(radians(a), radians(ua)))
    first, second = first / one, second / two
    for m, um, n in multipliers:
        first, second = first * GTC.ureal(m, um, n), second * ufloat(m, um)
    return gain(Quantity(*lever), chain), first, second


@settings(max_examples=60)
@given(*cases)
def test_the_torque_through_any_chain_equals_the_libraries(lever, adapters, multipliers, torque):
    """Value, uncertainty and degrees of freedom of what the fastener gets, for any chain."""
    chain, one, two = both(lever, adapters, multipliers)
    found = of_applied(Quantity(torque, torque / 100, 9), chain)
    one, two = one * GTC.ureal(torque, torque / 100, 9), two * ufloat(torque, torque / 100)
    assert float(chain.value) * torque == pytest.approx(GTC.value(one), rel=1e-12)
    assert found.standard == pytest.approx(GTC.uncertainty(one), rel=1e-9)
    assert found.standard == pytest.approx(two.std_dev, rel=1e-9)
    assert found.freedom == pytest.approx(GTC.dof(one), rel=1e-6)


@settings(max_examples=60)
@given(*cases)
def test_the_setting_for_any_chain_equals_the_libraries(lever, adapters, multipliers, torque):
    """Uncertainty and degrees of freedom of the setting that a torque needs, for any chain."""
    chain, one, two = both(lever, adapters, multipliers)
    found = of_setting(Quantity(torque, torque / 100, 9), chain)
    one, two = GTC.ureal(torque, torque / 100, 9) / one, ufloat(torque, torque / 100) / two
    assert found.standard == pytest.approx(GTC.uncertainty(one), rel=1e-9)
    assert found.standard == pytest.approx(two.std_dev, rel=1e-9)
    assert found.freedom == pytest.approx(GTC.dof(one), rel=1e-6)


def test_one_caliper_for_lever_and_adapter_correlates_them():
    """Measured with one caliper, lever and adapter are wrong together, and that cancels in the ratio."""
    chain = through((12, 0.05), (6, 0.025))
    apart = of_applied(Quantity(100, 0), chain).standard
    together = of_applied(Quantity(100, 0), chain, {("lever", "adapter 1"): 1.0}).standard
    assert together == pytest.approx(0.0, abs=1e-9)
    assert apart > 0.2


def test_a_right_angle_makes_the_length_harmless_and_the_angle_matter():
    """At 90° the adapter's length does nothing, and every degree counts with the whole length."""
    found = gain(Quantity(0.4, 0.001), [Arm(Quantity(0.1, 0.001), Quantity(90.0, 1.0))])
    shares = {part.name: part.share for part in found.contributions}
    assert found.value == 1
    assert shares["adapter 1"] == pytest.approx(0.0, abs=1e-15)
    assert shares["lever"] == pytest.approx(0.0, abs=1e-15)
    assert shares["angle 1"] == pytest.approx(-0.1 / 0.4 * radians(1.0))


def test_a_multiplier_needs_no_lever():
    """A multiplier on a tool without a lever has its ratio as its gain."""
    found = gain(None, [Ratio(Quantity(Fraction("3.8"), 0.05))])
    assert found.value == Fraction("3.8")
    assert [(part.name, part.share) for part in found.contributions] == [("multiplier 1", 0.05)]


PAIR = Pair(Fraction(100), Fraction(99), uncertainty=Fraction("0.5"), k=Fraction(2))
APPLIED = actual(error_curve([PAIR], "cw", "as-found"), Fraction(100))


def test_the_certificate_alone_is_kept_exactly():
    """With nothing else known, the certificate's own expanded uncertainty counts, through the exact gain."""
    direct = gain(Quantity(Fraction(4)), [Arm(Quantity(Fraction(1)))])
    assert of_reading(APPLIED).expanded == Fraction("0.5")
    found = of_reading(APPLIED, through=direct)
    assert found.expanded == Fraction("0.625")
    assert found.standard == pytest.approx(0.3125)
    assert found.freedom == inf


def test_a_wide_k_carries_its_degrees_of_freedom():
    """A certificate with k 2.87 tells of four degrees of freedom, and its standard uncertainty is U/k."""
    found = from_certificate(Fraction("2.87"), Fraction(1))
    assert found.standard == 1.0
    assert found.freedom == pytest.approx(4.0, abs=0.01)
    assert found.expanded == Fraction("2.87")


def test_every_source_joins_the_budget():
    """Calibration, step of the scale, repetition, adapter and run-on torque, each once and by its name."""
    found = of_reading(
        APPLIED,
        through=through((0.4, 0.001), (0.1, 0.0005)),
        graduation=Fraction(1, 2),
        repeatability=Contribution("repeatability", 0.2, freedom=4),
        others=[Contribution("run-on", 0.1, -1.0)],
    )
    names = [part.name for part in found.contributions]
    assert names == ["calibration", "resolution", "repeatability", "lever", "adapter 1", "run-on"]
    parts = [0.25 * 1.25, rectangular(Fraction(1, 2)) * 1.25, 0.2 * 1.25, 0.1]
    parts += [99 * 0.1 / 0.4**2 * 0.001, 99 / 0.4 * 0.0005]
    assert found.standard == pytest.approx(sqrt(sum(part**2 for part in parts)))
    assert 4 < found.freedom < inf


def test_unknown_is_not_zero():
    """Without the certificate's uncertainty there is no budget, whatever else is known."""
    bare = actual(error_curve([PAIR._replace(uncertainty=None, k=None)], "cw", "as-found"), Fraction(100))
    assert of_reading(bare, graduation=Fraction(1, 2)) is None
    assert from_certificate(None, None) is None


@given(st.floats(0.0, 180.0))
def test_the_gain_is_the_vectors(angle):
    """The gain of one arm is what the moment of the hand's force about the fastener says."""
    found = gain(Quantity(0.3), [Arm(Quantity(0.1), Quantity(angle))])
    assert float(found.value) == pytest.approx(1 + 0.1 * cos(radians(angle)) / 0.3)


def test_an_adapter_needs_a_lever():
    """An arm on a tool without a lever is refused as everywhere, not left out of the budget."""
    with pytest.raises(TorquelogError) as caught:
        gain(None, [Arm(Quantity(0.1))])
    assert caught.value.code == "adapter-no-lever"


def test_a_lever_without_an_adapter_is_no_source():
    """A multiplier on a wrench with a lever has the ratio's uncertainty alone."""
    found = gain(Quantity(0.4, 0.001), [Ratio(Quantity(Fraction(4), 0.05))])
    assert [part.name for part in found.contributions] == ["multiplier 1"]


def test_the_torque_is_named_in_the_budget():
    """In that of the torque applied as in that of the setting."""
    chain = through((0.4, 0.001), (0.1, 0.0005))
    for found in (of_applied(Quantity(100, 1), chain), of_setting(Quantity(100, 1), chain)):
        assert [part.name for part in found.contributions] == ["torque", "lever", "adapter 1", "angle 1"]


def test_half_an_uncertainty_is_none():
    """The expanded one without the standard one, and the other way round."""
    assert from_certificate(Fraction(1), None) is None
    assert from_certificate(None, Fraction(1)) is None


def test_the_k_of_a_certificate_is_expanded_by_standard():
    """0.0287 over 0.01 is 2.87, four degrees of freedom."""
    assert from_certificate(Fraction("0.0287"), Fraction("0.01")).freedom == pytest.approx(4.0, abs=0.01)


def test_a_second_source_enlarges_the_certificates_uncertainty():
    """Alone it is kept exactly, also where it does not come out even; with the scale's step it grows."""
    odd = actual(
        error_curve([PAIR._replace(uncertainty=Fraction(1, 3), k=Fraction("2.1"))], "cw", "as-found"),
        Fraction(100),
    )
    assert of_reading(odd).expanded == Fraction(1, 3)
    assert of_reading(odd, graduation=Fraction(1, 2)).standard > of_reading(odd).standard
