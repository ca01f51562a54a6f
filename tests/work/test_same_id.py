"""An id of the client's: asked again, the first answer again; asked for something else, an error."""

from typing import Any

import pytest

from tests.support.story import PASSES, WHEEL, Story, remarks
from torquelog.work.record import look_up

ID = "00112233445566778899aabbccddeeff"


def test_the_first_answer_again(story: Story) -> None:
    """Same id and same fields: the same entry, outcome and time, and nothing more on record."""
    story.bench(PASSES)
    first = story.take("tie-bolt:1", "36 N·m", id=ID)
    before = story.entries()
    again = story.take("tie-bolt:1", "36 N·m", id=ID)
    assert again.repeated is True
    assert again._replace(repeated=False, remarks=()) == first._replace(remarks=())
    assert remarks(again) == remarks(first)
    assert story.entries() == before


@pytest.mark.parametrize(
    "other",
    [
        {"reading": "36.0 N·m"},
        {"fastener": "tie-bolt:2"},
        {"wrench": "W-0418"},
        {"loosened": True},
        {"pass_": 2},
        {"why": "typed late"},
        {"lots": ("L-7",)},
        {"act": "check"},
        {"by": "IK"},
        {"adapters": ["A-03"]},
        {"at": "2026-11-25T11:00"},
        {"run_on": ("20 N·m", "W-0418")},
    ],
    ids=lambda other: next(iter(other)),
)
def test_other_fields_are_an_error(story: Story, other: dict[str, Any]) -> None:
    """Each field by itself, a zero behind the point included; nothing is on record for it."""
    story.bench(PASSES)
    story.wrench("W-0418")
    story.adapter("A-03", "3 in")
    asked = {"fastener": "tie-bolt:1", "reading": "36 N·m"}
    story.take(**asked, id=ID)
    with story.refused("id-reused"):
        story.take(**{**asked, **other}, id=ID)


def test_what_was_left_open_is_not_compared(story: Story) -> None:
    """The first time the pass was found; named the second time, it is the same request."""
    story.bench(PASSES)
    first = story.take("tie-bolt:1", "36 N·m", id=ID)
    assert story.take("tie-bolt:1", "36 N·m", id=ID, pass_=1).reference == first.reference
    assert story.take("tie-bolt:1", "36 N·m", id=ID, act="tighten").reference == first.reference


@pytest.mark.parametrize("act", [None, "tighten", "check"])
def test_a_reading_that_became_a_check_is_found_again(story: Story, act: str | None) -> None:
    """On a tight bolt it is a check, whatever was asked; asked again the same way it is the first answer."""
    story.bench({**WHEEL, "count": 1})
    story.take("tie-bolt:1", "100 N·m")
    first = story.take("tie-bolt:1", "100 N·m", id=ID, act=act)
    assert first.act == "check"
    assert story.take("tie-bolt:1", "100 N·m", id=ID, act=act).reference == first.reference


def test_a_repeated_refusal_is_the_same_refusal(story: Story) -> None:
    """A refusal is an answer as well: with its grounds, and taken once."""
    story.bench()
    story.wrench("W-0402", on="2025-11-10")
    first = story.take("tie-bolt:1", "100 N·m", "W-0402", id=ID)
    again = story.take("tie-bolt:1", "100 N·m", "W-0402", id=ID)
    assert (again.reference, again.outcome, again.grounds) == (first.reference, "refused", first.grounds)


def test_an_id_of_another_kind_of_entry(story: Story) -> None:
    """Ids belong to the whole chain: one that a report bears is none for a reading."""
    from torquelog.book.writing import writing

    story.bench()
    with writing(story.book) as w:
        w.append(story.signed["TK"], "report", {"tool": "W-0417", "what": "found"}, id=ID)
    with story.refused("id-reused"):
        story.take("tie-bolt:1", "100 N·m", id=ID)


def test_an_answer_is_looked_up_by_its_id(story: Story) -> None:
    """After trouble during a commit: what is on record is found, what is not is not."""
    story.bench()
    assert look_up(story.book, ID) is None
    first = story.take("tie-bolt:1", "100 N·m", id=ID)
    found = look_up(story.book, ID)
    assert found is not None
    assert found.reference == first.reference


def test_a_repeat_after_the_job_was_closed(story: Story) -> None:
    """The answer was lost, the job is closed meanwhile: it is told again all the same."""
    story.bench({**WHEEL, "count": 1})
    first = story.take("tie-bolt:1", "100 N·m", id=ID)
    assert story.close()
    assert story.take("tie-bolt:1", "100 N·m", id=ID).reference == first.reference
