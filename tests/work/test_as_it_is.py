"""A torque outside its limits is answered by a decision of quality that names its approved data."""

from tests.support.story import PASSES, WHEEL, Story
from torquelog.quality import recall
from torquelog.quality.recall_scope import Asked


def accept(story: Story, *, document: str = "EO-EX-31") -> None:
    """Quality recalls the day and accepts everything on approved data."""
    story.later(seconds=60)
    window = (story.moment("2026-11-25T00:00"), story.moment("2026-11-26T00:00"))
    opened = recall.open_recall(story.book, story.signed["TK"], Asked(since=window[0], until=window[1]))
    numbers = [each.number for each in opened.items]
    recall.decide(
        story.book,
        story.own["TK"],
        opened.recall.recall,
        "accepted",
        "as found",
        items=numbers,
        document=document,
    )
    story.later(seconds=60)


def test_an_over_torque_stays_on_approved_data(story: Story) -> None:
    """Above all that the card allows: open until hardware is replaced or a decision names its data."""
    story.bench(WHEEL)
    for bolt in (1, 3):
        story.take(f"tie-bolt:{bolt}", "100 N·m")
    story.take("tie-bolt:2", "112 N·m")
    assert story.held() == ["over-torqued"]
    accept(story)
    assert story.held() == []
    state = story.state("tie-bolt:2")
    assert (state.over, state.outside, state.tight) == (False, None, True)


def test_a_decision_without_data_answers_nothing(story: Story) -> None:
    """By the recall the torque was inside; that says nothing of a reading that lies outside on record."""
    story.bench(WHEEL)
    story.take("tie-bolt:1", "100 N·m")
    accept(story, document="")
    story.take("tie-bolt:1", "112 N·m", loosened=True)
    story.take("tie-bolt:2", "112 N·m")
    assert [story.state(f"tie-bolt:{bolt}").over for bolt in (1, 2)] == [True, True]


def test_only_what_was_done_counts_as_done(story: Story) -> None:
    """Accepted at its first pass, the second one is still open; accepted at its second, nothing is."""
    story.bench(PASSES)
    story.take("tie-bolt:1", "40 N·m", pass_=1)
    story.take("tie-bolt:2", "36 N·m", pass_=1)
    story.take("tie-bolt:2", "80 N·m", pass_=2)
    accept(story)
    assert story.state("tie-bolt:1").done == {("", 1)}
    assert story.state("tie-bolt:2").done == {("", 1), ("", 2)}
    assert story.take("tie-bolt:1", "72 N·m").act == "tighten"
    assert story.state("tie-bolt:1").done == {("", 1), ("", 2)}


def test_what_is_loosened_afterwards_begins_anew(story: Story) -> None:
    """The decision was about what stood then; a torque after it is judged for itself."""
    story.bench(WHEEL)
    story.take("tie-bolt:2", "112 N·m")
    accept(story)
    story.act("tie-bolt:2", "loosened")
    state = story.state("tie-bolt:2")
    assert (state.over, state.tight, state.done) == (False, False, frozenset())
    story.take("tie-bolt:2", "112 N·m")
    assert story.state("tie-bolt:2").over


def test_what_was_loosened_before_is_not_tight_by_a_decision(story: Story) -> None:
    """The bolt may stay; it is to be tightened all the same."""
    story.bench(WHEEL)
    story.take("tie-bolt:2", "112 N·m")
    story.act("tie-bolt:2", "loosened")
    assert story.state("tie-bolt:2").over
    accept(story)
    state = story.state("tie-bolt:2")
    assert (state.over, state.tight, state.done) == (False, False, frozenset())
