"""Where a recall begins and ends, and what adapters, run-on torque and later acts do to its items."""

from datetime import date
from fractions import Fraction
from typing import Any

from tests.quality.recalled import opened, results
from tests.quality.test_recall import BOLTS, EXACT, calibrated, of, only, scene
from tests.support.story import AXLE, PASSES, Story, remarks
from torquelog.book.recall_causes import pending
from torquelog.book.recall_doubts import scope_of
from torquelog.book.recall_items import Gathered, how_many
from torquelog.crib import calibration
from torquelog.crib.calibration import NewCalibration
from torquelog.torque.units import parse_length

RUN_ON = {**BOLTS, "torque": "95..100 N·m", "basis": "above-run-on"}


def measured(story: Story, adapter: str, on: str, *, accept: bool = True, **what: Any) -> None:
    """An adapter is measured: its length, or its ratio."""
    story.until(f"{on}T16:00")
    new = NewCalibration(f"C-{adapter}-{on}", date.fromisoformat(on), **what)
    calibration.calibrate(story.book, story.signed["TK"], adapter, new, accept=accept)


def found_as(story: Story, wrench: str, pairs: tuple[tuple[str, str], ...]) -> None:
    """A wrench is found with these results on 1 December."""
    story.until("2026-12-01T16:00")
    story.calibrate(wrench, "2026-12-01", accept=False, points=(*results(pairs, "as-found"), *results(EXACT)))


# The window


def test_an_attempt_after_the_drop_was_told_is_in(story: Story) -> None:
    """It was refused, but somebody may have turned the nut; after the next certificate the wrench is another."""
    scene(story)
    story.report("W-0417", "dropped")
    story.until("2026-11-28T09:00")
    assert story.take("tie-bolt:1", "100 N·m").outcome == "refused"
    story.until("2026-12-01T09:00")
    story.calibrate("W-0417", "2026-12-01", points=results(EXACT))
    story.until("2026-12-02T09:00")
    assert story.take("tie-bolt:2", "100 N·m").outcome == "within"
    (cause,) = pending(story.book.connection)
    assert cause.window.until == story.moment("2026-11-29T00:00") - 1
    assert only(opened(story, name="W-0417")).fastener[2] == 1


def test_overlapping_causes_make_one_window(story: Story) -> None:
    """A drop on the last day reaches further than the certificate that found it, and is in the same recall."""
    scene(story)
    story.take("tie-bolt:1", "100 N·m")
    calibrated(story, "5")
    story.report("W-0417", "dropped", at="2026-12-01T10:00")
    story.until("2026-12-03T10:00")
    story.take("tie-bolt:2", "100 N·m")
    assert len(pending(story.book.connection)) == 2
    view = opened(story, name="W-0417")
    assert (view.recall.since, view.counts.items) == (story.moment("2026-11-25T00:00"), 2)
    assert [cause.code for cause in view.causes] == ["failed-as-found", "dropped"]
    assert pending(story.book.connection) == []


def test_without_a_cause_the_window_reaches_over_what_came_since(story: Story) -> None:
    """The wrench passed and was used again, and only then somebody doubts it."""
    scene(story)
    story.take("tie-bolt:1", "100 N·m")
    story.until("2026-12-01T16:00")
    points = (*results(EXACT, "as-found"), *results(EXACT))
    story.calibrate("W-0417", "2026-12-01", points=points)
    assert only(opened(story, name="W-0417")).fastener[2] == 1
    story.until("2026-12-05T10:00")
    story.take("tie-bolt:2", "100 N·m")
    view = opened(story, name="W-0417")
    assert {each.fastener[2]: each.reasons for each in view.items} == {
        1: ("uncertainty-not-given",),
        2: ("no-result-as-found",),
    }
    assert only(opened(story, name="W-0417", calibration="c-w-0417-2026-12-01")).fastener[2] == 1


def test_a_tester_speaks_of_what_it_measured_in_the_window(story: Story) -> None:
    """A wrench measured before the tester was last good is not in it, nor is one measured elsewhere."""
    story.says(
        "tool",
        {"tool": "T-1", "sort": "tester", "accuracy": {"value": "1", "unit": "%"}, "every": "12 months"},
    )
    story.calibrate("T-1", "2026-11-02", points=results(EXACT))
    scene(story, wrench="W-1")
    for wrench, on in (("W-2", "2026-11-20"), ("W-3", "2026-12-04")):
        story.until(f"{max(on, '2026-11-26')}T10:00")
        story.wrench(wrench, on="")
        new = NewCalibration(f"C-{wrench}", date.fromisoformat(on), standard="T-1", points=results(EXACT))
        calibration.calibrate(story.book, story.signed["TK"], wrench, new, accept=True)
        if wrench == "W-2":
            story.until("2026-12-01T09:00")
            points = (*results(EXACT, "as-found"), *results(EXACT))
            story.calibrate("T-1", "2026-12-01", points=points)
    for bolt, wrench in (("1", "W-1"), ("2", "W-2"), ("3", "W-3")):
        story.take(f"tie-bolt:{bolt}", "100 N·m", wrench)
    story.until("2026-12-10T09:00")
    points = (*results(of("1.5", "20", "60", "150"), "as-found"), *results(EXACT))
    story.calibrate("T-1", "2026-12-10", points=points)
    assert only(opened(story, "tester", "T-1")).fastener[2] == 3


# Adapters and run-on torque


def test_an_adapter_is_used_by_its_old_length_until_the_new_one_is_accepted(story: Story) -> None:
    """Measured on the 1st and accepted on the 8th: work of the 5th took it for what it was not."""
    scene(story, {**BOLTS, "torque": "95..97 N·m"})
    story.adapter("A-03", "2.00 in")
    story.take("tie-bolt:1", "80 N·m", adapters=["A-03"])
    measured(story, "A-03", "2026-12-01", accept=False, length=parse_length("2.25 in"))
    story.until("2026-12-05T10:00")
    story.take("tie-bolt:2", "80 N·m", adapters=["A-03"])
    view = opened(story, "adapter", "A-03")
    assert {each.fastener[2]: each.governing.judged.found for each in view.items} == {
        1: Fraction(98),
        2: Fraction(98),
    }


def test_a_length_is_held_against_the_one_measured_last(story: Story) -> None:
    """2.25 in was news once, 2.00 in again, and then no more."""
    story.adapter("A-03", "2.00 in")
    for day, length in ((26, "2.25 in"), (27, "2.00 in"), (28, "2.00 in")):
        measured(story, "A-03", f"2026-11-{day}", length=parse_length(length))
    assert [cause.text.split(":")[1] for cause in pending(story.book.connection)] == [
        " it is 57.15 mm, and was used as 50.8 mm.",
        " it is 50.8 mm, and was used as 57.15 mm.",
    ]


def test_adapters_in_line_with_a_multiplier(story: Story) -> None:
    """The longer adapter counts once for each time it stands in line, and through the multiplier behind it."""
    scene(story, {**BOLTS, "torque": "200..400 N·m"})
    story.adapter("A-03", "2.00 in")
    story.says("tool", {"tool": "M-1", "sort": "adapter", "multiplier": "3"})
    measured(story, "M-1", "2026-11-26", multiplier="3")
    story.until("2026-11-27T10:00")
    story.take("tie-bolt:1", "80 N·m", adapters=["A-03", "M-1"])
    story.take("tie-bolt:2", "80 N·m", adapters=["A-03", "A-03"])
    measured(story, "A-03", "2026-12-01", length=parse_length("2.25 in"))
    measured(story, "M-1", "2026-12-02", multiplier="3.3")
    lengths = {each.fastener[2]: each.governing.judged for each in opened(story, "adapter", "A-03").items}
    assert (lengths[1].left, lengths[1].found) == (Fraction(80 * 12 * 3, 10), Fraction("294"))
    assert (lengths[2].left, lengths[2].found) == (Fraction(80 * 14, 10), Fraction(80 * 29, 20))
    ratio = only(opened(story, "adapter", "M-1")).governing.judged
    assert (ratio.left, ratio.found) == (Fraction(288), Fraction("316.8"))


def test_an_adapter_that_nobody_measured_is_taken_as_it_was(story: Story) -> None:
    """There is nothing to judge its length by."""
    scene(story, {**BOLTS, "torque": "95..97 N·m"})
    story.adapter("A-03", "2.00 in")
    story.take("tie-bolt:1", "80 N·m", adapters=["A-03"])
    judged = only(opened(story, "adapter", "A-03")).governing.judged
    assert (judged.found, judged.left, judged.side) == (Fraction(96), Fraction(96), "within")


def test_an_adapter_on_a_wrench_without_a_lever_changes_nothing_that_can_be_computed(story: Story) -> None:
    """The attempt was refused for that; it is an item all the same."""
    scene(story, {**BOLTS, "torque": "95..97 N·m"})
    story.wrench("W-2", points=results(EXACT), lever=None, type="indicating")
    story.adapter("A-03", "2.00 in")
    assert story.take("tie-bolt:1", "96 N·m", "W-2", adapters=["A-03"]).outcome == "refused"
    measured(story, "A-03", "2026-12-01", length=parse_length("2.25 in"))
    judged = only(opened(story, "adapter", "A-03")).governing.judged
    assert (judged.found, judged.left) == (Fraction(96), Fraction(96))


def test_run_on_torque_through_the_recalled_adapter(story: Story) -> None:
    """20 N·m through 2.00 in was taken for 24 N·m and really was 24.5."""
    scene(story, RUN_ON)
    story.adapter("A-03", "2.00 in")
    story.take("tie-bolt:1", "120 N·m", run_on=("20 N·m", "W-0417", "A-03"))
    measured(story, "A-03", "2026-12-01", length=parse_length("2.25 in"))
    item = only(opened(story, "adapter", "A-03"))
    assert item.governing.judged.limits == (Fraction("119.5"), Fraction("124.5"))
    assert (item.verdict, item.governing.judged.found) == ("within", Fraction(120))


def test_a_run_on_torque_that_nobody_knows_leaves_the_limits_open(story: Story) -> None:
    """Below the points of the wrench that measured it; where the torque is a total one, it does not matter."""
    story.wrench("W-9", points=results(EXACT))
    scene(story, RUN_ON)
    story.card("TOTAL", {**BOLTS, "torque": "95..110 N·m"})
    story.job("J-2", "TOTAL", "WH-2231")
    story.take("tie-bolt:1", "118 N·m", run_on=("20 N·m", "W-9"))
    story.take("tie-bolt:2", "100 N·m", job="J-2", run_on=("20 N·m", "W-9"))
    found_as(story, "W-9", (("60", "60"), ("150", "150")))
    found = {each.fastener[2]: (each.verdict, each.reasons[-1]) for each in opened(story, name="W-9").items}
    assert found == {1: ("indeterminate", "run-on-unknown"), 2: ("within", "uncertainty-not-given")}


def test_a_nut_that_was_worn_without_anybody_knowing(story: Story) -> None:
    """The card asks for 20 N·m at least; 20 shown were 18."""
    story.wrench("W-9", points=results(EXACT))
    scene(story, {**BOLTS, "run-on": "min 20 N·m"})
    story.take("tie-bolt:1", "100 N·m", run_on=("20 N·m", "W-9"))
    found_as(story, "W-9", (("20", "18"), ("150", "150")))
    item = only(opened(story, name="W-9"))
    assert (item.verdict, item.reasons[-1]) == ("outside", "run-on-outside")


def test_a_torque_without_a_highest_is_never_too_much(story: Story) -> None:
    """The card gives the least alone: a wrench that reads low leaves nothing outside."""
    scene(story, {**BOLTS, "torque": "min 95 N·m"})
    taken = story.take("tie-bolt:1", "100 N·m")
    assert remarks(taken).isdisjoint({"accuracy-share", "coarse-graduation"})
    calibrated(story, "-11")
    item = only(opened(story, name="W-0417"))
    assert (item.verdict, item.over, item.governing.judged.limits.high) == ("within", "", None)


def test_two_wrenches_measured_on_one_tester_are_corrected_by_the_same(story: Story) -> None:
    """It read 1.5 % high, in a recall that goes by it; both groups of the wheel are where the wheel is."""
    story.says(
        "tool",
        {"tool": "T-1", "sort": "tester", "accuracy": {"value": "1", "unit": "%"}, "every": "12 months"},
    )
    story.calibrate("T-1", "2026-11-02", points=results(EXACT))
    for wrench in ("W-1", "W-2"):
        story.wrench(wrench, on="")
        new = NewCalibration(f"C-{wrench}", date(2026, 11, 9), standard="T-1", points=results(EXACT))
        calibration.calibrate(story.book, story.signed["TK"], wrench, new, accept=True)
    story.assembly()
    story.card("BUILD", BOLTS, {**BOLTS, "id": "disc-bolt"})
    story.job()
    story.take("tie-bolt:1", "100 N·m", "W-1")
    story.take("disc-bolt:1", "100 N·m", "W-2")
    story.until("2026-12-01T16:00")
    points = (*results(of("1.5", "20", "60", "150"), "as-found"), *results(EXACT))
    story.calibrate("T-1", "2026-12-01", points=points)
    view = opened(story, "tester", "T-1")
    assert {each.fastener[1]: round(float(each.governing.judged.found or 0), 2) for each in view.items} == {
        "tie-bolt": 98.52,
        "disc-bolt": 98.52,
    }
    connection, scope, looked_up = story.book.connection, scope_of(view.recall), []
    Gathered(connection, scope).items(lambda owner: looked_up.append(owner) or view.items[0].where)
    assert looked_up == ["assembly EX-4410-1 WH-2231"]
    assert how_many(connection, scope) == 2


# What became of it


def test_a_locking_undoes_nothing(story: Story) -> None:
    """A locked nut is as tight as before, one that was replaced is not."""
    scene(story, {**BOLTS, "locking": "lockwire"})
    for bolt in ("1", "2"):
        story.take(f"tie-bolt:{bolt}", "100 N·m")
    story.act("tie-bolt:1", "locked", found="lockwire")
    story.act("tie-bolt:2", "replaced", part="EX-20")
    view = opened(story, "", "", since="2026-11-25T00:00", until="2026-11-26T00:00")
    assert {each.fastener[2]: (each.state, each.replaced is not None) for each in view.items} == {
        1: ("tight", False),
        2: ("loosened", True),
    }


def test_a_first_pass_above_its_own_limits_is_no_over_torque(story: Story) -> None:
    """40 N·m at a pass of 34 to 38 strains no bolt that is to get 68 to 76; 80 does."""
    scene(story, PASSES)
    story.take("tie-bolt:1", "36 N·m", pass_=1)
    story.take("tie-bolt:2", "36 N·m", pass_=1)
    story.take("tie-bolt:2", "72 N·m", pass_=2)
    calibrated(story, "-10")
    found = {
        each.fastener[2]: (each.verdict, each.governing.judged.side, each.over)
        for each in opened(story, name="W-0417").items
    }
    assert found == {1: ("outside", "above", ""), 2: ("outside", "above", "certain")}


def test_nothing_came_after_it(story: Story) -> None:
    """The governing reading is not its own successor."""
    scene(story)
    story.take("tie-bolt:1", "100 N·m")
    item = only(opened(story, "", "", since="2026-11-25T00:00", until="2026-11-26T00:00"))
    assert (item.again, item.replaced, item.state) == (None, None, "tight")


def test_loosened_and_then_apart_or_the_other_way_round(story: Story) -> None:
    """What came first is told."""
    scene(story)
    for bolt in ("1", "2"):
        story.take(f"tie-bolt:{bolt}", "100 N·m")
    story.act("tie-bolt:1", "loosened")
    story.take_apart("WH-2231")
    story.act("tie-bolt:2", "loosened")
    view = opened(story, "", "", since="2026-11-25T00:00", until="2026-11-26T00:00")
    assert {each.fastener[2]: each.state for each in view.items} == {1: "loosened", 2: "apart"}


def test_fitting_the_wheel_that_a_job_names_leaves_its_axle_nut_tight(story: Story) -> None:
    """It is what the job does; the next wheel that comes there ends it."""
    story.wrench(points=results(EXACT))
    story.aircraft()
    story.assembly("WH-1")
    story.assembly("WH-2")
    story.card("FIT", AXLE)
    story.job("J-1", "FIT", "wheel=WH-1", on="QQ-HLB", position="main 2")
    story.take("axle-nut:1", "100 N·m")
    story.fit("WH-1")
    window = {"since": "2026-11-25T00:00", "until": "2026-11-26T00:00"}
    item = only(opened(story, "", "", **window))
    assert (item.state, item.where.registration, item.where.position) == ("tight", "QQ-HLB", "main 2")
    story.remove("WH-1")
    story.fit("WH-2")
    assert only(opened(story, "", "", **window)).state == "apart"


def test_a_tightening_with_a_wrench_that_a_bad_tester_measured_does_not_count(story: Story) -> None:
    """Nothing speaks against that wrench itself, only against what it was measured with."""
    story.says(
        "tool",
        {"tool": "T-1", "sort": "tester", "accuracy": {"value": "1", "unit": "%"}, "every": "12 months"},
    )
    story.calibrate("T-1", "2026-11-02", points=results(EXACT))
    scene(story)
    story.wrench("W-2", on="")
    new = NewCalibration("C-2", date(2026, 11, 25), standard="T-1", points=results(EXACT))
    calibration.calibrate(story.book, story.signed["TK"], "W-2", new, accept=True)
    story.take("tie-bolt:1", "100 N·m")
    story.take("tie-bolt:1", "100 N·m", "W-2", loosened=True)
    calibrated(story, "5")
    assert only(opened(story, name="W-0417")).retightened
    points = (*results(of("1.5", "20", "60", "150"), "as-found"), *results(EXACT))
    story.until("2026-12-02T16:00")
    story.calibrate("T-1", "2026-12-02", points=points)
    for _ in ("pending", "opened"):
        item = only(opened(story, name="W-0417", calibration="C-W-0417-2026-12-01"))
        assert (item.retightened, item.again is not None and item.again.good_now) == (False, False)
        opened(story, "tester", "T-1")
