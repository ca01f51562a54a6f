"""Numbers: what is read, what is refused with the right form shown, and how exact values are printed."""

from decimal import ROUND_HALF_EVEN, Context, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from torquelog.errors import TorquelogError
from torquelog.torque.number import display, exact, is_exact, parse_number, parse_signed, quoted

written = st.from_regex(r"[0-9]{1,12}(\.[0-9]{1,12})?", fullmatch=True, alphabet=st.characters(codec="ascii"))
fractions = st.fractions(max_denominator=10**15)


def refused(text, parse=parse_number):
    """The error that this text meets."""
    with pytest.raises(TorquelogError) as caught:
        parse(text)
    assert caught.value.code == "number-form"
    assert caught.value.exit == 2
    return caught.value


@given(written)
def test_a_number_is_read_as_decimal_reads_it(text):
    """Every number of the grammar is the value that the decimal module gives it, no digit lost."""
    assert parse_number(text) == Fraction(Decimal(text))


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("44,5", "Type it like 44.5"),
        ("1,200", "Type it like 1200 or 1.200, whichever is meant"),
        ("1,234,567", "Type it like 1234567"),
        ("1 200", "Type it like 1200"),
        ("1'200", "Type it like 1200"),
        ("1_000", "Type it like 1000"),
        ("130-140", "Type it like 130..140"),
        ("130 – 140", "Type it like 130..140"),
        ("1 1/2", "Type it like 1.5"),
        ("1-1/2", "Type it like 1.5"),
        ("3/8", "Type it like 0.375"),
        ("1/0", "Type it like 44.5"),
        ("1e3", "Type it like 1000"),
        ("2.5E-3", "Type it like 0.0025"),
        ("1e400", "Type it like 44.5"),
        ("1e5000000", "Type it like 44.5"),
        ("٣", "Type it like 3"),
        ("１２.５", "Type it like 12.5"),
        ("１２", "Type it like 12"),
        ("NaN", "Type it like 44.5"),
        ("inf", "Type it like 44.5"),
        ("0x10", "Type it like 44.5"),
        ("−5", "Type it like 5"),
        ("-5", "Type it like 5"),
        ("+5", "Type it like 5"),
        (".5", "Type it like 0.5"),
        ("5.", "Type it like 5"),
        ("1.2.3", "Type it like 44.5"),
        ("", "Type it like 44.5"),
        ("²", "Type it like 44.5"),
        ("1" * 13, "Type it like 44.5"),
        ("0." + "1" * 13, "Type it like 44.5"),
    ],
)
def test_other_spellings_are_refused_with_the_right_form(text, hint):
    """A number in another spelling is never guessed at; the message shows how it is typed."""
    assert refused(text).hint == hint


def test_the_hint_repeats_the_unit():
    """Where a unit stood behind the number, the hint can be typed as it stands."""
    with pytest.raises(TorquelogError) as caught:
        parse_number("44,5", "Nm")
    assert caught.value.hint == "Type it like 44.5 Nm"


def test_too_many_digits_are_told_as_such():
    """Thirteen digits are refused, and the reason names the bound."""
    assert "twelve" in refused("1234567890123").why


@given(st.text(alphabet="0123456789٣.,_'-–/eE+− ", max_size=20))
def test_what_a_hint_shows_can_be_typed(text):
    """Whatever is mistyped, each single number that the hint shows is one that is read."""
    try:
        parse_number(text)
    except TorquelogError as error:
        shown = error.hint.removeprefix("Type it like ").removesuffix(", whichever is meant")
        for form in shown.replace("..", " or ").split(" or "):
            parse_number(form)


@given(st.text(max_size=30))
def test_any_text_ends_in_a_number_or_in_our_error(text):
    """No text at all gets a number from another grammar or an error of another kind."""
    try:
        value = parse_number(text)
    except TorquelogError:
        return
    assert value == Fraction(Decimal(text.strip()))
    assert text.strip().isascii()


@given(written, st.sampled_from(["-", "−", "+", ""]))
def test_a_sign_is_read_where_it_is_allowed(text, sign):
    """A length or an angle may bear a hyphen, a true minus sign or a plus."""
    value = Fraction(text)
    assert parse_signed(f"{sign}{text}") == (-value if sign in ("-", "−") else value)


@pytest.mark.parametrize("text", ["--5", "+-5", "-", "5-"])
def test_more_than_one_sign_is_refused(text):
    """One sign at most, and it stands in front."""
    refused(text, parse_signed)


@given(fractions, st.integers(1, 20))
def test_display_rounds_as_the_decimal_module_does(value, digits):
    """The printed digits are those of correctly rounded decimal division, half to even."""
    context = Context(prec=digits, rounding=ROUND_HALF_EVEN)
    expected = context.divide(Decimal(value.numerator), Decimal(value.denominator))
    assert Fraction(display(value, digits)) == Fraction(expected)


@given(fractions)
def test_display_is_plain_and_as_short_as_can_be(value):
    """No exponent, no zero at the end after a point, no bare point, no zero with a sign."""
    text = display(value)
    assert "e" not in text.lower()
    assert not text.startswith((".", "-."))
    assert not ("." in text and text.endswith(("0", ".")))
    assert text != "-0"


@given(written)
def test_a_number_survives_display(text):
    """What was read is printed exactly when digits enough are asked for."""
    value = parse_number(text)
    assert parse_signed(display(value, 24)) == value
    assert is_exact(value, 24)


@pytest.mark.parametrize(
    ("value", "digits", "expected"),
    [
        (Fraction(5, 2), 1, "2"),
        (Fraction(7, 2), 1, "4"),
        (Fraction(-5, 2), 1, "-2"),
        (Fraction(999, 10), 2, "100"),
        (Fraction(12345), 2, "12000"),
        (Fraction(1, 3), 4, "0.3333"),
        (Fraction(0), 16, "0"),
        (Fraction(1, 10**30), 16, "0." + "0" * 29 + "1"),
    ],
)
def test_a_tie_goes_to_the_even_digit(value, digits, expected):
    """NIST SP 811 (2008) B.7.1 (read where it is reproduced): exactly half goes to the even digit."""
    assert display(value, digits) == expected


def test_exact_tells_whether_the_digits_are_the_value():
    """A third never ends; a quarter does."""
    assert is_exact(Fraction(1, 4))
    assert not is_exact(Fraction(1, 3))
    assert not is_exact(Fraction(10**16 + 1))


def test_long_words_are_cut_in_messages():
    """A message never repeats a whole flood of text."""
    assert quoted("x" * 5000) == '"' + "x" * 40 + '…"'


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("9e12", "44.5"),
        ("9e11", "900000000000"),
        ("0.1e12", "100000000000"),
        ("0.01e13", "44.5"),
        ("1.2.3e4", "44.5"),
        ("1e−3", "0.001"),
        ("1/3", "0.333333"),
        (".5", "0.5"),
        ("5.", "5"),
    ],
)
def test_a_hint_shows_what_can_be_typed_or_an_example(text, shown):
    """Powers of ten up to the twelfth are written out where that makes a number; else there is an example."""
    with pytest.raises(TorquelogError) as caught:
        parse_number(text)
    assert caught.value.hint == f"Type it like {shown}"


def test_a_missing_number_is_told_as_such():
    """A word that is none is told with the word."""
    with pytest.raises(TorquelogError, match=r"^A number is missing\."):
        parse_number(" ")
    with pytest.raises(TorquelogError, match=r'^"x" is not a number as it is written here'):
        parse_number("x")


def test_without_a_unit_the_hint_shows_none():
    """With a sign as without."""
    with pytest.raises(TorquelogError) as caught:
        parse_signed("-4,5")
    assert caught.value.hint == "Type it like 4.5"


def test_words_of_forty_letters_are_whole():
    """One more is cut."""
    assert quoted("x" * 40) == f'"{"x" * 40}"'
    assert quoted("x" * 41) == f'"{"x" * 40}…"'


def test_a_programs_own_text_is_read_exactly():
    """Also as a fraction, which people may not type."""
    assert exact("26.5") == Fraction(53, 2)
    assert exact("3/4") == Fraction(3, 4)
