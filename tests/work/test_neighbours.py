"""A job stays open until the neighbours of a failed fastener were looked at, as its card says."""

from tests.support.story import WHEEL, Story


def test_neighbours_of_a_failed_one_hold_the_job(story: Story) -> None:
    """Bolt 2 is found sheared: 1 and 3 hold the closing until each was checked or got new hardware."""
    story.bench({**WHEEL, "count": 4, "neighbours": 1})
    for bolt in (1, 2, 3, 4):
        story.take(f"tie-bolt:{bolt}", "100 N·m")
    story.act("tie-bolt:2", "found", found="sheared")
    assert story.held() == ["hardware-open", "neighbour-open"]
    (hold,) = [each for each in story.job_state().holds if each.code == "neighbour-open"]
    assert hold.text == "Tie bolts 1 and 3 are to be looked at."
    assert hold.detail.startswith("Tie bolt 2 beside failed")
    story.act("tie-bolt:2", "replaced", part="EX-20")
    story.take("tie-bolt:2", "100 N·m")
    assert story.held() == ["neighbour-open"]
    assert story.take("tie-bolt:1", "100 N·m").act == "check"
    story.act("tie-bolt:3", "replaced", part="EX-20")
    story.take("tie-bolt:3", "100 N·m")
    assert story.held() == []


def test_a_card_without_the_rule_asks_for_none(story: Story) -> None:
    """The manual decides, not this program."""
    story.bench()
    for bolt in (1, 2, 3):
        story.take(f"tie-bolt:{bolt}", "100 N·m")
    story.act("tie-bolt:2", "found", found="sheared")
    assert story.held() == ["hardware-open"]
