"""Dates, times, counts and names as people say them."""

from datetime import date
from zoneinfo import ZoneInfo

import pytest

from torquelog.cli import words
from torquelog.clock import from_utc_text

TODAY = date(2026, 11, 25)
LISBON = ZoneInfo("Europe/Lisbon")
NOW = from_utc_text("2026-11-25T14:07:31.000Z")


@pytest.mark.parametrize(
    ("when", "said"),
    [
        (date(2026, 11, 23), "Mon 23 Nov 2026, 2 days ago"),
        (date(2027, 11, 9), "Tue 9 Nov 2027, in 349 days"),
        (date(2026, 11, 24), "Tue 24 Nov 2026, yesterday"),
        (date(2026, 11, 25), "Wed 25 Nov 2026, today"),
        (date(2026, 11, 26), "Thu 26 Nov 2026, tomorrow"),
    ],
)
def test_dates_say_how_far_they_are(when: date, said: str) -> None:
    """Weekday, day, month by name, year, and whole days from today."""
    assert words.day_and_distance(when, TODAY) == said


def test_times_name_the_city_of_their_zone() -> None:
    """The zone is named by its city; summer and winter time are the zone's business."""
    assert words.day_and_time(NOW, LISBON, seconds=True) == "Wed 25 Nov 2026 14:07:31 Lisbon"
    assert (
        words.day_and_time(NOW, ZoneInfo("America/Argentina/Buenos_Aires"))
        == "Wed 25 Nov 2026 11:07 Buenos Aires"
    )
    assert (
        words.day_and_time(from_utc_text("2026-07-01T12:00:00.000Z"), LISBON) == "Wed 1 Jul 2026 13:00 Lisbon"
    )


@pytest.mark.parametrize(
    ("moment", "said"),
    [
        ("2026-11-25T22:00:00.000Z", "22:00 today"),
        ("2026-11-24T18:05:00.000Z", "18:05 yesterday"),
        ("2026-11-18T13:10:00.000Z", "13:10 on Wed 18 Nov 2026"),
    ],
)
def test_a_time_near_now_needs_no_date(moment: str, said: str) -> None:
    """Yesterday and today are named; anything else has its date."""
    assert words.time_near(from_utc_text(moment), NOW, LISBON) == said


@pytest.mark.parametrize(
    ("milliseconds", "said"),
    [
        (999, "now"),
        (-31_000, "31 s ago"),
        (-9 * 60_000, "9 min ago"),
        (8 * 3_600_000 + 59 * 60_000, "in 8 hours"),
        (3_600_000, "in 1 hour"),
        (-49 * 3_600_000, "2 days ago"),
    ],
)
def test_distances_are_in_their_largest_unit(milliseconds: int, said: str) -> None:
    """Rounded down, so that nothing is promised that has not passed."""
    assert words.distance(NOW + milliseconds, NOW) == said


@pytest.mark.parametrize(
    ("value", "thing", "said"),
    [
        (1, "reading", "1 reading"),
        (0, "reading", "0 readings"),
        (5000, "cycle", "5,000 cycles"),
        (2, "assembly", "2 assemblies"),
        (2, "torque check", "2 torque checks"),
        (2, "bush", "2 bushes"),
        (2, "day", "2 days"),
    ],
)
def test_counts_agree_with_their_noun(value: int, thing: str, said: str) -> None:
    """One is singular, everything else plural, thousands are parted."""
    assert words.count(value, thing) == said


def test_a_fastener_is_printed_without_its_signs() -> None:
    """Typed tie-bolt:7, printed tie bolt 7."""
    assert words.fastener("tie-bolt:7") == "tie bolt 7"
    assert words.sentence(words.fastener("axle-nut:1")) == "Axle nut 1"
    assert words.plural(words.group("tie-bolt")) == "tie bolts"


@pytest.mark.parametrize(
    ("values", "said"),
    [([1, 2, 3, 4, 7, 9], "1 to 4, 7 and 9"), ([8, 7], "7, 8"), ([3], "3"), ([], ""), ([1, 2, 3], "1 to 3")],
)
def test_runs_of_numbers_are_folded(values: list[int], said: str) -> None:
    """Twelve bolts are "1 to 12", not twelve numbers."""
    assert words.numbers(values) == said
