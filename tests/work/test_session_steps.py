"""Steps, run-on torque, castellated nuts, locking, checks and a second wrench, in the guided session."""

from fractions import Fraction

import pytest

from tests.support.story import WHEEL, Story
from tests.work.guided import Guided
from torquelog.torque.number import display

NUT = {
    "id": "axle-nut",
    "on": "wheel",
    "count": 1,
    "castellated": True,
    "locking": ["cotter pin"],
    "steps": [
        {"id": "seat", "torque": "90..110 N·m", "wheel-turning": True},
        {"id": "back-off", "title": "Back off until it is free"},
        {"id": "final", "torque": "40..50 N·m", "wheel-turning": True},
    ],
}
DRAG = {**WHEEL, "count": 2, "torque": "60..70 lbf·in", "basis": "above-run-on", "run-on": "min 10 lbf·in"}


def test_an_axle_nut_goes_through_its_steps_and_is_locked(story: Story) -> None:
    """Seat, back off, final, pin: a step without a torque takes y, never Enter alone."""
    story.bench(NUT)
    guided = Guided(story)
    guided.types("W-0417", "90", "")
    assert guided.at == "step axle-nut:1 back-off"
    guided.types("")
    assert "Enter alone is no answer" in guided.said
    guided.types("y", "40", "")
    assert guided.at == "locking axle-nut:0 cotter-pin"
    guided.types("", "y")
    assert guided.at == "end"
    assert story.close()


def test_a_castellated_nut_begins_at_its_low_limit_and_is_recorded_where_a_slot_meets_the_hole(
    story: Story,
) -> None:
    """AC 43.13-1B 7-40f: align between minimum and maximum; what was reached is typed, up to the high limit."""
    story.bench(NUT)
    guided = Guided(story)
    guided.types("W-0417")
    assert guided.asked.aim is not None
    assert str(guided.asked.aim.dial) == "90.0 N·m"
    guided.types("90", "104")
    assert [str(last.indicated) for last in guided.session.history] == ["104 N·m"]


@pytest.mark.parametrize(
    ("gauge", "low", "high", "dial", "gives"),
    [("W-0500", "64.348", "73.043", "69", "79.35"), ("W-0500 A-15", "66.174", "74.87", "71", "81.65")],
)
def test_run_on_torque_is_added_before_the_adapter_is_taken_off(
    story: Story, gauge: str, low: str, high: str, dial: str, gives: str
) -> None:
    """60–70 lbf·in above 14 lbf·in run-on, lever 10 in, adapter 1.5 in; read through it the same 14 is 16.1."""
    story.bench(DRAG)
    story.wrench("W-0500", scale="5..100 lbf·in by 1", type="indicating")
    story.wrench("W-0600", scale="10..150 lbf·in by 1")
    story.adapter("A-15", "1.5 in")
    guided = Guided(story)
    guided.types("W-0600 A-15", gauge, "14")
    aim = guided.asked.aim
    assert aim is not None
    assert guided.asked.kind == "setting"
    wrench = aim.limits.times(Fraction(10) / Fraction("11.5"))
    inch = Fraction("4.4482216152605") * Fraction("0.0254")
    assert [display(round(end / inch, 3), 9) for end in wrench if end is not None] == [low, high]
    assert str(aim.dial) == f"{dial} lbf·in"
    assert aim.gives is not None
    assert display(aim.gives / inch, 6) == gives
    guided.types(dial, "")
    assert guided.session.history[0].outcome == "within"


def test_the_setting_is_kept_from_nut_to_nut_while_it_lies_inside_the_limits_of_each(story: Story) -> None:
    """Each nut has a run-on torque of its own; where the setting would be outside, it is asked for again."""
    story.bench(DRAG)
    story.wrench("W-0600", scale="5..150 lbf·in by 1")
    guided = Guided(story)
    guided.types("W-0600", "=", "14", "79", "")
    assert guided.at == "run-on tie-bolt:2 pass 1"
    guided.types("16")
    assert guided.at == "reading tie-bolt:2 pass 1"
    guided.types("r", "30")
    assert guided.at == "setting tie-bolt:2 pass 1"


def test_a_nut_whose_run_on_torque_is_too_low_is_worn(story: Story) -> None:
    """It is said when it is measured; after the reading its hardware is to be replaced."""
    story.bench(DRAG)
    story.wrench("W-0600", scale="5..150 lbf·in by 1")
    guided = Guided(story)
    guided.types("W-0600", "=", "8")
    assert "worn" in guided.said
    guided.types("73", "")
    assert guided.at == "hurt tie-bolt:1 pass 1"
    guided.types("p", "")
    assert guided.at == "run-on tie-bolt:1 pass 1"


def test_a_group_of_its_own_is_asked_for_its_wrench(story: Story) -> None:
    """The next group begins with what is in hand; an operational check ends the job."""
    groups = ({**WHEEL, "count": 1}, {"id": "cover-bolt", "on": "wheel", "count": 1, "torque": "10..12 N·m"})
    story.bench(*groups, checks=[{"id": "spin-check", "title": "It turns freely"}])
    story.wrench("W-0200", scale="2..20 N·m by 0.1")
    guided = Guided(story)
    guided.types("W-0417", "100", "")
    assert guided.at == "wrench cover-bolt:1 pass 1"
    guided.types("W-0417")
    assert "W-0417 shows 20 N·m to 150 N·m" in guided.said
    guided.types("W-0200", "11", "")
    assert guided.at == "check :0 spin-check"
    guided.types("y by hand")
    assert guided.at == "end"
    assert story.close()


def test_what_is_left_open_of_locking_and_checks_holds_the_job(story: Story) -> None:
    """n leaves it open for now; the session ends, the job does not."""
    story.bench({**WHEEL, "count": 1, "locking": ["locking wire"]}, checks=[{"id": "look", "title": "Clean"}])
    guided = Guided(story)
    guided.types("W-0417", "100", "", "n", "n")
    assert guided.at == "end"
    assert story.held() == ["locking-open", "check-open"]


def test_a_last_round_goes_over_all_of_them_once_more(story: Story) -> None:
    """It is a round of its own, and the setting is said for it again."""
    story.bench({**WHEEL, "count": 2, "passes": ["50 %", "100 %"], "last-round": True})
    guided = Guided(story)
    guided.types("W-0417", "50", "", "", "100", "", "")
    assert guided.at == "setting tie-bolt:1 last round"
    guided.types("100", "", "")
    assert guided.at == "end"
    assert story.close()
