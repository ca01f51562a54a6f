"""Jobs driven through any lines, sensible or not: what is shown next is always open, and what is said is on record."""

import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.story import WHEEL, Story
from tests.work.guided import Guided
from torquelog.facts import readings
from torquelog.rules.demand import slots
from torquelog.rules.fastener import is_done
from torquelog.work.plan import is_hurt
from torquelog.work.scan import code
from torquelog.work.session_question import question

GROUPS = (
    {**WHEEL, "torque": "68..76 N·m", "order": [1, 3, 2], "passes": ["50 %", "100 %"], "above": "replace"},
    {
        "id": "axle-nut", "on": "wheel", "count": 1, "castellated": True, "locking": ["cotter pin"],
        "steps": [{"id": "seat", "torque": "68..76 N·m"}, {"id": "back-off"}, {"id": "final", "torque": "34..38 N·m"}],
    },
)  # fmt: skip
GOOD = ("", "y", "W-0417 72", "36", "72", "34")
OTHER = (
    "62", "360", "10", "p EX", "p", "l", "t", "n", "x", "s", "f", "f 2", "d", "m", "w", "W-0402", "a A-03", "a none",
    "r", "b", "?", "q q", ".", "why not", "tie-bolt:2", "axle-nut:1", "tie-bolt:9", "z", "72 Nm", "53 ft-lb",
    code("wrench", "W-0417"), code("adapter", "A-03"), code("fastener", "tie-bolt:3"), code("person", "IK"), "TQ1WX",
)  # fmt: skip

anything = st.text(st.characters(exclude_characters="\n\r", exclude_categories=["Cs"]), max_size=12)
line = st.one_of(st.sampled_from(GOOD), st.sampled_from(GOOD), st.sampled_from(OTHER), anything)
lines = st.lists(line, max_size=40)


@given(lines, st.sampled_from([0, 5]))
@settings(max_examples=40)
def test_the_next_one_shown_is_always_open(typed: list[str], seconds: int) -> None:
    """Whatever was typed: a fastener that is asked for lacks that very pass; one with keys has to be answered for."""
    with tempfile.TemporaryDirectory() as folder:
        story = Story(Path(folder))
        story.adapter("A-03", "2.5 in")
        story.bench(*GROUPS)
        story.wrench("W-0402", on="2025-11-20")
        guided = Guided(story, seconds=seconds)
        try:
            for line in typed:
                guided.type(line)
                check(guided)
                if guided.session.ended:
                    break
        finally:
            story.close_book()


def check(guided: Guided) -> None:
    """What is asked is open by the record itself, and every reading that was acknowledged stands there."""
    story, session = guided.story, guided.session
    states = story.job_state().view.states
    assert dict(session.facts.states) == dict(states)
    target = question(session).target
    if target is not None and target.kind in ("reading", "step"):
        assert target.slot is not None
        assert target.slot.key not in states[target.place].done
    if target is not None and target.kind == "hurt":
        assert is_hurt(states[target.place], "J-1", tolerated=False)
    recorded = {f"{each.station}-{each.number:06d}" for each in readings.of_job(story.book.connection, "J-1")}
    assert {last.entry for last in session.history} <= recorded
    open_ones = [
        place for place, state in states.items()
        if not is_done(state, slots(session.facts.card.group(place[0])))  # type: ignore[arg-type]
    ]  # fmt: skip
    assert not (open_ones and story.held() == [])
