"""The card's order and its hold points, as a remark on what was done all the same."""

from tests.support.story import WHEEL, Story, remarks
from torquelog.work.inspecting import Verdict, inspect

ORDERED = {**WHEEL, "torque": "68..76 N·m", "order": [1, 3, 2], "passes": ["50 %", "100 %"]}


def test_a_bolt_before_its_turn_is_remarked(story: Story) -> None:
    """Bolt 2 comes after bolt 3 in the card's order; in its turn nothing is said."""
    story.bench(ORDERED)
    assert "order" not in remarks(story.take("tie-bolt:1", "36 N·m"))
    assert "order" in remarks(story.take("tie-bolt:2", "36 N·m"))
    assert "order" not in remarks(story.take("tie-bolt:3", "36 N·m"))
    assert "order" not in remarks(story.take("tie-bolt:1", "72 N·m"))
    assert "order" in remarks(story.take("tie-bolt:2", "72 N·m"))


def test_a_card_without_an_order_asks_for_none(story: Story) -> None:
    """Its fasteners may be taken as they come."""
    story.bench(WHEEL)
    assert "order" not in remarks(story.take("tie-bolt:3", "100 N·m"))


def test_covering_what_was_to_be_inspected_is_remarked(story: Story) -> None:
    """It happened, so it is kept; after the inspection nothing is said."""
    cover = {"id": "cover-bolt", "on": "wheel", "count": 2, "torque": "95..105 N·m"}
    story.bench({**WHEEL, "inspection": "independent", "hold": True}, cover)
    for item in (1, 2, 3):
        story.take(f"tie-bolt:{item}", "100 N·m")
    assert "hold-passed" in remarks(story.take("cover-bolt:1", "100 N·m"))
    inspect(story.book, story.own["MS"], "J-1", Verdict("tie-bolt", (), accepted=True, seen=("W-0417",)))
    assert "hold-passed" not in remarks(story.take("cover-bolt:2", "100 N·m"))
