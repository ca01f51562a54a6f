"""What was struck in a job besides readings stays on record, and is told apart from what stands."""

from pathlib import Path

import pytest

from tests.support.story import WHEEL, Story
from torquelog.facts import acts
from torquelog.facts.rows import AsOf
from torquelog.facts.struck import struck_of_job


@pytest.fixture
def story(tmp_path: Path) -> Story:
    scene = Story(tmp_path)
    scene.bench({**WHEEL, "locking": ["locking wire"]}, checks=[{"id": "leak", "title": "No leak"}])
    return scene


def test_a_struck_act_is_told_here_and_nowhere_else(story: Story) -> None:
    """With its fastener, who did it, and when."""
    story.act("tie-bolt:2", "loosened")
    assert struck_of_job(story.book.connection, "J-1") == []
    at = story.clock.moment
    story.correct(story.last)
    (found,) = struck_of_job(story.book.connection, "J-1")
    assert (found.group, found.item, found.what, found.performed_by) == ("tie-bolt", 2, "loosened", "TK")
    assert (f"{found.station}-{found.number:06d}", found.at) == (story.last, at)
    assert struck_of_job(story.book.connection, "J-2") == []


def test_steps_and_checks_are_told_with_what_they_are_of(story: Story) -> None:
    """A step of one fastener, of a whole group, and a check of the job; in the order of the work."""
    done = [
        story.step("tie-bolt:1", "locking-wire"),
        story.step("tie-bolt", "locking-wire"),
        story.step("", "leak"),
    ]
    for each in done:
        story.correct(each.reference)
    found = struck_of_job(story.book.connection, "J-1")
    assert [(each.group, each.item, each.what) for each in found] == [
        ("tie-bolt", 1, "locking-wire"), ("tie-bolt", 0, "locking-wire"), ("", 0, "leak"),
    ]  # fmt: skip
    assert acts.steps_of_job(story.book.connection, "J-1") == []


def test_before_the_strike_was_known_nothing_was_struck(story: Story) -> None:
    """Asked by what was known then."""
    story.act("tie-bolt:2", "loosened")
    before = story.clock.moment
    story.later(seconds=60)
    story.correct(story.last)
    assert struck_of_job(story.book.connection, "J-1", AsOf(before, before)) == []
    assert len(struck_of_job(story.book.connection, "J-1")) == 1
