"""An hour at the wheel, typed as a technician types it: how many lines each reading costs."""

from collections.abc import Callable

from tests.support.story import Story
from tests.work.guided import Guided
from torquelog.torque.sequence import order
from torquelog.work import doing, handing
from torquelog.work.inspecting import Verdict, inspect

TIE_BOLTS = {
    "id": "tie-bolt", "on": "wheel", "count": 16, "torque": "68..76 N·m", "order": list(order(16)),
    "passes": ["50 %", "100 %"], "last-round": True, "condition": "clean and dry",
    "inspection": "independent", "hold": True,
}  # fmt: skip
AXLE_NUT = {
    "id": "axle-nut", "on": "wheel", "count": 1, "castellated": True,
    "steps": [
        {"id": "seat", "torque": "120..140 N·m", "wheel-turning": True}, {"id": "back-off"},
        {"id": "final", "torque": "68..82 N·m", "wheel-turning": True},
    ],
}  # fmt: skip
BRAKE_NUTS = {"id": "brake-nut", "on": "wheel", "count": 4, "torque": "40..48 N·m", "order": [1, 3, 2, 4]}
MOST = 1.3
TAKE_OVER = 1
INSPECTION = 4
"""Lines of the commands between: taking the job over; the command, its passphrase, a and the wrench that was seen."""


def test_a_wheel_costs_few_lines(story: Story, record_property: Callable[[str, object], None]) -> None:
    """16 bolts in two passes and a last round, an axle nut, four nuts, a hand-over and an inspection between."""
    story.adapter("A-03", "2.5 in")
    story.bench(TIE_BOLTS, AXLE_NUT, BRAKE_NUTS)
    first = Guided(story)
    first.types("y", "W-0417 36", *[""] * 16, "72", *[""] * 8, "o IK end of shift")
    assert first.session.ended == "handed-over"
    handing.take_over(story.book, story.signed["IK"], "J-1")
    second = Guided(story, person="IK")
    second.types("W-0417 72", *[""] * 8, "72", *[""] * 16)
    assert second.asked.kind == "hold"
    inspect(story.book, story.own["MS"], "J-1", Verdict("tie-bolt", (), accepted=True, seen=("W-0417",)))
    second.session = doing.look_again(story.book, second.session, {})
    second.types("W-0417 120", "", "y", "68", "", "W-0417 A-03 35", *[""] * 4)
    assert second.at == "end"
    lines, readings = first.lines + second.lines + TAKE_OVER + INSPECTION, first.readings + second.readings
    record_property("count", f"{lines} lines for {readings} readings, {lines / readings:.2f} each")
    assert readings == 16 * 3 + 2 + 4
    assert story.close()
    assert lines <= MOST * readings
