"""Days and lengths of time in the sentences of a judgement, letter by letter."""

from datetime import date
from zoneinfo import ZoneInfo

import pytest

from tests.support.tools import LISBON, moment
from torquelog.rules.days import day_before, day_name, length_name, moment_name, relative

USED = date(2026, 11, 25)
MINUTE, HOUR, DAY = 60_000, 3_600_000, 86_400_000


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (date(2026, 11, 23), "2 days before"),
        (date(2026, 11, 24), "the day before"),
        (date(2026, 11, 25), "the same day"),
        (date(2026, 11, 26), "1 day after"),
        (date(2026, 11, 27), "2 days after"),
        (date(2020, 11, 25), "2,191 days before"),
        (date(2029, 11, 25), "1,096 days after"),
    ],
)
def test_a_day_is_told_from_the_day_of_use(day: date, words: str) -> None:
    """Never from today, so that the sentence stays true."""
    assert relative(day, USED) == words
    assert day_before(day, USED).endswith(f" {day.year}, {words}")


@pytest.mark.parametrize(
    ("length", "words"),
    [
        (-1, "0 minutes"),
        (MINUTE - 1, "0 minutes"),
        (MINUTE, "1 minute"),
        (HOUR - 1, "59 minutes"),
        (HOUR, "1 hour"),
        (2 * HOUR, "2 hours"),
        (DAY - 1, "23 hours"),
        (DAY, "1 day"),
        (1234 * DAY, "1,234 days"),
    ],
)
def test_a_length_of_time_is_told_in_its_largest_unit(length: int, words: str) -> None:
    """Rounded down; a clock that stepped back makes no negative one."""
    assert length_name(length) == words


def test_a_moment_is_told_to_the_minute_in_its_zone() -> None:
    """Noon in Lisbon is the next day on Kiritimati."""
    noon = moment("2026-11-25T12:00:59.999")
    assert moment_name(noon, LISBON) == "Wed 25 Nov 2026 12:00"
    assert moment_name(noon, ZoneInfo("Pacific/Kiritimati")) == "Thu 26 Nov 2026 02:00"


def test_the_days_of_the_week_and_the_months_have_their_own_names_in_every_locale() -> None:
    """A week from Monday, and the first of each month of 2026."""
    week = [day_name(date(2026, 11, 23 + number)) for number in range(7)]
    assert [words.split()[0] for words in week] == ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]
    year = [day_name(date(2026, month, 1)) for month in range(1, 13)]
    assert [" ".join(words.split()[1:]) for words in year] == [
        "1 Jan 2026", "1 Feb 2026", "1 Mar 2026", "1 Apr 2026", "1 May 2026", "1 Jun 2026",
        "1 Jul 2026", "1 Aug 2026", "1 Sep 2026", "1 Oct 2026", "1 Nov 2026", "1 Dec 2026",
    ]  # fmt: skip
