"""Threads: handbook tables, stress areas, preload, and the question about inches and feet."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from torquelog.errors import TorquelogError
from torquelog.torque.limits import Limits, parse_spec
from torquelog.torque.number import display
from torquelog.torque.thread import (
    HANDBOOK,
    NUT_FACTORS,
    PRELOAD_SCATTER,
    REUSE_MINIMUM,
    check_form,
    parse_thread,
    preload,
    question_for,
    reuse_minimum,
    stress_area,
)
from torquelog.torque.units import TORQUE_UNITS, Torque, parse_torque

POUND_INCH = TORQUE_UNITS["lbf·in"].newton_metres

# FAA AC 43.13-1B (1998), table 7-1, read: thread, tension nuts, shear nuts, most tension, most shear; lbf·in.
PUBLISHED = """
8-36 12-15 7-9 20 12|10-32 20-25 12-15 40 25|1/4-28 50-70 30-40 100 60|5/16-24 100-140 60-85 225 140
3/8-24 160-190 95-110 390 240|7/16-20 450-500 270-300 840 500|1/2-20 480-690 290-410 1100 660
9/16-18 800-1000 480-600 1600 960|5/8-18 1100-1300 600-780 2400 1400|3/4-16 2300-2500 1300-1500 5000 3000
7/8-14 2500-3000 1500-1800 7000 4200|1-14 3700-5500 2200-3300 10000 6000
1-1/8-12 5000-7000 3000-4200 15000 9000|1-1/4-12 9000-11000 5400-6600 25000 15000
8-32 12-15 7-9 20 12|10-24 20-25 12-15 35 21|1/4-20 40-50 25-30 75 45|5/16-18 80-90 48-55 160 100
3/8-16 160-185 95-100 275 170|7/16-14 235-255 140-155 475 280|1/2-13 400-480 240-290 880 520
9/16-12 500-700 300-420 1100 650|5/8-11 700-900 420-540 1500 900|3/4-10 1150-1600 700-950 2500 1500
7/8-9 2200-3000 1300-1800 4600 2700
"""
PUBLISHED_REUSE = """
7/16-20 8 1/2-20 10 9/16-18 13 5/8-18 18 3/4-16 27 7/8-14 40 1-14 55 1-1/8-12 73 1-1/4-12 94
7/16-14 8 1/2-13 10 9/16-12 14 5/8-11 20 3/4-10 27 7/8-9 40 1-8 51 1-1/8-8 68 1-1/4-8 88
"""
ROWS = [row.split() for line in PUBLISHED.split("\n") for row in line.split("|") if row]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_the_handbook_is_copied_right(row):
    """Each row of FAA AC 43.13-1B table 7-1 (read), digit by digit."""
    name, tension, shear, most_tension, most_shear = row
    entry = HANDBOOK[name]
    assert ["{}-{}".format(*entry.tension), "{}-{}".format(*entry.shear)] == [tension, shear]
    assert [str(entry.most_tension), str(entry.most_shear)] == [most_tension, most_shear]


def test_the_handbook_has_no_other_rows():
    """Fourteen fine and eleven coarse threads."""
    assert sorted(HANDBOOK) == sorted(row[0] for row in ROWS)
    assert len(HANDBOOK) == 25


@pytest.mark.parametrize("name", sorted(HANDBOOK))
def test_no_row_has_a_slip_of_the_pen(name):
    """Shear over tension, and most shear over most tension, lie between 0.541 and 0.625 in three digits."""
    entry = HANDBOOK[name]
    pairs = [*zip(entry.shear, entry.tension, strict=True), (entry.most_shear, entry.most_tension)]
    assert all(0.541 <= round(over / under, 3) <= 0.625 for over, under in pairs)
    assert entry.tension[0] < entry.tension[1] < entry.most_tension


def test_least_run_on_torque_of_a_reused_nut():
    """FAA AC 43.13-1B table 7-2 (read), lbf·in; fine threads first."""
    words = PUBLISHED_REUSE.split()
    published = {name: int(value) for name, value in zip(words[::2], words[1::2], strict=True)}
    assert published == REUSE_MINIMUM
    assert reuse_minimum("1/2-20 UNF-3B") == Torque("10", "lbf·in")
    assert reuse_minimum("1/4-28") is None
    assert reuse_minimum("M10x1.5") is None


@pytest.mark.parametrize(
    ("name", "formula", "printed"),
    [
        # Shigley table 8-2, read. Two of its values differ from the formula in the last digit.
        ("10-32", ".0200", ".0200"),
        ("1/4-28", ".0364", ".0364"),
        ("5/16-24", ".0581", ".0580"),
        ("3/8-24", ".0878", ".0878"),
        ("7/16-20", ".1187", ".1187"),
        ("1/2-20", ".1600", ".1599"),
        ("5/8-18", ".256", ".256"),
        ("3/4-16", ".373", ".373"),
    ],
)
def test_stress_areas(name, formula, printed):
    """At = 0.7854 (D − 0.9743/n)², FED-STD-H28/2B table II.B.1 (read), rounded as the handbook prints it."""
    places = len(formula) - 1
    assert Fraction(round(stress_area(parse_thread(name)), places)) == Fraction(formula)
    assert abs(Fraction(formula) - Fraction(printed)) <= Fraction(1, 10**places)


def test_preload_of_a_published_example():
    """Shigley example 8-3 (from memory): 3/4-16, K 0.2, 3750 lbf·in bring 25 kip."""
    assert preload(parse_torque("3750 lbf·in"), Fraction("0.2"), parse_thread("3/4-16")) == 25_000


def test_torque_is_not_preload():
    """K by surface, Shigley table 8-15 (read); ±25 % lubricated, ±35 % dry, NSTS 08307A (read)."""
    assert {name: str(float(value)) for name, value in NUT_FACTORS.items()} == {
        "black": "0.3",
        "zinc": "0.2",
        "lubricated": "0.18",
        "cadmium": "0.16",
    }
    assert {name: float(value) for name, value in PRELOAD_SCATTER.items()} == {
        "lubricated": 0.25,
        "dry": 0.35,
    }


@given(st.fractions(1, 1000, max_denominator=100), st.sampled_from(sorted(NUT_FACTORS)))
def test_preload_grows_with_the_torque_and_falls_with_friction(value, surface):
    """F·K·D is the torque again, and a slippery bolt is stretched more."""
    thread = parse_thread("1/2-20")
    reading = Torque(display(value, 12), "lbf·in")
    force = preload(reading, NUT_FACTORS[surface], thread)
    assert force * NUT_FACTORS[surface] * thread.diameter == Fraction(reading.value)
    assert force <= preload(reading, NUT_FACTORS["cadmium"], thread)


@pytest.mark.parametrize(
    ("text", "name", "diameter"),
    [
        ("1/2-20", "1/2-20", "1/2"),
        ("1/2 - 20 UNF-3A", "1/2-20", "1/2"),
        ("1/2-20unf", "1/2-20", "1/2"),
        ("0.5000-20 UNJF-3B", "1/2-20", "1/2"),
        ("10-32", "10-32", "0.190"),
        ("#10-32", "10-32", "0.190"),
        (".190-32 UNJF-3A", "10-32", "0.190"),
        ("8-36", "8-36", "0.164"),
        ("1-64", "1-64", "0.073"),
        ("1-14", "1-14", "1"),
        ("1-8", "1-8", "1"),
        ("1-1/8-12", "1-1/8-12", "1.125"),
        ("1 1/8-12", "1-1/8-12", "1.125"),
        ("1.125-12", "1-1/8-12", "1.125"),
        (".197-32", "0.197-32", "0.197"),
    ],
)
def test_designations(text, name, diameter):
    """Sizes by number, fraction or decimal; a whole number with a coarse pitch is inches."""
    thread = parse_thread(text)
    assert thread.name == name
    assert thread.diameter == Fraction(diameter)
    assert parse_thread(name) == thread


@pytest.mark.parametrize(
    "text", ["M10x1.5", "1/2", "1/2-0", "3/2-8", "1/3-10", "13-32", "-20", "½-20", "", "0.000-20"]
)
def test_other_designations_are_refused(text):
    """What is no inch thread is told so, with examples."""
    with pytest.raises(TorquelogError) as caught:
        parse_thread(text)
    assert caught.value.code == "thread-unknown"
    assert "1/2-20" in caught.value.hint


@pytest.mark.parametrize(
    "text",
    ["1/2-20", "1/2-20 UNF-3A", "10-32", "M10", "M10x1.25", "m6 x 1", "MJ6x1", "M10x1.5-6H", "M8x1.25 4H6H"],
)
def test_known_forms_stay_as_they_are_typed(text):
    """Inch and metric designations."""
    assert check_form(text) == text


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("1/2x20", "1/2-20"), ("1/2 20", "1/2-20"), ("1/2 x 20", "1/2-20"), ("1/2\N{EN DASH}20", "1/2-20"),
        ('1/2"-20', "1/2-20"), ("1/2-20 TPI", "1/2-20"), ("10/32", "10-32"), ("M10-1.5", "M10x1.5"),
        ("M10 1.5", "M10x1.5"), ("m10*1.5", "M10x1.5"), ("1/2-200", "1/2-20"), ("7/16/20", "7/16-20"),
    ],
)  # fmt: skip
def test_another_form_is_asked_back(text, meant):
    """With what was probably meant, as it is written here."""
    with pytest.raises(TorquelogError) as caught:
        check_form(text)
    assert (caught.value.code, caught.value.hint) == ("thread-unknown", f"Did you mean {meant}?")


@pytest.mark.parametrize("text", ["fine", "clean and dry", "tie bolt", "1/2", "M", "x", "NPT", "#99-999"])
def test_a_word_is_no_thread(text):
    """Where nothing is near, the forms are shown."""
    with pytest.raises(TorquelogError) as caught:
        check_form(text)
    assert (caught.value.code, caught.value.hint) == (
        "thread-unknown", "Type it like 1/2-20, 10-32, 1-1/8-12 or M10x1.5",
    )  # fmt: skip


@given(st.text(alphabet='0123456789-/ .#UNFMx*\N{EN DASH}"', max_size=15))
def test_what_is_asked_back_is_a_thread(text):
    """Any text is taken, or what is proposed instead would be taken."""
    try:
        assert check_form(text) == text
    except TorquelogError as error:
        found = error
    else:
        return
    assert found.code == "thread-unknown"
    if found.hint.startswith("Did you mean"):
        meant = found.hint.removeprefix("Did you mean ").removesuffix("?")
        assert check_form(meant) == meant


@given(st.text(alphabet="0123456789-/ .#UNFMx", max_size=15))
def test_any_text_ends_in_a_thread_or_in_our_error(text):
    """A designation that is read has one name, which reads back the same."""
    try:
        thread = parse_thread(text)
    except TorquelogError:
        assert question_for(text, Limits(Fraction(1), Fraction(2))) is None
        return
    assert parse_thread(thread.name) == thread


@pytest.mark.parametrize("name", sorted(HANDBOOK))
def test_inches_taken_for_feet_are_questioned(name):
    """A handbook torque in lbf·in is fine; the same numbers in lbf·ft, or a twelfth of them, are questioned."""
    low, high = HANDBOOK[name].tension
    assert question_for(name, parse_spec(f"{low}..{high} lbf·in").limits) is None
    too_much = question_for(name, parse_spec(f"{low}..{high} lbf·ft").limits)
    assert too_much
    assert "about twelve times" in too_much
    too_little = question_for(name, parse_spec(f"{low}..{high} lbf·in").limits.times(Fraction(1, 12)))
    assert too_little
    assert "about a twelfth" in too_little


def test_the_question_shows_both_sides():
    """It names the limits, the handbook's range and where that stands, and asks."""
    question = question_for("1/2-20 UNF-3A", parse_spec("40..58 in-lb").limits)
    assert question == (
        "40 to 58 lbf·in is about a twelfth of the usual 290 to 1100 lbf·in for a 1/2-20 thread "
        "(FAA AC 43.13-1B, table 7-1). In-lb or ft-lb?"
    )


def test_a_minimum_is_questioned_like_limits():
    """One limit is enough to be twelve times off."""
    assert question_for("1/2-20", parse_spec("min 480 ft-lb").limits)
    assert question_for("1/2-20", parse_spec("max 690 in-lb").limits) is None


@given(st.fractions(1, 30_000, max_denominator=10))
def test_nothing_is_questioned_that_is_not_about_twelve_times_off(value):
    """The question comes exactly where twelve times more, or less, would lie in the handbook's range."""
    entry = HANDBOOK["1/2-20"]

    def usual(number):
        return entry.shear[0] <= number <= entry.most_tension

    asked = question_for("1/2-20", Limits(value * POUND_INCH, value * POUND_INCH))
    assert bool(asked) == (not usual(value) and (usual(value * 12) or usual(value / 12)))


@pytest.mark.parametrize(
    "value", [Fraction(290, 12), Fraction(1100, 12), Fraction(290 * 12), Fraction(1100 * 12)]
)
def test_the_ends_of_the_question_belong_to_it(value):
    """Exactly twelve times off an end of the handbook's range is asked about."""
    assert question_for("1/2-20", Limits(value * POUND_INCH, None))


def test_an_unknown_thread_is_never_questioned():
    """No handbook, no question."""
    assert question_for("M10x1.5", parse_spec("40..58 in-lb").limits) is None
    assert question_for("2-56", parse_spec("40..58 ft-lb").limits) is None
    assert question_for("1/2-20", Limits(None, None)) is None


@pytest.mark.parametrize(
    ("text", "name", "diameter"),
    [
        ("0-80", "0-80", "0.060"),
        ("12-24", "12-24", "0.216"),
        ("12-28", "12-28", "0.216"),
        ("#12-20", "0.216-20", "0.216"),
        (".229-32", "0.229-32", "0.229"),
        ("0.047-32", "0.047-32", "0.047"),
        ("3/64-80", "3/64-80", "3/64"),
    ],
)
def test_numbered_sizes_go_from_nought_to_twelve(text, name, diameter):
    """And are named by their number where the thread is fine enough to be taken for one."""
    thread = parse_thread(text)
    assert (thread.name, thread.diameter) == (name, Fraction(diameter))


@pytest.mark.parametrize("text", ["#13-32", "13-32", "2/2-20", "4/2-20"])
def test_there_is_no_number_thirteen_and_no_fraction_of_one(text):
    """What has no size is refused."""
    with pytest.raises(TorquelogError) as caught:
        parse_thread(text)
    assert caught.value.code == "thread-unknown"


def test_the_question_says_the_limits_with_four_digits():
    """As many as a specification has."""
    asked = question_for("1/2-20", Limits(Fraction(19, 3), None))
    assert asked.startswith("at least 56.05 lbf·in is about a twelfth of the usual")
