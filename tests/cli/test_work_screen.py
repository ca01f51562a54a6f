"""Screens of rarer questions at both widths: steps, run-on torque, castellated nuts, holds, waiting, many fasteners."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.cli.technician import compare
from tests.support.story import WHEEL, Story
from tests.work.guided import Guided
from torquelog.cli.work_screen import Head, screen
from torquelog.cli.work_words import say
from torquelog.torque.sequence import order

NUT = {
    "id": "axle-nut", "on": "wheel", "count": 1, "castellated": True, "locking": ["cotter pin"],
    "steps": [
        {"id": "seat", "torque": "90..110 N·m", "wheel-turning": True},
        {"id": "back-off", "title": "Back off until it is free", "turn": "2 flats"},
        {"id": "final", "torque": "40..50 N·m", "wheel-turning": True},
    ],
}  # fmt: skip
DRAG = {
    **WHEEL,
    "id": "brake-nut",
    "count": 4,
    "torque": "40..48 N·m",
    "basis": "above-run-on",
    "run-on": "min 1 N·m",
}
BOLTS = {**WHEEL, "count": 16, "torque": "68..76 N·m", "order": list(order(16)), "passes": ["50 %", "100 %"]}
SEEN = {**WHEEL, "inspection": "independent", "hold": True}
MANY = {**WHEEL, "count": 120, "passes": ["50 %", "100 %"]}
CHECKED = [{"id": "spin", "title": "The wheel turns freely"}]


@pytest.fixture
def story(tmp_path: Path) -> Iterator[Story]:
    """A record with three people."""
    found = Story(tmp_path)
    yield found
    found.close_book()


def at_wheel(story: Story, group: dict[str, Any], *lines: str, **more: Any) -> Guided:
    """TK at a job of one group, after some lines."""
    story.bench(group, **more)
    guided = Guided(story)
    guided.types(*lines)
    return guided


def elsewhere(story: Story) -> Guided:
    """IK is at the last open bolt of the round."""
    guided = at_wheel(story, WHEEL, "W-0417 100", "", "")
    guided.session = guided.session._replace(others={("tie-bolt", 3): "IK"})
    return guided


def rejected(story: Story) -> Guided:
    """A bolt that an inspector rejected."""
    from torquelog.work.inspecting import Verdict, inspect

    at_wheel(story, SEEN, "W-0417 100", "", "", "")
    verdict = Verdict("tie-bolt", (2,), accepted=False, why="a thread is proud")
    inspect(story.book, story.own["MS"], "J-1", verdict)
    return Guided(story)


SCENES: dict[str, Callable[[Story], Guided]] = {
    "castellated": lambda story: at_wheel(story, NUT, "W-0417 90"),
    "step": lambda story: at_wheel(story, NUT, "W-0417 90", ""),
    "locking": lambda story: at_wheel(story, NUT, "W-0417 90", "", "y", "40", ""),
    "run-on": lambda story: at_wheel(story, DRAG, "W-0417", "="),
    "above-run-on": lambda story: at_wheel(story, DRAG, "W-0417", "=", "20", "46"),
    "sixteen": lambda story: at_wheel(story, BOLTS, "W-0417 36", "", "", "", "62"),
    "many": lambda story: at_wheel(story, MANY, "W-0417 50", *[""] * 70),
    "hold": lambda story: at_wheel(story, SEEN, "W-0417 100", "", "", ""),
    "waiting": elsewhere,
    "rejected": rejected,
    "check": lambda story: at_wheel(story, {**WHEEL, "count": 1}, "W-0417 100", "", checks=CHECKED),
    "left-open": lambda story: at_wheel(story, WHEEL, "W-0417 100", "s", "no reach", "", ""),
    "found": lambda story: at_wheel(story, WHEEL, "W-0417 100", "", "f 1"),
}


@pytest.mark.parametrize("width", [80, 40])
@pytest.mark.parametrize("name", SCENES)
def test_the_screen_is_the_one_that_was_read(story: Story, name: str, width: int) -> None:
    """It fits its width and 24 lines, and looks as it did when a person read it."""
    guided = SCENES[name](story)
    head = Head("J-1", "wheel WH-2231", "12:01")
    lines = screen(head, guided.session, guided.asked, width)
    assert all(len(line) <= width for line in lines)
    assert len(lines) <= 22
    prompt = say(guided.session, guided.asked).prompt
    compare(f"rare-{name}-{width}", "\n".join([*lines, "", prompt]))
