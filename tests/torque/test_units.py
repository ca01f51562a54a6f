"""Units: the closed list, exact factors, and what is refused with the right form shown."""

from fractions import Fraction

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from torquelog.errors import CODES, TorquelogError
from torquelog.torque.number import display
from torquelog.torque.units import (
    CODED_UNITS,
    LENGTH_UNITS,
    TORQUE_UNITS,
    Length,
    Torque,
    in_unit,
    parse_angle,
    parse_fraction,
    parse_length,
    parse_percent,
    parse_torque,
    parse_unit,
    torque,
)

symbols = st.sampled_from(sorted(TORQUE_UNITS))
written = st.from_regex(r"[0-9]{1,6}(\.[0-9]{1,6})?", fullmatch=True, alphabet=st.characters(codec="ascii"))

FORMS = {
    "N·m": "N·m N.m N-m Nm",
    "cN·m": "cN·m cNm",
    "daN·m": "daN·m daNm",
    "lbf·in": "lbf·in lbf.in lbf-in lb-in in-lb in-lbf lbs-in LBF-IN In-Lb",
    "lbf·ft": "lbf·ft lbf.ft lbf-ft lb-ft ft-lb ft-lbf lbs-ft FT-LB Ft-Lb",
    "ozf·in": "ozf·in oz-in in-oz OZ-IN",
    "kgf·m": "kgf·m kgf-m kg-m",
    "kgf·cm": "kgf·cm",
}

PINT = {
    "N·m": "newton * meter",
    "cN·m": "centinewton * meter",
    "daN·m": "decanewton * meter",
    "lbf·in": "force_pound * inch",
    "lbf·ft": "force_pound * foot",
    "ozf·in": "force_ounce * inch",
    "kgf·m": "force_kilogram * meter",
    "kgf·cm": "force_kilogram * centimeter",
}


@pytest.fixture(scope="module")
def registry():
    """The units of pint, in exact fractions."""
    return pint.UnitRegistry(non_int_type=Fraction)


def refused(text, code, parse=parse_torque):
    """The error that this text meets."""
    with pytest.raises(TorquelogError) as caught:
        parse(text)
    assert caught.value.code == code
    assert caught.value.exit == 2
    assert caught.value.hint
    return caught.value


@pytest.mark.parametrize(("symbol", "form"), [(s, f) for s, forms in FORMS.items() for f in forms.split()])
def test_every_listed_form_is_read(symbol, form):
    """Each form of the list is its unit, with a blank before it or without."""
    assert parse_unit(form).symbol == symbol
    assert parse_torque(f"26.5 {form}") == parse_torque(f"26.5{form}") == Torque("26.5", symbol)


@pytest.mark.parametrize("symbol", sorted(TORQUE_UNITS))
def test_a_unit_printed_without_the_middle_dot_can_be_typed_again(symbol):
    """A screen that has no middle dot prints a hyphen: that form is read as well."""
    assert parse_unit(symbol.replace("·", "-")).symbol == symbol


@pytest.mark.parametrize("symbol", sorted(TORQUE_UNITS))
def test_factors_equal_those_of_pint(registry, symbol):
    """An independent library, computing in fractions, has the same factor to the last digit."""
    independent = registry.Quantity(Fraction(1), PINT[symbol]).to("newton * meter").magnitude
    assert TORQUE_UNITS[symbol].newton_metres == independent


@pytest.mark.parametrize("name", sorted(LENGTH_UNITS))
def test_lengths_equal_those_of_pint(registry, name):
    """The same for lengths: the international inch and foot."""
    names = {"mm": "millimeter", "cm": "centimeter", "m": "meter", "in": "inch", "ft": "foot"}
    assert LENGTH_UNITS[name] == registry.Quantity(Fraction(1), names[name]).to("meter").magnitude


@pytest.mark.parametrize(
    ("symbol", "exact", "printed"),
    [
        ("lbf·in", "0.1129848290276167", "0.1129848"),
        ("lbf·ft", "1.3558179483314004", "1.355818"),
        ("ozf·in", "0.00706155181422604375", "0.007061552"),
        ("kgf·m", "9.80665", "9.80665"),
    ],
)
def test_factors_are_the_published_ones(symbol, exact, printed):
    """NIST SP 811 (2008) appendix B.8 prints seven digits, read where it is reproduced.

    The longer ones follow from the definitions by hand.
    """
    factor = TORQUE_UNITS[symbol].newton_metres
    assert display(factor, 20) == exact
    assert display(factor, 7) == printed


def test_pound_force_is_the_defined_one():
    """1 lbf is 4.448 221 615 260 5 N, exactly, by the definitions of pound and standard gravity."""
    assert TORQUE_UNITS["lbf·ft"].newton_metres / LENGTH_UNITS["ft"] == Fraction("4.4482216152605")


def test_recommendation_20_codes():
    """UNECE Recommendation 20, read in an open list of its codes."""
    assert {code: unit.symbol for code, unit in CODED_UNITS.items()} == {
        "NU": "N·m",
        "F21": "lbf·in",
        "M92": "lbf·ft",
        "L41": "ozf·in",
    }


@pytest.mark.parametrize(
    ("text", "wrongly_printed", "exact"),
    [
        ("360 lbf·ft", "484", "488.1"),
        ("400 lbf·ft", "540", "542.3"),
        ("20 lbf·in", "2.2", "2.26"),
        ("300 lbf·ft", "406.8", "406.75"),
    ],
)
def test_wrong_conversions_in_print_are_not_matched(text, wrongly_printed, exact):
    """Wrong conversions in print: TM 5-3825-226-24, a light aircraft manual, TM 9-2320-273-20 (read)."""
    shown = display(parse_torque(text).newton_metres, len(exact.replace(".", "")))
    assert shown == exact
    assert Fraction(shown) != Fraction(wrongly_printed)


def test_convert_from_the_value_that_was_read():
    """16.72 lbf·ft is 22.669 N·m; rounded to 17 lbf·ft first it would be 23.049 (rounding trap, computed)."""
    assert display(parse_torque("16.72 lbf·ft").newton_metres, 5) == "22.669"
    assert display(parse_torque("17 lbf·ft").newton_metres, 5) == "23.049"


@given(written, symbols)
def test_a_torque_is_kept_as_it_was_read(number, symbol):
    """Zeros at the end are kept, and the text of a torque reads back as the same torque."""
    read = parse_torque(f"{number} {symbol}")
    assert read == Torque(number, symbol)
    assert parse_torque(str(read)) == read


@given(written, symbols, symbols)
def test_there_and_back_is_exact(number, first, second):
    """Converted to another unit and back, a value is what it was."""
    read = Torque(number, first)
    there = read.in_unit(second) * TORQUE_UNITS[second].newton_metres
    assert in_unit(there, first) == Fraction(number)


@given(written, symbols)
def test_display_in_its_own_unit_is_the_value(number, symbol):
    """Shown in the unit it was read in, a torque has its own digits, but for zeros at the end."""
    assert Fraction(torque(Torque(number, symbol).newton_metres, symbol).value) == Fraction(number)


@given(written, written, symbols)
def test_conversion_keeps_order(first, second, symbol):
    """More in one unit is more in every unit."""
    one, two = Torque(first, "lbf·in"), Torque(second, "lbf·in")
    assert (one.in_unit(symbol) < two.in_unit(symbol)) == (Fraction(first) < Fraction(second))


@pytest.mark.parametrize(
    ("text", "readings", "typed"),
    [
        ("640 lb", ["640 lbf·in is 72.31 N·m", "640 lbf·ft is 867.7 N·m"], "640 in-lb or 640 ft-lb"),
        ("640 LBS", ["640 lbf·in is 72.31 N·m", "640 lbf·ft is 867.7 N·m"], "640 in-lb or 640 ft-lb"),
        ("640 lbf", ["640 lbf·in is 72.31 N·m", "640 lbf·ft is 867.7 N·m"], "640 in-lb or 640 ft-lb"),
        ("2 kg", ["2 kgf·m is 19.61 N·m", "2 kgf·cm is 0.1961 N·m"], "2 kgf-m or 2 kgf·cm"),
    ],
)
def test_a_force_without_its_arm_is_ambiguous(text, readings, typed):
    """Both readings are shown and neither is preferred: the wrench's scale tells."""
    error = refused(text, "unit-ambiguous")
    assert all(reading in error.why for reading in readings)
    assert error.hint.endswith(typed)
    assert "scale of the wrench" in error.hint


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("5 NM", "N·m is typed Nm"),
        ("5 nm", "N·m is typed Nm"),
        ("5 n·m", "N·m is typed Nm"),
        ("5 N⋅m", "N·m is typed Nm"),
        ("5 newton meters", "N·m is typed Nm"),
        ("5 CNM", "cN·m is typed cNm"),
        ("5 KGF-M", "kgf·m is typed kgf-m"),
        ("5 ft-lbs", "lbf·ft is typed ft-lb"),
        ("5 foot-pounds", "lbf·ft is typed ft-lb"),
        ("5 in lb", "lbf·in is typed in-lb"),
        ("5 mN", "Newton metres are typed Nm"),
        ("5 N", "Newton metres are typed Nm"),
        ("5 J", "Newton metres are typed Nm"),
    ],
)
def test_other_spellings_are_refused_with_the_right_one(text, hint):
    """A spelling outside the list is never guessed at, but the unit that was probably meant is named."""
    assert refused(text, "unit-unknown").hint == hint


@pytest.mark.parametrize("text", ["5 mN·m", "5 ozf·ft"])
def test_units_of_convert_alone_are_told_as_such(text):
    """A unit that only the conversion takes is no unit of a reading, and the reason says so."""
    assert "convert" in refused(text, "unit-unknown").why


@pytest.mark.parametrize("text", ["5 widgets", "5 in", "5 e3", "5 Nm 3 Nm", "5 Нм", "5 %"])
def test_unknown_units_show_the_list(text):
    """What resembles no unit meets the whole list."""
    assert "in-lb" in refused(text, "unit-unknown").hint


@pytest.mark.parametrize("text", ["26.5", " 26.5 "])
def test_a_bare_number_is_no_torque(text):
    """A value without its unit is refused; which units there are is said."""
    assert "ft-lb" in refused(text, "unit-missing").hint


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("44,5 Nm", "Type it like 44.5 Nm"),
        ("1,200 in-lb", "Type it like 1200 in-lb or 1.200 in-lb, whichever is meant"),
        ("130-140 ft-lb", "Type it like 130..140 ft-lb"),
        ("1 1/2 in-lb", "Type it like 1.5 in-lb"),
        ("1'200 Nm", "Type it like 1200 Nm"),
        ("1e400 Nm", "Type it like 44.5 Nm"),
        ("1_000 Nm", "Type it like 1000 Nm"),
        ("٣ Nm", "Type it like 3 Nm"),
        ("NaN Nm", "Type it like 44.5 Nm"),
        ("−5 Nm", "Type it like 5 Nm"),
        ("-5 Nm", "Type it like 5 Nm"),
        ("Nm", "Type it like 44.5 Nm"),
        ("", "Type it like 44.5 Nm"),
        ("1e400", "Type it like 44.5"),
    ],
)
def test_a_misspelt_value_shows_its_right_form_with_the_unit(text, hint):
    """The hint is what to type instead, number and unit together."""
    assert refused(text, "number-form").hint == hint


@settings(max_examples=60)
@given(st.text(max_size=40))
def test_any_text_ends_in_a_torque_or_in_our_error(text):
    """Nothing raises another kind of error, and what is read reads back the same."""
    codes = []
    for parse in (parse_torque, parse_length, parse_angle, parse_percent, parse_fraction):
        try:
            value = parse(text)
        except TorquelogError as error:
            codes.append(error.code)
        else:
            assert not isinstance(value, Torque | Length) or parse(str(value)) == value
    assert all(CODES[code][0] == 2 for code in codes)


@pytest.mark.parametrize(
    ("text", "value", "metres"),
    [
        ("2 in", Length("2", "in"), "0.0508"),
        ("2.0in", Length("2.0", "in"), "0.0508"),
        ("1 FT", Length("1", "ft"), "0.3048"),
        ("400 mm", Length("400", "mm"), "0.4"),
        ("-1.5 in", Length("-1.5", "in"), "-0.0381"),
        ("−1.5 in", Length("-1.5", "in"), "-0.0381"),
        ("- 1.5 in", Length("-1.5", "in"), "-0.0381"),
        ("+3 cm", Length("3", "cm"), "0.03"),
    ],
)
def test_lengths_with_a_sign(text, value, metres):
    """An adapter's length may point back; its value is kept with a plain hyphen."""
    assert parse_length(text, signed=True) == value
    assert value.metres == Fraction(metres)
    assert parse_length(str(value), signed=True) == value


@pytest.mark.parametrize(
    ("text", "code", "hint"),
    [
        ("-2 in", "number-form", "Type it like 2 in"),
        ("1 1/2 in", "number-form", "Type it like 1.5 in"),
        ('12"', "unit-unknown", "Type it like 12 in"),
        ("12 inches", "unit-unknown", "Type it like 12 in"),
        ("1'", "unit-unknown", "Type it like 1 ft"),
        ("400 MM", "unit-unknown", "Type it like 400 mm"),
        ("12", "unit-missing", "Type it with mm, cm, m, in or ft"),
    ],
)
def test_other_lengths_are_refused(text, code, hint):
    """A length without a sign where none is meant, in the listed units."""
    assert refused(text, code, parse_length).hint == hint


@pytest.mark.parametrize(
    ("text", "degrees"),
    [("90", "90"), ("-30°", "-30"), ("−30 deg", "-30"), ("+22.5 °", "22.5"), ("0deg", "0")],
)
def test_angles(text, degrees):
    """Angles are degrees, with the sign in front and the unit or none behind."""
    assert parse_angle(text) == Fraction(degrees)


def test_other_angles_are_refused():
    """Radians are not read as degrees."""
    assert "degrees" in refused("1.2 rad", "angle-form", parse_angle).what


@pytest.mark.parametrize(
    ("parse", "text", "value"),
    [
        (parse_percent, "5 %", Fraction(1, 20)),
        (parse_percent, "0.5%", Fraction(1, 200)),
        (parse_fraction, "1/3", Fraction(1, 3)),
        (parse_fraction, "1 / 3", Fraction(1, 3)),
        (parse_fraction, "33 %", Fraction(33, 100)),
    ],
)
def test_shares(parse, text, value):
    """A percentage bears its sign; a share may be written as a division."""
    assert parse(text) == value


@pytest.mark.parametrize(
    ("parse", "text", "code"),
    [
        (parse_percent, "5", "percent-form"),
        (parse_percent, "5 N", "percent-form"),
        (parse_percent, "-5 %", "number-form"),
        (parse_fraction, "1/0", "fraction-form"),
        (parse_fraction, "1/x", "number-form"),
        (parse_fraction, "1", "percent-form"),
    ],
)
def test_other_shares_are_refused(parse, text, code):
    """A bare number could be a share or a percentage, so it is neither."""
    refused(text, code, parse)


def told(text, parse=parse_torque, **more):
    """The error that a text ends with."""
    with pytest.raises(TorquelogError) as caught:
        parse(text, **more)
    return caught.value


@pytest.mark.parametrize("word", ["lb", "lbs", "lbf", "pound", "pounds", "LB", "lb."])
def test_a_bare_pound_is_asked_back_with_both_arms(word):
    """In whatever way it is written."""
    error = told(f"640 {word}")
    assert error.code == "unit-ambiguous"
    assert error.message.startswith(f'"{word}" does not say inches or feet.')
    assert error.hint == "Look at the scale of the wrench, then type 640 in-lb or 640 ft-lb"
    assert told(word, parse_unit).hint == "Look at the scale of the wrench, then type in-lb or ft-lb"


@pytest.mark.parametrize("word", ["kg", "kgf", "kgs", "kp", "KG"])
def test_a_bare_kilogram_is_asked_back_with_both_arms(word):
    """Metres or centimetres."""
    error = told(f"4 {word}")
    assert error.code == "unit-ambiguous"
    assert error.message.startswith(f'"{word}" does not say metres or centimetres.')
    assert error.hint == "Look at the scale of the wrench, then type 4 kgf-m or 4 kgf·cm"


@pytest.mark.parametrize(
    ("slip", "hint"),
    [
        ("newtonmetre", "N·m is typed Nm"),
        ("newton meters", "N·m is typed Nm"),
        ("inlbs", "lbf·in is typed in-lb"),
        ("in-lbfs", "lbf·in is typed in-lb"),
        ("inch pounds", "lbf·in is typed in-lb"),
        ("pound inches"[:-2], "lbf·in is typed in-lb"),
        ("ftlbs", "lbf·ft is typed ft-lb"),
        ("ft lbfs", "lbf·ft is typed ft-lb"),
        ("foot-pounds", "lbf·ft is typed ft-lb"),
        ("pound foot", "lbf·ft is typed ft-lb"),
        ("pound feet", "lbf·ft is typed ft-lb"),
        ("inch ounces", "ozf·in is typed in-oz"),
        ("ounce inch", "ozf·in is typed in-oz"),
        ("mkg", "kgf·m is typed kgf-m"),
        ("kgcm", "kgf·cm is typed kgf·cm"),
    ],
)
def test_a_slip_is_answered_with_the_unit_that_was_meant(slip, hint):
    """Singular or plural, with or without its mark."""
    assert told(f"4 {slip}").hint == hint


@pytest.mark.parametrize("word", ["N", "cN", "daN", "kN", "mN"])
def test_a_force_is_no_torque(word):
    """It lacks its arm."""
    assert "That is a force" in told(f"4 {word}").why


@pytest.mark.parametrize("word", ["J", "mJ", "kJ", "joule", "Joules"])
def test_an_energy_is_no_torque(word):
    """Though it has the same dimension."""
    assert "That is an energy" in told(f"4 {word}").why


@pytest.mark.parametrize("word", ["mNm", "kNm", "gf-cm", "dyn-cm", "ozf-ft", "oz-ft", "ft-oz"])
def test_what_only_a_conversion_reads_is_told_as_such(word):
    """With the units that are read everywhere."""
    error = told(f"4 {word}")
    assert error.why == "Only torquelog convert reads it."
    assert error.hint == "Type one of Nm, cNm, daNm, in-lb, ft-lb, in-oz, kgf-m, kgf·cm"


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ('2"', "Type it like 2 in"),
        ("2 inch", "Type it like 2 in"),
        ("2 inches", "Type it like 2 in"),
        ("2″", "Type it like 2 in"),
        ("2''", "Type it like 2 in"),
        ("2'", "Type it like 2 ft"),
        ("2′", "Type it like 2 ft"),
        ("2 MM", "Type it like 2 mm"),
        ("2 CM", "Type it like 2 cm"),
        ("2 furlong", "Type it like 2 mm"),
    ],
)
def test_a_length_in_another_unit_is_answered_with_what_to_type(text, hint):
    """The unit that was meant, or millimetres for one nobody knows."""
    assert told(text, parse_length).hint == hint


def test_inches_and_feet_are_read_in_any_case():
    """Other lengths in their own only."""
    assert [str(parse_length(text)) for text in ("2 IN", "2 Ft", "2 m")] == ["2 in", "2 ft", "2 m"]


@pytest.mark.parametrize(
    ("text", "value"), [("0 in", "0"), ("-0.5 in", "-0.5"), ("+0.5 in", "0.5"), ("−2 in", "-2")]
)
def test_a_length_keeps_its_sign_and_its_digits(text, value):
    """Nought has none, and the other minus becomes the plain one."""
    assert parse_length(text, signed=True).value == value


def test_a_missing_number_is_told_apart_from_a_wrong_one():
    """Nothing at all, or a word before the unit."""
    assert told("").message.startswith("A number is missing.")
    assert told("Nm").message.startswith('"Nm" does not begin with a number.')


def test_a_percentage_without_its_sign_is_answered_with_it():
    """With the number that was typed, or with five where there was none."""
    assert told("4", parse_percent).hint == "Type it like 4 %"
    assert told("x", parse_percent).hint == "Type it like 5 %"


def test_a_torque_is_shown_with_sixteen_digits():
    """As many as a computer's number has."""
    assert torque(Fraction(1, 3), "N·m") == Torque("0.3333333333333333", "N·m")
