"""How a fastener stands, asked for alone, with its group, and again by one who keeps what was found."""

import pytest

from tests.support.story import AXLE, PART, Story
from torquelog.book import fasteners
from torquelog.book.fasteners import fastener_state, group_states
from torquelog.book.recent import Recent
from torquelog.facts import cards, jobs
from torquelog.facts.card_form import Group
from torquelog.rules.fastener import State

OWNER = f"assembly {PART} WH-2231"


def group_of(story: Story) -> Group:
    """The group of the scene's card."""
    job = jobs.job(story.book.connection, "J-1")
    assert job is not None
    card = cards.card_by_digest(story.book.connection, job.digest)
    assert card is not None
    return card.groups[0]


def both(story: Story, item: int) -> State:
    """How a fastener stands; it is the same asked for alone and with its group."""
    connection, group = story.book.connection, group_of(story)
    alone = fastener_state(connection, "J-1", OWNER, group, item)
    assert group_states(connection, "J-1", OWNER, group)[group.id, item] == alone
    return alone


def test_what_was_strained_before_the_wheel_came_apart_still_is(story: Story) -> None:
    """A torque above all that the card allows is told after the wheel came apart, until the bolt is replaced."""
    story.bench()
    story.take("tie-bolt:1", "140 N·m")
    low = story.take("tie-bolt:1", "60 N·m")
    story.take("tie-bolt:2", "100 N·m")
    story.take_apart("WH-2231")
    strained = both(story, 1)
    assert strained.over
    assert strained.outside is not None
    assert strained.outside.number == int(low.reference[-6:])
    assert not both(story, 2).over
    story.act("tie-bolt:1", "replaced", part="EX-20")
    assert not both(story, 1).over


def test_a_fastener_that_nothing_was_taken_at_is_worked_out_once(
    story: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same writer gets the same answer again; it is the one that the record gives."""
    story.bench()
    worked_out: list[object] = []
    real = fasteners._state
    monkeypatch.setattr(fasteners, "_state", lambda *given: worked_out.append(given) or real(*given))
    connection, group = story.book.connection, group_of(story)
    recent = Recent(connection)
    recent.begin()
    first, again = (fastener_state(connection, "J-1", OWNER, group, 3, recent=recent) for _ in range(2))
    assert first == again
    assert len(worked_out) == 1
    assert first == both(story, 3)


def test_where_the_card_does_not_say_what_a_nut_holds_whatever_comes_or_goes_loosens_it(story: Story) -> None:
    """A brake that is fitted to the position undoes an axle nut of a card that names no wheel."""
    story.wrench()
    story.aircraft()
    story.assembly("BR-1", "brake", "EX-77")
    nut = {key: AXLE[key] for key in AXLE if key != "holds"} | {"id": "nut"}
    story.card("FIT", AXLE, nut)
    story.job("J-1", "FIT", on="QQ-HLB", position="main 2")
    for fastener in ("axle-nut:1", "nut:1"):
        story.take(fastener, "100 N·m")
    story.fit("BR-1")
    assert story.state("axle-nut:1").tight
    assert not story.state("nut:1").tight
