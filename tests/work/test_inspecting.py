"""Inspections: who may inspect, what may be accepted, what a rejection holds, and who lifts it."""

from typing import Any

import pytest

from tests.support.story import WHEEL, Story
from tests.work.guided import Guided
from torquelog.book.verification import verify
from torquelog.quality import people
from torquelog.work import handing
from torquelog.work.inspecting import Inspection, Verdict, inspect

BOLTS = {**WHEEL, "inspection": "independent", "above": "loosen"}
SEEN = ("W-0417",)


def look(story: Story, *items: int, by: str = "MS", accept: bool = True, **more: Any) -> Inspection:
    """Inspect tie bolts."""
    story.later(seconds=1)
    return inspect(story.book, story.own[by], "J-1", Verdict("tie-bolt", items, accept, **more))


@pytest.fixture
def done(story: Story) -> Story:
    """Three tie bolts tightened by TK, which an inspector has to see."""
    story.bench(BOLTS)
    for item in (1, 2, 3):
        story.take(f"tie-bolt:{item}", "100 N·m")
    return story


def test_an_inspection_holds_the_closing_until_it_is_accepted(done: Story) -> None:
    """Somebody who did none of the work accepts all of them, having read the wrench; then the job closes."""
    assert done.held() == ["inspection-open"]
    (hold,) = done.job_state().holds
    assert hold.text == "Tie bolts are not inspected."
    assert hold.detail == "TK did the work, so it takes someone else."
    assert not done.close()
    found = look(done, seen=SEEN)
    assert (found.outcome, found.items, found.own, found.remarks) == ("accepted", (1, 2, 3), False, ())
    assert done.close()


def test_items_are_inspected_one_by_one(done: Story) -> None:
    """What is accepted is accepted; the others wait."""
    look(done, 1, 3, seen=SEEN)
    (hold,) = done.job_state().holds
    assert hold.text == "Tie bolt 2 is not inspected."


def test_who_did_the_work_does_not_inspect_it(done: Story) -> None:
    """TK holds the role, and MS is there: it takes somebody else, whatever reason is given."""
    with done.refused("needs-another") as caught:
        look(done, by="TK", seen=SEEN, why="no time")
    assert "MS" in caught.value.hint


def test_who_only_struck_out_work_there_does_not_inspect_it_either(story: Story) -> None:
    """A struck reading is work as well; so is one that another person signed for."""
    story.bench(BOLTS)
    story.take("tie-bolt:1", "100 N·m", by="IK", signed_by="TK")
    with story.refused("needs-another"):
        look(story, 1, by="TK", seen=SEEN)


def bound(story: Story, what: str | None, person: str = "MS") -> None:
    """Give somebody the role inspector with a bound."""
    story.later(seconds=1)
    people.change_role(story.book, story.own["TK"], person, "inspector", add=True, inspects=what)


def test_an_inspector_keeps_to_what_he_may_inspect(done: Story) -> None:
    """A bound that names neither the card's work nor its group is told, with who may; a wider one counts at once."""
    bound(done, "brakes")
    with done.refused("inspection-bounds") as caught:
        look(done, seen=SEEN)
    assert "MS may inspect: brakes." in caught.value.message
    assert '--inspects "brakes, tie bolts"' in caught.value.hint  # TK holds the role and did the work
    with done.refused("inspection-bounds"):
        look(done, 1, accept=False, why="a thread is proud")
    bound(done, "brakes, tie bolts")
    assert look(done, seen=SEEN).outcome == "accepted"
    done.demand_that_it_holds()


def test_an_inspection_beyond_its_signers_bound_is_found(done: Story) -> None:
    """Written past the act, and by a program that was changed, it does not count."""
    bound(done, "brakes")
    body = {
        "job": "J-1", "group": "tie-bolt", "items": ["1"], "assembly": "EX-4410-1 WH-2231", "outcome": "accepted",
        "performed_by": "MS", "performed_at": "2026-11-25T12:30:00.000+00:00",
    }  # fmt: skip
    with done.refused("signer-bounds") as caught:
        done.says("inspection", body, by="MS", own=True)
    assert caught.value.why == "Its signer may not inspect that."


def test_nobody_may_inspect_it_so_the_performer_looks_again(done: Story) -> None:
    """Where the only other inspector may not inspect this work, nobody else is there: a reason, and a remark."""
    bound(done, "brakes")
    found = look(done, by="TK", seen=SEEN, why="MS may not inspect wheels")
    assert found.own
    done.demand_that_it_holds()


def test_alone_the_performer_looks_again_with_a_reason(alone: Story) -> None:
    """It is another kind of entry, bears a remark, and clears the closing; without a reason it is refused."""
    alone.bench(BOLTS)
    for item in (1, 2, 3):
        alone.take(f"tie-bolt:{item}", "100 N·m")
    with alone.refused("why-missing"):
        look(alone, by="TK", seen=SEEN)
    found = look(alone, by="TK", seen=SEEN, why="nobody else on this station tonight")
    assert found.own
    assert [remark.code for remark in found.remarks] == ["own-inspection"]
    assert alone.close()


def test_the_wrench_is_read_blind(done: Story) -> None:
    """Another number than the one on record is not told what that one is; nothing is recorded."""
    with done.refused("wrench-seen-missing"):
        look(done)
    with done.refused("wrench-seen-other") as caught:
        look(done, seen=("W-0418",))
    assert "W-0417" not in f"{caught.value.message} {caught.value.hint}"


def test_a_mixture_of_wrenches_is_read_as_one(done: Story) -> None:
    """Each wrench that stands on a bolt has to be seen, and no other."""
    done.wrench("W-0418")
    done.take("tie-bolt:3", "100 N·m", "W-0418", loosened=True)
    with done.refused("wrench-seen-other"):
        look(done, seen=SEEN)
    assert look(done, 3, seen=("W-0418",))
    assert look(done, seen=("W-0418", "W-0417"))


def test_unfinished_work_is_not_accepted(story: Story) -> None:
    """What is open can be rejected, with what was found."""
    story.bench(BOLTS)
    story.take("tie-bolt:1", "100 N·m")
    with story.refused("not-finished") as caught:
        look(story, seen=SEEN)
    assert "Tie bolts 2 to 3 are not finished" in caught.value.message
    with story.refused("why-missing"):
        look(story, 2, accept=False)
    assert look(story, 2, accept=False, why="the nut is missing").outcome == "rejected"


def test_touching_it_again_undoes_the_acceptance(done: Story) -> None:
    """A bolt that is loosened and tightened after its inspection is inspected again."""
    look(done, seen=SEEN)
    done.take("tie-bolt:2", "100 N·m", loosened=True)
    (hold,) = done.job_state().holds
    assert hold.text == "Tie bolt 2 is not inspected."


def test_a_check_leaves_the_acceptance_as_it_is(done: Story) -> None:
    """A torque check within limits touches nothing."""
    look(done, seen=SEEN)
    done.take("tie-bolt:2", "100 N·m", act="check")
    assert done.close()


def test_a_rejection_is_lifted_by_an_inspector_alone(done: Story) -> None:
    """It is worked again, and stays rejected until it is accepted; it is never struck."""
    look(done, 1, 3, seen=SEEN)
    entry = look(done, 2, accept=False, why="a thread is proud").reference
    with done.refused("not-strikable"):
        done.correct(entry, by="MS", own=True)
    assert done.held() == ["rejected"]
    done.take("tie-bolt:2", "100 N·m", loosened=True)
    assert done.held() == ["rejected"]
    look(done, 2, seen=SEEN)
    assert done.close()


def test_a_rejection_follows_the_wheel_into_the_next_job(done: Story) -> None:
    """A new job on the same wheel takes over what is open, rejections included, whatever its card asks."""
    look(done, 2, accept=False, why="a thread is proud")
    done.card("AGAIN", WHEEL)
    done.job("J-2", "AGAIN")
    assert "rejected" in done.held("J-2")


def test_the_guided_session_names_a_rejection_and_loosens(done: Story) -> None:
    """What was rejected is shown with its reason; loosened and tightened again it waits for the inspector."""
    look(done, 2, accept=False, why="a thread is proud")
    guided = Guided(done)
    assert guided.at == "hurt tie-bolt:2 pass 1"
    guided.types("", "l", "W-0417 100", "")
    assert guided.at == "end"
    assert sorted(set(done.held())) == ["inspection-open", "rejected"]


def test_a_hold_point_comes_before_what_covers_the_work(story: Story) -> None:
    """The next group is not asked for before the inspection; looked again after it, the work goes on."""
    cover = {"id": "cover-bolt", "on": "wheel", "count": 1, "torque": "95..105 N·m"}
    story.bench({**BOLTS, "hold": True}, cover)
    guided = Guided(story)
    guided.types("W-0417 100", "", "", "")
    assert guided.asked.kind == "hold"
    guided.type("")
    look(story, seen=SEEN)
    again = Guided(story)
    again.types("W-0417")
    assert again.at == "setting cover-bolt:1 pass 1"


def test_an_inspector_who_worked_elsewhere_in_the_job_is_remarked(story: Story) -> None:
    """One person on both sides of a job is no ground to refuse, and is said."""
    story.bench(BOLTS, {"id": "cover-bolt", "on": "wheel", "count": 1, "torque": "95..105 N·m"})
    for item in (1, 2, 3):
        story.take(f"tie-bolt:{item}", "100 N·m", by="IK")
    story.take("cover-bolt:1", "100 N·m")
    found = look(story, by="TK", seen=SEEN)
    assert [remark.code for remark in found.remarks] == ["both-sides"]


def test_a_planted_inspection_by_the_performer_is_found(done: Story) -> None:
    """Written past the act it is refused at the record itself: its signer did that work."""
    body = {
        "job": "J-1", "group": "tie-bolt", "items": ["1"], "assembly": "EX-4410-1 WH-2231", "outcome": "accepted",
        "performed_by": "TK", "performed_at": "2026-11-25T12:30:00.000+00:00",
    }  # fmt: skip
    with done.refused("signer-bounds"):
        done.says("inspection", body, own=True)
    with done.refused("signer-bounds"):
        done.says("re-inspection", {**body, "why": "alone"}, own=True)


def test_inspections_verify(done: Story) -> None:
    """A record with inspections, hand-overs and what was left out holds when it is walked again."""
    look(done, 1, seen=SEEN)
    look(done, 2, accept=False, why="a thread is proud")
    handing.leave_out(done.book, done.signed["TK"], "J-1", "tie-bolt", 3, "later")
    handing.hand_over(done.book, done.signed["TK"], "J-1", "IK")
    handing.take_over(done.book, done.signed["IK"], "J-1")
    assert verify(done.book.connection, "QHR").holds
