"""Adapters and multipliers: the published corrections, angles, chains, and an independent moment of force."""

import math
from decimal import Decimal, localcontext
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from torquelog.errors import TorquelogError
from torquelog.torque.adapter import Extension, Multiplier, cosine, gain
from torquelog.torque.number import display

INCH = Fraction(254, 10_000)

angles = st.fractions(-720, 720, max_denominator=1000)
levers = st.fractions(Fraction(1, 10), 2, max_denominator=1000)
extensions = st.builds(Extension, st.fractions(Fraction(-1, 2), 1, max_denominator=1000), angles)
multipliers = st.builds(Multiplier, st.fractions(1, 30, max_denominator=100))


def straight(lever, extension, angle="0"):
    """The gain of one adapter, lever and extension in inches."""
    chain = [Extension(Fraction(extension) * INCH, Fraction(angle))]
    return gain(Fraction(lever) * INCH, chain)


def refused(code, *arguments):
    """The error that this chain meets."""
    with pytest.raises(TorquelogError) as caught:
        gain(*arguments)
    assert caught.value.code == code
    assert caught.value.exit == 2
    return caught.value


@pytest.mark.parametrize(
    ("torque", "lever", "extension", "printed", "exact"),
    [
        # US Army TM 1-1500-204-23-9 (31 Jul 1992, C4) para 8-5, fig 8-16; read.
        ("300", "10", "4", "214", "214.285714"),
        # FAA AC 43.13-1B fig 7-2: the rule in para 7-40h was read; the figures are from memory and
        # were read where another document reproduces the figure.
        ("135", "10", "1.5", "117", "117.391304"),
        # The same figure, adapter turned back to the hand.
        ("135", "10", "-1.5", "159", "158.823529"),
        # NAVEDTRA 14315 chapter 3, figs 3-44 and 3-45; read.
        ("100", "12", "6", "66.7", "66.6666667"),
    ],
)
def test_published_settings(torque, lever, extension, printed, exact):
    """The setting for a torque in lbf·in, as handbooks print it and with more digits."""
    setting = Fraction(torque) / straight(lever, extension)
    assert display(setting, 9) == exact
    assert display(setting, len(printed.replace(".", ""))) == printed


def test_published_torque_from_a_setting():
    """US Army TM 9-254 p. 4-5, fig 4-5 (read): set to 60 lbf·in with 2 in on 12 in gives 70 lbf·in."""
    assert 60 * straight(12, 2) == 70


@pytest.mark.parametrize(
    ("angle", "torque"),
    [
        ("0", "70"),
        ("30", "68.660254"),
        ("45", "67.071068"),
        ("60", "65"),
        ("90", "60"),
        ("120", "55"),
        ("180", "50"),
    ],
)
def test_angled_adapter(angle, torque):
    """The geometry of TM 9-254 fig 4-5 at other angles; no angled case was found in print: computed.

    The projected length counts (NAVEDTRA 14315, read).
    """
    assert display(60 * straight(12, 2, angle), 8) == torque


@given(levers, st.fractions(-10, 10, max_denominator=100), st.integers(-5, 5))
def test_a_right_angle_changes_nothing(lever, length, turns):
    """At a right angle it is direct (read in TM 9-2350-277-20-2 C5, TM 5-3810-305-23, NAVEDTRA 14008)."""
    assert gain(lever, [Extension(length, Fraction(90 + 180 * turns))]) == 1


def test_a_rounded_setting_gives_another_torque():
    """Rounding trap, computed: the setting of fig 8-16 rounded to 214 gives 299.6 at the fastener."""
    assert 214 * straight(10, 4) == Fraction("299.6")


def test_an_inch_is_not_nothing():
    """TM 5-3810-305-23 leaves adapters up to 1 in uncorrected: 9.1 % on a 10 in wrench, so it is not done."""
    assert display((1 - 1 / straight(10, 1)) * 100, 2) == "9.1"


def test_uncertainty_of_a_setting():
    """JCGM 100 applied to the setting, computed with two independent libraries.

    T 100 u 1, L 12 u 0.05, E 6 u 0.02 gives 66.666 667 with u 0.677 129 826; with 9, 4, 4 degrees of freedom,
    9.567 161 effective. L stands twice in the formula, so its sensitivity is not that of a plain quotient.
    """
    step = Fraction(1, 10**12)

    def setting(torque, lever, extension):
        return Fraction(torque) / gain(Fraction(lever), [Extension(Fraction(extension))])

    middle = (Fraction(100), Fraction(12), Fraction(6))
    sensitivities = []
    for place in range(3):
        up, down = list(middle), list(middle)
        up[place] += step
        down[place] -= step
        sensitivities.append((setting(*up) - setting(*down)) / (2 * step))
    expected = (Fraction(12, 18), Fraction(600, 324), Fraction(-1200, 324))
    assert all(
        abs(found - right) < Fraction(1, 10**20) for found, right in zip(sensitivities, expected, strict=True)
    )
    shares = [float(found) * u for found, u in zip(sensitivities, (1, 0.05, 0.02), strict=True)]
    combined = math.hypot(*shares)
    assert display(setting(*middle), 8) == "66.666667"
    assert combined == pytest.approx(0.677129826, abs=5e-10)
    freedom = combined**4 / sum(share**4 / nu for share, nu in zip(shares, (9, 4, 4), strict=True))
    assert freedom == pytest.approx(9.567161, abs=5e-7)


@pytest.mark.parametrize(
    ("angle", "value"),
    [
        (0, 1),
        (60, "1/2"),
        (90, 0),
        (120, "-1/2"),
        (180, -1),
        (240, "-1/2"),
        (270, 0),
        (300, "1/2"),
        (-60, "1/2"),
    ],
)
def test_the_cosine_is_exact_where_it_can_be(angle, value):
    """At multiples of 90° and of 60° the cosine is a fraction, and so it is given, for each whole turn."""
    for turns in (-2, 0, 3):
        assert cosine(Fraction(angle + 360 * turns)) == Fraction(value)


@pytest.mark.parametrize(("angle", "root"), [(30, "0.75"), (45, "0.5"), (150, "0.75"), (315, "0.5")])
def test_the_cosine_has_thirty_right_digits(angle, root):
    """cos 30° is the root of 3/4 and cos 45° the root of 1/2, here from decimal square roots."""
    with localcontext() as context:
        context.prec = 50
        expected = Fraction(Decimal(root).sqrt())
    assert abs(abs(cosine(Fraction(angle))) - expected) <= Fraction(1, 2 * 10**30)


def test_the_cosine_of_36_degrees_is_half_the_golden_ratio():
    """A value known from the pentagon, that no root of a single fraction gives."""
    with localcontext() as context:
        context.prec = 50
        expected = Fraction((1 + Decimal(5).sqrt()) / 4)
    assert abs(cosine(Fraction(36)) - expected) <= Fraction(1, 2 * 10**30)


@given(angles)
def test_the_cosine_agrees_with_the_mathematical_library(angle):
    """Within what floating point can tell, the machine's own cosine is the same."""
    assert float(cosine(angle)) == pytest.approx(math.cos(math.radians(float(angle))), abs=1e-13)


@given(angles)
def test_the_cosine_has_its_symmetries(angle):
    """Even, periodic, turned over by half a turn, and cos 2x = 2 cos² x − 1 to the last digits."""
    value = cosine(angle)
    assert value == cosine(-angle) == cosine(angle + 360) == -cosine(angle + 180)
    assert abs(cosine(2 * angle) - (2 * value * value - 1)) < Fraction(1, 10**29)


@given(st.fractions(0, 180, max_denominator=500), st.fractions(0, 180, max_denominator=500))
def test_the_cosine_falls_from_nought_to_half_a_turn(one, other):
    """A larger angle up to 180° has a smaller cosine."""
    assume(one < other)
    assert cosine(one) > cosine(other)


@given(levers, st.lists(extensions, max_size=3), st.fractions(1, 500, max_denominator=100))
def test_the_gain_is_the_ratio_of_two_moments(lever, chain, force):
    """The hand's moment about the fastener, from vectors, over its moment about the wrench's square.

    The hand pulls across the wrench at its lever's end; the fastener lies where the adapters lead to.
    """
    arm = float(lever) + sum(float(e.length) * math.cos(math.radians(float(e.angle))) for e in chain)
    assume(arm > 1e-6)
    hand = (-float(lever), 0.0)
    nut = [0.0, 0.0]
    for part in chain:
        nut[0] += float(part.length) * math.cos(math.radians(float(part.angle)))
        nut[1] += float(part.length) * math.sin(math.radians(float(part.angle)))
    pull = (0.0, -float(force))

    def moment(about):
        return (hand[0] - about[0]) * pull[1] - (hand[1] - about[1]) * pull[0]

    assert float(gain(lever, chain)) == pytest.approx(moment(nut) / moment((0.0, 0.0)), rel=1e-9)


@given(levers, extensions)
def test_setting_and_torque_are_inverse(lever, extension):
    """A torque divided by the gain is the setting that gives it, exactly."""
    assume(lever + extension.length * cosine(extension.angle) > 0)
    ratio = gain(lever, [extension])
    assert Fraction(72) / ratio * ratio == 72


@given(
    levers, st.fractions(0, 1, max_denominator=1000), st.fractions(Fraction(1, 1000), 1, max_denominator=1000)
)
def test_a_longer_adapter_gives_more_torque(lever, length, more):
    """In line with the wrench, the gain grows with the adapter and shrinks with the lever."""
    assert gain(lever, [Extension(length + more)]) > gain(lever, [Extension(length)])
    assert gain(lever + more, [Extension(length)]) <= gain(lever, [Extension(length)])


@given(levers, extensions, extensions)
def test_two_adapters_in_a_row_are_one(lever, one, other):
    """The second adapter works on the lever that the first has made."""
    first = lever + one.length * cosine(one.angle)
    assume(first > 0)
    assume(first + other.length * cosine(other.angle) > 0)
    assert gain(lever, [one, other]) == gain(lever, [one]) * gain(first, [other])


@given(levers, extensions, multipliers, multipliers)
def test_multipliers_multiply(lever, extension, one, other):
    """A multiplier's ratio multiplies what comes before it, and needs no lever."""
    assume(lever + extension.length * cosine(extension.angle) > 0)
    assert gain(lever, [extension, one, other]) == gain(lever, [extension]) * one.ratio * other.ratio
    assert gain(None, [one]) == one.ratio


def test_nothing_between_wrench_and_fastener():
    """Without adapters the fastener gets what is indicated, lever or not."""
    assert gain(None, []) == gain(Fraction(1, 2), []) == 1


@pytest.mark.parametrize(
    ("length", "angle"), [("-0.4", "0"), ("-0.5", "0"), ("0.4", "180"), ("0.8", "120"), ("-0.8", "60")]
)
def test_an_adapter_back_to_the_hand_is_refused(length, angle):
    """Where no arm is left, no torque could be computed, or one that turns the other way."""
    refused("adapter-reversed", Fraction("0.4"), [Extension(Fraction(length), Fraction(angle))])


def test_an_adapter_just_short_of_the_hand_is_computed():
    """One micrometre of arm is an arm."""
    assert gain(Fraction("0.4"), [Extension(Fraction("-0.399999"))]) == Fraction(1, 400_000)


def test_a_wrench_without_a_lever_takes_no_adapter():
    """A torque screwdriver has no lever that an adapter could change, not even at a right angle."""
    refused("adapter-no-lever", None, [Extension(Fraction("0.05"))])
    refused("adapter-no-lever", None, [Extension(Fraction("0.05"), Fraction(90))])


def test_an_adapter_behind_a_multiplier_is_refused():
    """There the holding arm's force counts as well, and nobody knows it."""
    refused("adapter-order", Fraction("0.4"), [Multiplier(Fraction(4)), Extension(Fraction("0.05"))])


@pytest.mark.parametrize("lever", ["0", "-0.4"])
def test_a_lever_has_a_length(lever):
    """A lever of nothing is a slip of the finger, with adapters or without."""
    refused("adapter-length", Fraction(lever), [])


@pytest.mark.parametrize("ratio", ["0", "-3.8"])
def test_a_multiplier_has_a_ratio(ratio):
    """A ratio is above zero."""
    refused("multiplier-ratio", None, [Multiplier(Fraction(ratio))])


def test_a_cosine_has_thirty_decimals_and_no_more():
    """What is not exact is rounded once, at the thirtieth decimal, so that every machine says the same."""
    assert (cosine(Fraction(36)) * 10**30).denominator == 1
    assert (cosine(Fraction(36)) * 10**29).denominator != 1
