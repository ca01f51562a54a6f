"""Rechecks: opened by the closing, carried with the wheel, answered by a check."""

import pytest

from tests.support.story import WHEEL, Story
from tests.work.guided import Guided
from torquelog.book.rechecks import Recheck, rechecks
from torquelog.book.verification import verify

AGAIN = {**WHEEL, "recheck": "after first flight"}
CHECK = {"id": "tie-bolt", "on": "wheel", "count": 3, "steps": [{"id": "recheck", "torque": "95..110 N·m"}]}


def waiting(story: Story) -> list[Recheck]:
    """The open rechecks."""
    return rechecks(story.book.connection)


@pytest.fixture
def closed(story: Story) -> Story:
    """A wheel whose job is closed, to be checked again after its first flight."""
    story.bench(AGAIN)
    assert waiting(story) == []
    for item in (1, 2, 3):
        story.take(f"tie-bolt:{item}", "100 N·m")
    assert waiting(story) == []
    assert story.close()
    return story


def test_closing_opens_the_recheck_that_the_card_asks_for(closed: Story) -> None:
    """It names the fasteners, what the card says and the job, and belongs to the wheel."""
    (found,) = waiting(closed)
    assert (found.owner, found.group, found.items) == ("assembly EX-4410-1 WH-2231", "tie-bolt", (1, 2, 3))
    assert (found.when, found.job) == ("after first flight", "J-1")


def test_it_follows_the_wheel(closed: Story) -> None:
    """Fitted to an aircraft and sent away it still waits."""
    closed.aircraft()
    closed.fit("WH-2231")
    closed.remove("WH-2231")
    assert len(waiting(closed)) == 1


def test_a_check_answers_it_bolt_by_bolt(closed: Story) -> None:
    """A job by a card whose step is named recheck takes the checks, and closes when all are done."""
    closed.card("LOOK", CHECK)
    closed.job("J-2", "LOOK")
    found = closed.take("tie-bolt:1", "100 N·m", job="J-2")
    assert (found.act, found.outcome, found.remarks) == ("check", "within", found.remarks)
    assert "already-tight" not in {remark.code for remark in found.remarks}
    assert waiting(closed)[0].items == (2, 3)
    guided = Guided(closed, "J-2")
    assert guided.at == "wrench tie-bolt:2 recheck"
    guided.types("W-0417 102", "", "")
    assert guided.at == "end"
    assert waiting(closed) == []
    assert closed.close("J-2")
    assert verify(closed.book.connection, "QHR").holds


def test_a_check_that_moves_the_nut_answers_nothing(closed: Story) -> None:
    """Below its limits it is outside: the bolt is open, and so is the recheck."""
    closed.card("LOOK", CHECK)
    closed.job("J-2", "LOOK")
    closed.take("tie-bolt:1", "90 N·m", job="J-2")
    assert waiting(closed)[0].items == (1, 2, 3)
    assert "outside" in closed.held("J-2")


def test_of_another_wheel_there_is_nothing_to_look_at_again(closed: Story) -> None:
    """Asked by its owner, a recheck is told of that one alone."""
    connection = closed.book.connection
    (found,) = rechecks(connection, owner="assembly EX-4410-1 WH-2231")
    assert [found] == waiting(closed)
    assert rechecks(connection, owner="assembly EX-4410-1 WH-2232") == []


def test_loosening_or_replacing_a_bolt_makes_it_pointless_for_that_one(closed: Story) -> None:
    """Locking it does not."""
    closed.card("LOOK", CHECK)
    closed.job("J-2", "LOOK")
    closed.act("tie-bolt:1", "loosened", job="J-2")
    closed.act("tie-bolt:2", "replaced", job="J-2", part="EX-20")
    closed.act("tie-bolt:3", "locked", job="J-2", found="lockwire")
    assert waiting(closed)[0].items == (3,)


def test_taking_the_wheel_apart_makes_it_pointless(closed: Story) -> None:
    """What is not tight any more is not checked again."""
    closed.take_apart("WH-2231")
    assert waiting(closed) == []


def test_a_step_named_recheck_tightens_what_is_loose(story: Story) -> None:
    """Nothing is proved by a check of a loose nut, so there it is a tightening like any other."""
    story.bench(CHECK)
    assert story.take("tie-bolt:1", "100 N·m").act == "tighten"
