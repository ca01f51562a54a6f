"""Limits: closed intervals, every form of a specification, and run-on torque under three rules."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from torquelog.errors import TorquelogError
from torquelog.torque.limits import Limits, check_basis, corrected, parse_basis, parse_spec
from torquelog.torque.units import TORQUE_UNITS, parse_torque

POUND_INCH = TORQUE_UNITS["lbf·in"].newton_metres

torques = st.fractions(0, 1000, max_denominator=1000)
ratios = st.fractions(Fraction(1, 10), 10, max_denominator=100)
shares = st.fractions(Fraction(1, 100), 1, max_denominator=100)
written = st.from_regex(
    r"[1-9][0-9]{0,4}(\.[0-9]{1,4})?", fullmatch=True, alphabet=st.characters(codec="ascii")
)
symbols = st.sampled_from(sorted(TORQUE_UNITS))


@st.composite
def limits(draw):
    """Limits with both ends, or with one open."""
    low, high = sorted([draw(torques), draw(torques)])
    return draw(st.sampled_from([Limits(low, high), Limits(low, None), Limits(None, high)]))


def nm(low, high):
    """Limits in newton metres."""
    return Limits(None if low is None else Fraction(low), None if high is None else Fraction(high))


def refused(text, code, **options):
    """The error that this specification meets."""
    with pytest.raises(TorquelogError) as caught:
        parse_spec(text, **options)
    assert caught.value.code == code
    assert caught.value.exit == 2
    assert caught.value.hint
    return caught.value


@pytest.mark.parametrize(
    ("torque", "side"), [("59.999", "below"), ("60", "within"), ("80", "within"), ("80.001", "above")]
)
def test_on_the_limit_is_within(torque, side):
    """Limits are closed at both ends."""
    assert nm(60, 80).side(Fraction(torque)) == side


def test_an_open_end_has_no_limit():
    """A minimum knows no above, a maximum no below."""
    assert nm(60, None).side(Fraction(10**9)) == "within"
    assert nm(None, 80).side(Fraction(0)) == "within"
    assert nm(None, None).side(Fraction(5)) == "within"


@given(limits(), torques, ratios)
def test_a_ratio_moves_limits_and_torque_alike(interval, torque, ratio):
    """What is within stays within when limits and torque go through the same adapters."""
    assert interval.times(ratio).side(torque * ratio) == interval.side(torque)
    assert interval.times(ratio).times(1 / ratio) == interval


@given(limits(), torques, torques)
def test_an_addition_moves_limits_and_torque_alike(interval, torque, more):
    """The same for run-on torque, and taking it off again gives the first limits."""
    assert interval.plus(more).side(torque + more) == interval.side(torque)
    assert interval.plus(more).plus(-more) == interval


@given(limits(), limits(), torques)
def test_shared_limits_hold_what_both_hold(one, other, torque):
    """A torque is within the shared limits exactly when it is within both."""
    both = one.side(torque) == "within" and other.side(torque) == "within"
    assert (one.shared(other).side(torque) == "within") == both


def test_middle_and_text_of_limits():
    """The middle lies halfway, an open end has none, and text is in any unit."""
    assert nm(60, 80).middle == 70
    assert nm(60, None).middle is None
    assert nm(60, None).shown("cN·m") == ("6000", None)
    assert nm(None, 80).shown("daN·m") == (None, "8")


@pytest.mark.parametrize(
    ("text", "canonical", "low", "high", "nominal"),
    [
        ("60..80 N·m", "60..80 N·m", "60", "80", None),
        ("60 .. 80Nm", "60..80 N·m", "60", "80", None),
        ("60 Nm..80 N.m", "60..80 N·m", "60", "80", None),
        ("6 daNm..80 Nm", "6 daN·m..80 N·m", "60", "80", None),
        ("0..100 Nm", "0..100 N·m", "0", "100", None),
        ("72 ± 3 Nm", "72 ± 3 N·m", "69", "75", "72"),
        ("72+/-3 Nm", "72 ± 3 N·m", "69", "75", "72"),
        ("72 +- 3 Nm", "72 ± 3 N·m", "69", "75", "72"),
        ("72 +/− 3 Nm", "72 ± 3 N·m", "69", "75", "72"),
        ("72 Nm ± 3 Nm", "72 ± 3 N·m", "69", "75", "72"),
        ("72 Nm ± 300 cNm", "72 N·m ± 300 cN·m", "69", "75", "72"),
        ("72 Nm ± 5 %", "72 N·m ± 5 %", "68.4", "75.6", "72"),
        ("72 Nm+/-5.0%", "72 N·m ± 5.0 %", "68.4", "75.6", "72"),
        ("44 +2 /-1 N·m", "44 +2/-1 N·m", "43", "46", "44"),
        ("44.10 + 2/− 1 Nm", "44.10 +2/-1 N·m", "43.1", "46.1", "44.1"),
        ("min 11 Nm", "min 11 N·m", "11", None, None),
        ("MAX 5 Nm", "max 5 N·m", None, "5", None),
        ("max5Nm", "max 5 N·m", None, "5", None),
    ],
)
def test_every_form_of_a_specification(text, canonical, low, high, nominal):
    """Each form is read, has one written form with its zeros kept, and exact limits."""
    spec = parse_spec(text)
    assert spec.text == str(spec) == canonical
    assert spec.limits == nm(low, high)
    assert spec.nominal == (None if nominal is None else Fraction(nominal))


def test_the_unit_of_a_specification_is_its_first():
    """Results are shown in the unit that the document names first."""
    assert parse_spec("60 ft-lb..100 Nm").unit == "lbf·ft"
    assert parse_spec("min 11 lbf.in").unit == "lbf·in"


def test_a_single_torque_takes_a_tolerance_given_apart():
    """With a tolerance, one torque is a specification like any other."""
    assert parse_spec("72 Nm", Fraction(1, 20)) == parse_spec("72 N·m ± 5 %")


def test_a_tolerance_does_not_fit_a_specification_with_limits():
    """Two statements about the limits would be one too many."""
    refused("60..80 Nm", "tolerance-twice", tolerance=Fraction(1, 20))
    refused("min 5 Nm", "tolerance-twice", tolerance=Fraction(1, 20))


@given(
    written, written, symbols, symbols, st.sampled_from(["range", "plus", "percent", "uneven", "min", "max"])
)
def test_a_specification_reads_back_the_same(first, second, unit, other, form):
    """The written form of a specification is read as that specification."""
    texts = {
        "range": f"{first} {unit}..{second} {other}",
        "plus": f"{first} {unit} ± {second} {other}",
        "percent": f"{first} {unit} ± {second} %",
        "uneven": f"{first} +{second}/-{first} {unit}",
        "min": f"min {first} {unit}",
        "max": f"max {first} {unit}",
    }
    try:
        spec = parse_spec(texts[form])
    except TorquelogError as error:
        assert error.code in ("limits-reversed", "limits-below-zero")  # noqa: PT017 (both outcomes are right)
        return
    assert parse_spec(spec.text) == spec


@given(written, written, symbols)
def test_limits_are_the_torques_as_written(first, second, symbol):
    """Each end is exactly the torque that was typed."""
    low, high = sorted([first, second], key=Fraction)
    spec = parse_spec(f"{low}..{high} {symbol}")
    assert spec.limits.low == parse_torque(f"{low} {symbol}").newton_metres
    assert spec.limits.high == parse_torque(f"{high} {symbol}").newton_metres


@pytest.mark.parametrize(
    ("text", "code", "hint"),
    [
        ("72 Nm", "tolerance-missing", "72 N·m ± 5 %"),
        ("80..60 Nm", "limits-reversed", "60..80 N·m"),
        ("130-140 ft-lb", "number-form", "130..140 ft-lb"),
        ("130 – 140 ft-lb", "number-form", "130..140 ft-lb"),
        ("130 to 140 ft-lb", "spec-form", "130..140 ft-lb"),
        ("130 ft-lb to 140 ft-lb", "spec-form", "130..140 ft-lb"),
        ("60...80 Nm", "spec-form", "60..80 Nm"),
        (">= 11 Nm", "spec-form", "min 11 Nm"),
        ("≤ 11 Nm", "spec-form", "max 11 Nm"),
        ("minimum 11 Nm", "spec-form", "min 11 lbf·in"),
        ("44+2 Nm", "spec-form", "44 +2/-1 N·m"),
        ("72 ± 5 % Nm", "spec-form", "72 Nm ± 5 %"),
        ("72 ± 5 %", "unit-missing", "Nm"),
        ("60..80", "unit-missing", "Nm"),
        ("44,5 ± 1 Nm", "number-form", "44.5 N·m"),
        ("1 1/2..2 in-lb", "number-form", "1.5 lbf·in"),
        ("60..1e3 Nm", "number-form", "1000 Nm"),
        ("60..", "number-form", "44.5 Nm"),
        ("..80 Nm", "number-form", "44.5 Nm"),
        ("min", "number-form", "44.5 Nm"),
        ("", "number-form", "44.5 Nm"),
        ("60..80 lb", "unit-ambiguous", "60..80 in-lb or 60..80 ft-lb"),
        ("min 5 lbs", "unit-ambiguous", "min 5 in-lb or min 5 ft-lb"),
        ("60lb..80lb", "unit-ambiguous", "60 in-lb..80 in-lb or 60 ft-lb..80 ft-lb"),
        ("60..80 ft lb", "unit-unknown", "ft-lb"),
        ("5 ± 6 Nm", "limits-below-zero", "60..80"),
        ("5 Nm ± 101 %", "limits-below-zero", "60..80"),
        ("5 +1/-6 Nm", "limits-below-zero", "60..80"),
        ("0..0 Nm", "limits-below-zero", "60..80"),
        ("max 0 Nm", "limits-below-zero", "60..80"),
        ("60..80 Nm ± 5 %", "number-form", "44.5 Nm"),
        ("72 ± 3 ± 4 Nm", "number-form", "44.5 Nm"),
        ("60..70..80 Nm", "number-form", "44.5 Nm"),
    ],
)
def test_other_specifications_are_refused_with_the_right_form(text, code, hint):
    """What is unclear, reversed or impossible is refused, and the hint shows what to type."""
    assert hint in refused(text, code).hint


def test_pound_units_are_not_taken_for_bare_pounds():
    """The pound in `lb-in` has its arm."""
    assert parse_spec("60..80 lb-in").unit == "lbf·in"


@given(st.text(alphabet="0123456789.±+-/% Nmlbfinax·", max_size=25))
def test_any_text_ends_in_a_specification_or_in_our_error(text):
    """No mistyped specification ends in an error of another kind, and none has its limits in reverse."""
    try:
        spec = parse_spec(text)
    except TorquelogError:
        return
    low, high = spec.limits
    assert low is None or high is None or 0 <= low <= high
    assert parse_spec(spec.text) == spec


def test_run_on_torque_is_added_to_both_ends():
    """US Army TB 43-0218 7c, worked there (read): 50 to 70 lbf·in with a drag of 30 is 80 to 100 lbf·in.

    FAA AC 43.13-1B 7-40 c, d, f, g (read): always added, and a castellated nut is aligned between both sums.
    """
    spec = parse_spec("50..70 lbf·in")
    drag = parse_torque("30 lbf·in").newton_metres
    raised = corrected(spec.limits, "above-run-on", drag)
    assert raised.shown("lbf·in") == ("80", "100")
    assert corrected(spec.limits, "above-run-on-from", drag, Fraction(1, 3)) == raised


def test_run_on_torque_counts_from_a_third_of_the_low_limit():
    """US Army TB 43-0218 7c (read): below a third it is disregarded, from a third on it is added."""
    low_third = 20 * POUND_INCH
    spec = parse_spec("60..70 lbf·in")
    from_third = Fraction(1, 3)
    assert corrected(spec.limits, "above-run-on-from", low_third, from_third) == spec.limits.plus(low_third)
    just_below = low_third - Fraction(1, 10**12)
    assert corrected(spec.limits, "above-run-on-from", just_below, from_third) == spec.limits


def test_a_total_torque_is_not_raised():
    """NASA-STD-5020B (2021) 4.8.1 (read): a specified torque is the total unless it says otherwise."""
    spec = parse_spec("50..70 lbf·in")
    assert corrected(spec.limits, "total", 30 * POUND_INCH) == spec.limits
    assert corrected(spec.limits, "total", None) == spec.limits


def test_a_pass_scales_the_specified_torque_and_not_the_run_on_torque():
    """Half of 60 to 80 above 5 is 35 to 45; the third is still taken of the full low limit."""
    half = Fraction(1, 2)
    assert corrected(nm(60, 80), "above-run-on", Fraction(5), share=half) == nm(35, 45)
    third = Fraction(1, 3)
    assert corrected(nm(60, 80), "above-run-on-from", Fraction(19), third, half) == nm(30, 40)
    assert corrected(nm(60, 80), "above-run-on-from", Fraction(20), third, half) == nm(50, 60)


@given(limits(), torques, shares)
def test_the_three_rules_are_in_order(interval, run_on, share):
    """The rule with a share gives what one of the other two gives."""
    total = corrected(interval, "total", run_on)
    above = corrected(interval, "above-run-on", run_on)
    assert total == interval
    assert above == interval.plus(run_on)
    if interval.low is not None:
        assert corrected(interval, "above-run-on-from", run_on, share) in (total, above)


def test_a_missing_run_on_torque_is_asked_for():
    """Limits above run-on torque cannot be computed without it, and zero is a measured value."""
    with pytest.raises(TorquelogError) as caught:
        corrected(nm(60, 80), "above-run-on", None)
    assert caught.value.code == "run-on-missing"
    assert corrected(nm(60, 80), "above-run-on", Fraction(0)) == nm(60, 80)


@pytest.mark.parametrize(
    ("text", "share", "expected"),
    [
        ("total", None, ("total", None)),
        ("above-run-on", None, ("above-run-on", None)),
        ("above-run-on-from 1/3", None, ("above-run-on-from", Fraction(1, 3))),
        ("above-run-on-from", "33 %", ("above-run-on-from", Fraction(33, 100))),
    ],
)
def test_a_basis_is_read_with_its_share(text, share, expected):
    """The card writes basis and share together, the command line apart."""
    assert parse_basis(text, share) == expected


@pytest.mark.parametrize(
    ("text", "share"),
    [("totally", None), ("above-run-on-from", None), ("total", "1/3"), ("above-run-on 1/3", None)],
)
def test_other_bases_are_refused(text, share):
    """An unknown basis, a missing share and one too many."""
    with pytest.raises(TorquelogError) as caught:
        parse_basis(text, share)
    assert caught.value.code == "basis-form"


def test_a_share_of_the_low_limit_needs_a_low_limit():
    """A maximum has no low limit whose third could be taken."""
    with pytest.raises(TorquelogError) as caught:
        check_basis(nm(None, 80), "above-run-on-from", Fraction(1, 3))
    assert caught.value.code == "basis-form"
    check_basis(nm(None, 80), "above-run-on", None)
    check_basis(nm(60, None), "above-run-on-from", Fraction(1, 3))


def test_limits_in_words():
    """Two ends, or one with its side."""
    assert nm(60, 80).words("N·m") == "60 to 80 N·m"
    assert nm(60, None).words("N·m") == "at least 60 N·m"
    assert nm(None, 80).words("N·m") == "80 N·m at most"


def test_limits_are_shown_with_sixteen_digits_and_said_with_six():
    """What stands in a file is as exact as can be written, what is said to a person is short."""
    third = Limits(Fraction(1, 3), Fraction(2, 3))
    assert third.shown("N·m") == ("0.3333333333333333", "0.6666666666666667")
    assert third.words("N·m") == "0.333333 to 0.666667 N·m"
    assert Limits(None, None).words("N·m") == "at least 0 N·m"


def test_a_basis_that_lacks_its_share_is_told_apart_from_one_that_is_none():
    """What is missing is named."""
    with pytest.raises(TorquelogError, match="needs the share of the low limit"):
        parse_basis("above-run-on-from")
    with pytest.raises(TorquelogError, match='"sideways" is not a torque basis'):
        parse_basis("sideways")


def test_a_share_that_is_missing_is_asked_for():
    """Before anything is computed with it, also where nobody checked before."""
    for act in (
        lambda: check_basis(nm(60, 80), "above-run-on-from", None),
        lambda: corrected(nm(60, 80), "above-run-on-from", Fraction(5), None),
        lambda: corrected(Limits(None, Fraction(80)), "above-run-on-from", Fraction(5), Fraction(1, 3)),
    ):
        with pytest.raises(TorquelogError) as caught:
            act()
        assert caught.value.code == "basis-form"


def test_a_share_that_the_basis_does_not_take_changes_nothing():
    """With above-run-on everything is added, a share or a low limit or none."""
    third = Fraction(1, 3)
    assert corrected(nm(60, 80), "above-run-on", Fraction(1), third) == nm(61, 81)
    open_below = Limits(None, Fraction(80))
    assert corrected(open_below, "above-run-on", Fraction(1), third) == Limits(None, Fraction(81))


def test_a_tolerance_given_apart_is_written_with_24_digits():
    """A third of a per cent does not come out even, and stays what it was in all digits that a number has."""
    spec = parse_spec("72 N·m", Fraction(1, 3))
    assert spec.text == f"72 N·m ± 33.{'3' * 22} %"


@pytest.mark.parametrize(
    ("text", "words"),
    [("max 0 N·m", "allows no torque at all"), ("3 ± 5 N·m", "reaches below zero")],
)
def test_limits_without_a_torque_are_told_apart_from_negative_ones(text, words):
    """Nothing at all, or less than nothing."""
    with pytest.raises(TorquelogError, match=words) as caught:
        parse_spec(text)
    assert caught.value.code == "limits-below-zero"
