"""Tightening orders and passes."""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from torquelog.errors import TorquelogError
from torquelog.torque.sequence import PATTERNS, check_order, order, parse_passes

counts = st.integers(1, 999)


def refused(code, act, *arguments):
    """The error that this meets."""
    with pytest.raises(TorquelogError) as caught:
        act(*arguments)
    assert caught.value.code == code
    assert caught.value.exit == 2
    return caught.value


@pytest.mark.parametrize(
    "published",
    [
        "1-3-2-4",
        "1-5-3-7-2-6-4-8",
        "1-7-4-10-2-8-5-11-3-9-6-12",
        "1-9-5-13-3-11-7-15-2-10-6-14-4-12-8-16",
        "1-11-6-16-3-13-8-18-5-15-10-20-2-12-7-17-4-14-9-19",
        "1-13-7-19-4-16-10-22-2-14-8-20-5-17-11-23-3-15-9-21-6-18-12-24",
    ],
)
def test_the_star_is_the_cross_pattern(published):
    """ASME PCC-1's cross pattern for 4 to 24 bolts: from memory, matched by two public sources."""
    numbers = tuple(int(number) for number in published.split("-"))
    assert order(len(numbers), "star") == numbers


def test_another_sound_order_for_sixteen_can_be_written():
    """MIL-HDBK-60 5.7 fig 4 (read) takes the pairs of 16 in another order: an order is data of the card."""
    pairs = [(1, 9), (5, 13), (3, 11), (7, 15), (2, 10), (4, 12), (6, 14), (8, 16)]
    numbers = [number for pair in pairs for number in pair]
    assert check_order(16, numbers) == tuple(numbers)
    assert order(16) != tuple(numbers)


@given(counts, st.sampled_from(sorted(PATTERNS)))
def test_every_pattern_names_each_fastener_once(count, pattern):
    """Whatever the count, nobody is forgotten and nobody comes twice."""
    numbers = order(count, pattern)
    assert sorted(numbers) == list(range(1, count + 1))
    assert check_order(count, numbers) == numbers


@given(st.integers(1, 499))
def test_an_even_star_crosses_the_circle(half):
    """Steps 2k − 1 and 2k are opposite each other, for any even count."""
    numbers = order(2 * half, "star")
    assert all(numbers[step + 1] - numbers[step] == half for step in range(0, 2 * half, 2))


@given(st.integers(1, 499))
def test_an_odd_star_goes_on_by_nearly_half_a_circle(half):
    """With an odd count nothing is opposite, so each step is the nearest there is to it."""
    count = 2 * half + 1
    numbers = order(count, "star")
    steps = {(after - before) % count for before, after in pairwise(numbers)}
    assert steps <= {half, half + 1}


def test_eighteen_tie_bolts_and_three_brake_nuts():
    """A large main wheel's halves are held by 18 tie bolts, its brake by three nuts (common practice, no source)."""
    star = order(18)
    assert sorted(star) == list(range(1, 19))
    assert all(star[step] % 18 == (star[step + 1] + 9) % 18 for step in range(0, 18, 2))
    assert order(3) == (1, 2, 3)


def test_circular_goes_round_and_line_works_outwards():
    """Round in one direction; along a row from its middle to both ends."""
    assert order(5, "circular") == (1, 2, 3, 4, 5)
    assert order(6, "line") == (3, 4, 2, 5, 1, 6)
    assert order(5, "line") == (3, 2, 4, 1, 5)


@given(counts)
def test_a_row_is_never_left_with_a_gap(count):
    """At every step of a row, what is tight lies together."""
    tight = set()
    for number in order(count, "line"):
        assert not tight or {number - 1, number + 1} & tight
        tight.add(number)


@pytest.mark.parametrize(
    ("count", "pattern"), [(0, "star"), (1000, "star"), (-4, "line"), (12, "spiral"), (12, "")]
)
def test_other_orders_are_refused(count, pattern):
    """A count outside 1 to 999, or a pattern that nobody knows."""
    refused("order-form", order, count, pattern)


@pytest.mark.parametrize(
    ("numbers", "said"),
    [
        ([1, 2, 2], ["3 missing", "2 more than once"]),
        ([1, 2, 4], ["4 not of this group", "3 missing"]),
        ([1, 2], ["3 missing"]),
        ([0, 1, 2, 3], ["0 not of this group"]),
        ([3, 2, 1, 3, 3], ["3 more than once"]),
        ([], ["1, 2, 3 missing"]),
    ],
)
def test_an_order_with_a_gap_or_a_repetition_is_refused(numbers, said):
    """What is wrong with a written order is named, number by number."""
    error = refused("order-form", check_order, 3, numbers)
    assert all(words in error.what for words in said)


def test_a_long_list_of_faults_is_cut():
    """A message names a few numbers and says how many more there are."""
    assert "and 992 more missing" in refused("order-form", check_order, 1000, []).what


@pytest.mark.parametrize(
    ("texts", "shares"),
    [
        (["100"], ["1"]),
        (["50", "100"], ["1/2", "1"]),
        (["50 %", "100 %"], ["1/2", "1"]),
        (["33.3%", " 66.6 ", "100", "100"], ["0.333", "0.666", "1", "1"]),
    ],
)
def test_passes_are_shares_of_the_full_torque(texts, shares):
    """With the sign or without; a last round at the full torque may come again."""
    assert parse_passes(texts) == tuple(Fraction(share) for share in shares)


@pytest.mark.parametrize(
    ("texts", "said"),
    [
        ([], "0 passes"),
        (["100"] * 10, "10 passes"),
        (["0", "100"], "0 %"),
        (["60", "50", "100"], "50 % comes after one of 60 %"),
        (["50"], "last pass is 50 %"),
        (["50", "100", "110"], "last pass is 110 %"),
    ],
)
def test_other_passes_are_refused(texts, said):
    """Passes never fall, and lead to the full torque."""
    assert said in refused("passes-form", parse_passes, texts).what


def test_a_pass_is_a_number():
    """Words and other spellings meet the error for numbers."""
    refused("number-form", parse_passes, ["half", "100"])
    refused("number-form", parse_passes, ["-50", "100"])


def test_what_is_missing_is_named_as_missing():
    """Each fault in its own words."""
    with pytest.raises(TorquelogError, match=r"once: 5 not of this group; 2, 4 missing; 1 more than once\."):
        check_order(4, (1, 1, 3, 5))


def test_eight_faults_are_listed_and_nine_are_cut():
    """A list is as long as a line."""
    with pytest.raises(TorquelogError, match=r"2, 3, 4, 5, 6, 7, 8, 9 missing"):
        check_order(9, (1,))
    with pytest.raises(TorquelogError, match=r"2, 3, 4, 5, 6, 7, 8, 9 and 1 more missing"):
        check_order(10, (1,))


def test_a_group_has_up_to_nine_passes():
    """The tenth is refused with the count."""
    assert len(parse_passes(["50 %"] * 8 + ["100 %"])) == 9
    with pytest.raises(TorquelogError, match="There are 10 passes"):
        parse_passes(["50 %"] * 9 + ["100 %"])
