"""A job that changes hands: given with what is open per fastener and pass, accepted, and held meanwhile."""

from tests.support.story import WHEEL, Story
from torquelog.work import handing

PASSES = {**WHEEL, "torque": "68..76 N·m", "passes": ["50 %", "100 %"]}


def test_a_hand_over_says_what_is_open_per_fastener_and_pass(story: Story) -> None:
    """And what is above its limits, too; the job is held until it is taken over."""
    story.bench(PASSES)
    story.take("tie-bolt:1", "36 N·m")
    story.take("tie-bolt:2", "90 N·m")
    given = handing.hand_over(story.book, story.signed["TK"], "J-1", "IK", why="2 is over")
    assert [part.words for part in given.open] == [
        "Tie bolts 2 to 3: pass 1", "Tie bolts 1 to 3: pass 2", "Tie bolt 2: to be loosened or replaced",
    ]  # fmt: skip
    assert "hand-over-open" in story.held()
    taken = handing.take_over(story.book, story.signed["IK"], "J-1")
    assert (taken.giver, taken.taker, taken.given, taken.changed) == ("TK", "IK", given.reference, False)
    assert "hand-over-open" not in story.held()


def test_what_changed_in_between_is_told(story: Story) -> None:
    """Work after the hand-over was given is seen when it is accepted."""
    story.bench(PASSES)
    handing.hand_over(story.book, story.signed["TK"], "J-1", "IK")
    story.take("tie-bolt:1", "36 N·m")
    assert handing.take_over(story.book, story.signed["IK"], "J-1").changed


def test_a_job_that_nobody_handed_over_is_taken_with_a_reason(story: Story) -> None:
    """Or one that was meant for somebody else; without a reason nothing is recorded."""
    story.bench(PASSES)
    with story.refused("not-handed-over"):
        handing.take_over(story.book, story.signed["IK"], "J-1")
    handing.hand_over(story.book, story.signed["TK"], "J-1", "IK")
    with story.refused("not-handed-over") as caught:
        handing.take_over(story.book, story.signed["TK"], "J-1")
    assert "It was handed over to IK." in caught.value.message
    assert handing.take_over(story.book, story.signed["TK"], "J-1", why="IK was called away").giver == "TK"


def test_it_goes_to_somebody_who_may_do_the_work(story: Story) -> None:
    """An inspector alone is no technician, and a stranger is not enrolled."""
    story.bench(PASSES)
    with story.refused("no-role"):
        handing.hand_over(story.book, story.signed["TK"], "J-1", "MS")
    with story.refused("person-unknown"):
        handing.hand_over(story.book, story.signed["TK"], "J-1", "XX")


def test_a_closed_job_changes_hands_no_more(story: Story) -> None:
    """There is nothing left to hand over."""
    story.bench({**WHEEL, "count": 1})
    story.take("tie-bolt:1", "100 N·m")
    assert story.close()
    with story.refused("job-closed"):
        handing.hand_over(story.book, story.signed["TK"], "J-1", "IK")
