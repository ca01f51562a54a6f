"""Facts about how long a judgement stays the same, nothing else being recorded."""

import pytest

from tests.support.story import Story
from torquelog.book.asked import Asked
from torquelog.book.judging import judge
from torquelog.torque.units import parse_torque

LATE = 30 * 60_000
"""After how many milliseconds an entry is late, by the rules as they come."""


def until(story: Story, at: str, wrench: str = "W-0417") -> int:
    """Up to when a reading done at a time of today, or now, is judged the same."""
    asked = Asked(
        job="J-1", group="tie-bolt", item=1, reading=parse_torque("100 N·m"), wrench=wrench, adapters=(),
        performed_by="TK", performed_at=story.moment(f"2026-11-25 {at}") if at else None,
    )  # fmt: skip
    book = story.book
    return judge(book.connection, book.station, book.zone, asked, story.clock.moment).until


def test_what_is_done_now_is_judged_now_only(story: Story) -> None:
    """At another time of the entry it would have been done at another time."""
    story.bench()
    assert until(story, "") == story.clock.moment


@pytest.mark.parametrize(("at", "ends"), [("11:50", "12:20:00.001"), ("11:20", "")])
def test_a_reading_that_is_not_late_yet_is_judged_the_same_until_it_is(
    story: Story, at: str, ends: str
) -> None:
    """Late is what is entered more than half an hour after; where it is, or a refusal is, the day's end comes next."""
    story.bench()
    story.clock.moment = story.moment("2026-11-25 12:10")
    assert until(story, at) == story.moment(f"2026-11-25 {ends}" if ends else "2026-11-26 00:00")


def test_a_refusal_is_judged_the_same_until_it_is_late(story: Story) -> None:
    """What holds against the wrench at the time of the work holds whenever it is told."""
    story.bench()
    story.wrench("W-2", on="2024-11-09")
    story.clock.moment = story.moment("2026-11-25 12:10")
    assert until(story, "11:50", "W-2") == story.moment("2026-11-25 11:50") + LATE + 1
    assert until(story, "11:00", "W-2") > story.moment("2027-01-01 00:00")
