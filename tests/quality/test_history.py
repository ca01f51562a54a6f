"""The history of a failed fastener: what was good then, and what is good in hindsight."""

from fractions import Fraction

from tests.quality.recalled import opened, results
from tests.quality.test_recall import BOLTS, EXACT, calibrated, scene
from tests.support.story import AXLE, PART, Story
from torquelog.quality.history import history

OWNER = f"assembly {PART} WH-2231"


def test_everything_about_it_is_told_in_order(story: Story) -> None:
    """Readings, refusals, struck entries, acts, and when its wheel came apart."""
    scene(story, {**BOLTS, "neighbours": 1})
    story.take("tie-bolt:1", "10 N·m")
    wrong = story.take("tie-bolt:1", "99 N·m", loosened=True)
    story.correct(wrong.reference, reading="100 N·m")
    story.take("tie-bolt:1", "101 N·m")
    story.act("tie-bolt:1", "loosened", why="washer turned")
    story.act("tie-bolt:1", "replaced", part="EX-20", lots=("L-77",))
    story.take_apart("WH-2231")
    story.act("tie-bolt:1", "found", found="sheared", by="IK")
    told = history(story.book, OWNER, "tie-bolt", 1)
    assert [each.what for each in told.happenings] == [
        "refused", "struck", "tightened", "checked", "loosened", "replaced", "take-apart", "found",
    ]  # fmt: skip
    assert [each.detail for each in told.happenings[4:]] == ["washer turned", "EX-20 lot L-77", "", "sheared"]
    assert told.happenings[-1].person == "IK"
    assert (told.neighbours, told.where.text) == ((3, 2), "taken apart")


def test_what_seemed_good_is_judged_again(story: Story) -> None:
    """Within its limits then; the wrench failed since, and what the bolt got lies below."""
    scene(story)
    story.take("tie-bolt:1", "98 N·m")
    (before,) = history(story.book, OWNER, "tie-bolt", 1).happenings
    assert before.torque is not None
    assert (before.torque.good_then, before.torque.good_now, before.torque.doubts) == (True, True, ())
    entry = calibrated(story, "5")
    (after,) = history(story.book, OWNER, "tie-bolt", 1).happenings
    assert after.torque is not None
    assert (after.torque.good_then, after.torque.good_now, after.torque.doubts) == (True, False, (entry,))
    assert (after.torque.judged.answer, after.torque.judged.left) == ("outside", Fraction(98))
    opened(story, name="W-0417")
    (named,) = history(story.book, OWNER, "tie-bolt", 1).happenings
    assert named.torque is not None
    assert named.torque.doubts == ("R-1",)


def test_a_good_torque_of_a_doubted_wrench_is_not_called_good(story: Story) -> None:
    """Inside its limits by the results as found, but the wrench itself failed."""
    scene(story)
    story.take("tie-bolt:1", "105 N·m")
    calibrated(story, "5")
    (found,) = history(story.book, OWNER, "tie-bolt", 1).happenings
    assert found.torque is not None
    assert (found.torque.judged.answer, found.torque.good_now) == ("within", False)


def test_a_fastener_of_an_aircraft_and_one_that_nobody_touched(story: Story) -> None:
    """It is found by its position; where nothing is on record, that is said."""
    story.wrench(points=results(EXACT))
    story.aircraft()
    story.assembly("WH-1")
    story.card("FIT", AXLE)
    story.job("J-1", "FIT", "wheel=WH-1", on="QQ-HLB", position="main 2")
    story.take("axle-nut:1", "100 N·m")
    story.fit("WH-1")
    told = history(story.book, "aircraft 1001 main 2", "axle-nut", 1)
    assert [each.what for each in told.happenings] == ["tightened", "fit"]
    assert (told.neighbours, told.where.registration) == ((), "QQ-HLB")
    with story.refused("fastener-unknown"):
        history(story.book, "aircraft 1001 main 2", "axle-nut", 2)
