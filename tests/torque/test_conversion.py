"""Conversion between units, the rarer ones included."""

import subprocess
import sys
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from torquelog.errors import TorquelogError
from torquelog.torque.conversion import Amount, convert
from torquelog.torque.units import TORQUE_UNITS

written = st.from_regex(
    r"[1-9][0-9]{0,5}(\.[0-9]{1,6})?", fullmatch=True, alphabet=st.characters(codec="ascii")
)
listed = st.sampled_from(sorted(TORQUE_UNITS))
RARER = ["mN·m", "kN·m", "gf·cm", "dyn·cm", "ozf·ft"]


def refused(text, unit, code):
    """The error that this conversion meets."""
    with pytest.raises(TorquelogError) as caught:
        convert(text, unit)
    assert caught.value.code == code
    assert caught.value.exit == 2
    return caught.value


def test_a_conversion_that_comes_out_even():
    """300 lbf·in is 33.895 448 708 285 01 N·m, and that is all of it."""
    assert convert("300 lbf·in", "N·m") == (Amount("300", "lbf·in"), Amount("33.89544870828501", "N·m"), True)


def test_a_conversion_that_is_rounded_says_so():
    """One N·m in lbf·ft never ends."""
    result = convert("1.0 Nm", "ft-lb")
    assert result.to == Amount("0.7375621492772654", "lbf·ft")
    assert not result.exact
    assert str(result.from_) == "1.0 N·m"


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        # NIST SP 811 (2008) appendix B.8, read where it is reproduced, prints seven digits of each.
        ("1 lbf·in", "N·m", "0.1129848"),
        ("1 lbf·ft", "N·m", "1.355818"),
        ("1 ozf·in", "N·m", "0.007061552"),
        ("1 kgf·m", "N·m", "9.80665"),
    ],
)
def test_published_conversions(text, unit, expected):
    """Our digits, cut to the published number of them, are the published ones."""
    shown = convert(text, unit).to.value
    places = len(expected.partition(".")[2])
    assert round(Fraction(shown), places) == Fraction(expected)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("1 N·m", "mN·m", "1000"),
        ("1 kN·m", "N·m", "1000"),
        ("1 kNm", "mNm", "1000000"),
        ("1 kgf·cm", "gf·cm", "1000"),
        ("1 gf·cm", "N·m", "0.0000980665"),
        ("1 N·m", "dyn·cm", "10000000"),
        ("1 ozf·ft", "ozf·in", "12"),
        ("16 FT-OZ", "lbf·ft", "1"),
        ("5 mN-m", "mN.m", "5"),
    ],
)
def test_rarer_units(text, unit, value):
    """What pint computes from our expressions equals what the definitions say."""
    result = convert(text, unit)
    assert result.to.value == value
    assert result.exact


@settings(max_examples=60)
@given(written, listed, listed)
def test_there_and_back(number, first, second):
    """An exact conversion leads back to the value; a rounded one to its first 14 digits at least."""
    there = convert(f"{number} {first}", second)
    if len(there.to.value.partition(".")[2]) > 12:
        return
    back = convert(f"{there.to.value} {second}", first)
    off = abs(Fraction(back.to.value) - Fraction(number))
    assert off <= Fraction(number) / 10**14
    if there.exact and back.exact:
        assert off == 0


@settings(max_examples=60)
@given(written, written, listed, listed)
def test_more_stays_more(one, other, first, second):
    """Rounding once never turns an order round."""
    low, high = sorted([one, other], key=Fraction)
    lower = Fraction(convert(f"{low} {first}", second).to.value)
    assert lower <= Fraction(convert(f"{high} {first}", second).to.value)


@pytest.mark.parametrize(
    ("text", "unit", "code"),
    [
        ("640 lb", "N·m", "unit-ambiguous"),
        ("640 N·m", "lb", "unit-ambiguous"),
        ("640", "N·m", "unit-missing"),
        ("44,5 Nm", "ft-lb", "number-form"),
        ("44,5 mNm", "Nm", "number-form"),
        ("5 Nm", "NM", "unit-unknown"),
        ("5 MNM", "Nm", "unit-unknown"),
        ("5 Nm", "gf cm", "unit-unknown"),
        ("5 Nm", "", "unit-unknown"),
        ("", "Nm", "number-form"),
    ],
)
def test_what_is_unclear_is_refused(text, unit, code):
    """The same refusals as everywhere, for the source and for the target."""
    assert refused(text, unit, code).hint


@pytest.mark.parametrize("symbol", RARER)
def test_a_near_miss_names_the_unit(symbol):
    """A rarer unit in another spelling is not guessed at, but named."""
    error = refused("5 Nm", symbol.replace("·", " "), "unit-unknown")
    assert error.hint == f"{symbol} is typed {symbol.replace('·', '-')}"
    convert("5 Nm", symbol.replace("·", "-"))


def test_pint_is_loaded_for_rarer_units_only():
    """Its registry takes a quarter of a second, so the usual conversions go without it."""
    script = (
        "import sys; from torquelog.torque.conversion import convert;"
        "convert('1 lbf·in', 'N·m'); assert 'pint' not in sys.modules;"
        "convert('1 lbf·in', 'mN·m'); assert 'pint' in sys.modules"
    )
    done = subprocess.run(
        [sys.executable, "-X", "utf8", "-c", script], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
