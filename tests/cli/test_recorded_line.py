"""The line that answers a reading, made from pieces: letter for letter what the general way writes."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli.terminal import Pipe
from tests.support.story import PASSES, WHEEL, Story
from torquelog.cli import recorded, recorded_line
from torquelog.cli.context import Context
from torquelog.cli.render import envelope_text
from torquelog.work.record import Recorded


@pytest.fixture
def story(tmp_path: Path) -> Iterator[Story]:
    """A record of its own."""
    story = Story(tmp_path)
    yield story
    story.close_book()


def same(story: Story, found: Recorded, encoding: str = "utf-8") -> str:
    """The line of a reading, which has to be what the general way writes."""
    out = Pipe(encoding=encoding)
    context = Context(clock=story.clock, stdin=Pipe(), stdout=out, stderr=out)
    context.adopt(story.book)
    context.command, context.json = "record", True
    made = recorded_line.answer(context, story.book, found)
    told = recorded.told(story.book, found)
    assert (made.envelope, made.exit) == (envelope_text(context, told), told.exit)
    return made.envelope


NUT = {
    "id": "axle-nut", "on": "wheel", "count": 1,
    "steps": [{"id": "seat", "torque": "95..105 N·m"}, {"id": "final", "torque": "40..60 N·m"}],
}  # fmt: skip


@pytest.mark.parametrize("encoding", ["utf-8", "ascii"])
def test_the_line_is_the_one_that_the_general_way_writes(story: Story, encoding: str) -> None:
    """Within, again as a check, outside, refused, by passes and steps, through an adapter, in another unit, told late."""
    story.adapter("A-1", "50 mm")
    story.bench({**PASSES, "torque": "95..105 N·m", "count": 6}, NUT)
    before = story.clock.moment
    story.later(hours=3)
    taken = [
        story.take("tie-bolt:1", "50 N·m"),
        story.take("tie-bolt:1", "100 N·m", pass_=2),
        story.take("tie-bolt:1", "100 N·m"),
        story.take("tie-bolt:2", "36.8781 lbf·ft"),
        story.take("tie-bolt:3", "44 N·m", adapters=["A-1"]),
        story.take("tie-bolt:4", "50 N·m", at=before, why="told late, früh"),
        story.take("tie-bolt:5", "90 N·m"),
        story.take("tie-bolt:6", "900 N·m"),
        story.take("axle-nut:1", "100 N·m", step="seat"),
        story.take("axle-nut:1", "50 N·m", step="final", by="IK"),
    ]
    for each in taken:
        same(story, each, encoding)
    assert {each.outcome for each in taken} == {"within", "above", "refused"}
    assert sum(each.outcome == "within" for each in taken) >= 6


def test_another_reading_has_another_line(story: Story) -> None:
    """No piece of one comes into the next: fastener, torque, wrench, entry and remarks are its own."""
    story.bench(WHEEL)
    story.wrench("W-0500")
    first, second = (
        json.loads(same(story, story.take(f"tie-bolt:{item}", torque, wrench)))["data"]
        for item, torque, wrench in ((1, "100 N·m", "W-0417"), (2, "101 N·m", "W-0500"))
    )
    for name in ("entry", "fastener", "indicated", "applied", "wrench"):
        assert first[name] != second[name]
