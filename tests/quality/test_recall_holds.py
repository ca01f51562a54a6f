"""Which assemblies a recall holds back, whatever it goes by; and what it leaves alone."""

from datetime import date

import pytest

from tests.quality.recalled import decided, key, opened, results
from tests.quality.test_recall import BOLTS, EXACT, calibrated, of
from tests.support.story import Story
from torquelog.book.recall_hold import _concerned, held_by_recall
from torquelog.book.recall_judging import Scope
from torquelog.crib import calibration
from torquelog.crib.calibration import NewCalibration
from torquelog.facts.rows import LATEST

HERS, HIS, BARE = "WH-1", "WH-2", "WH-3"


def scene(story: Story) -> None:
    """Two wheels by two cards, two people, two wrenches and two lots, and a third wheel that nobody touched."""
    story.says(
        "tool",
        {"tool": "T-1", "sort": "tester", "accuracy": {"value": "1", "unit": "%"}, "every": "12 months"},
    )
    story.calibrate("T-1", "2026-11-02", points=results(EXACT))
    story.wrench("W-1", on="")
    measured = NewCalibration("C-1", date(2026, 11, 9), standard="T-1", points=results(EXACT))
    calibration.calibrate(story.book, story.signed["TK"], "W-1", measured, accept=True)
    story.wrench("W-2", points=results(EXACT))
    for serial, card in ((HERS, "ONE"), (HIS, "TWO")):
        story.assembly(serial)
        story.card(card, BOLTS)
        story.job(f"J-{serial}", card, serial)
    story.assembly(BARE)
    story.take("tie-bolt:1", "100 N·m", "W-1", job=f"J-{HERS}", lots=("L-1",))
    story.take("tie-bolt:1", "100 N·m", "W-2", job=f"J-{HIS}", by="IK", lots=("L-2",))


def held(story: Story) -> list[str]:
    """The wheels that are held back."""
    connection = story.book.connection
    return [serial for serial in (HERS, HIS, BARE) if held_by_recall(connection, key(serial)) is not None]


@pytest.mark.parametrize(
    ("subject", "name", "wheels"),
    [
        ("wrench", "W-1", [HERS]),
        ("wrench", "W-2", [HIS]),
        ("person", "TK", [HERS]),
        ("person", "IK", [HIS]),
        ("card", "ONE", [HERS]),
        ("card", "TWO", [HIS]),
        ("lot", "L-1", [HERS]),
        ("lot", "L-2", [HIS]),
        ("shop", "QHR", [HERS, HIS]),
    ],
)
def test_a_recall_holds_what_it_names_and_nothing_else(
    story: Story, subject: str, name: str, wheels: list[str]
) -> None:
    """By tool, person, card, lot or shop: the wheel with such a reading, until it is decided."""
    scene(story)
    assert held(story) == []
    opened(story, subject, name)
    assert held(story) == wheels
    found = held_by_recall(story.book.connection, key(wheels[0]))
    assert found is not None
    assert (found.recall, found.text) == ("R-1", "What recall R-1 found on it is not decided yet.")
    items = list(range(1, len(wheels) + 1))
    decided(story, "R-1", "accepted", items=items, document="EO-EX-31")
    assert held(story) == []


def test_a_recall_of_another_shop_holds_nothing_of_this_one(story: Story) -> None:
    """Its readings bear its own station's code."""
    scene(story)
    connection = story.book.connection
    scope = Scope("shop", "LGW", "", "", 0, story.clock.moment)
    assert _concerned(connection, scope, f"assembly {key(HERS)}", LATEST) == []
    assert len(_concerned(connection, scope._replace(name="QHR"), f"assembly {key(HERS)}", LATEST)) == 1


def test_a_recall_by_time_holds_everything_of_that_time(story: Story) -> None:
    """And nothing that nobody worked on then."""
    scene(story)
    opened(story, "", "", since="2026-11-25T00:00", until="2026-11-25T23:59")
    assert held(story) == [HERS, HIS]


def test_a_tester_holds_what_was_tightened_with_the_wrenches_that_it_measured(story: Story) -> None:
    """From the moment on at which its failure is on record, before anybody opened a recall, and by the recall as well."""
    scene(story)
    story.until("2026-12-01T16:00")
    points = (*results(of("1.5", "20", "60", "150"), "as-found"), *results(EXACT))
    entry = story.calibrate("T-1", "2026-12-01", points=points)
    assert held(story) == [HERS]
    pending = held_by_recall(story.book.connection, key(HERS))
    assert pending is not None
    assert (pending.recall, pending.entry) == ("", entry)
    opened(story, "tester", "T-1")
    assert held(story) == [HERS]


def test_what_was_decided_against_flying_holds_while_it_stands(story: Story) -> None:
    """Loosening the bolt undoes the reading it was decided about, so nothing is held by it any more."""
    scene(story)
    calibrated(story, "5", wrench="W-2")
    opened(story, name="W-2")
    decided(story, "R-1", "removed-from-service", items=[1])
    found = held_by_recall(story.book.connection, key(HIS))
    assert found is not None
    assert found.text == "Recall R-1 decided: removed from service."
    story.act("tie-bolt:1", "loosened", job=f"J-{HIS}")
    assert held(story) == []
