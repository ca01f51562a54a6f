"""The list of refusals: the same however many there are, though many are not held at once."""

import gc
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli.terminal import play
from tests.support.story import WHEEL, Story
from torquelog.quality import refusals as listing
from torquelog.quality.refusals import Refusal, refusals

FORMS = (["refused"], ["refused", "--json"], ["refused", "--csv"], ["refused", "--wrench", "W-9"])


@pytest.fixture(name="story")
def _story(tmp_path: Path) -> Iterator[Story]:
    """An invented station on which something happens."""
    story = Story(tmp_path)
    yield story
    story.book.close()


@pytest.fixture
def refused(story: Story) -> Story:
    """Six attempts with wrenches whose calibration is over, by two people."""
    story.bench(WHEEL)
    for wrench in ("W-8", "W-9"):
        story.wrench(wrench, on="2020-01-02")
        for item in (1, 2, 3):
            by = "TK" if item < 3 else "IK"
            assert story.take(f"tie-bolt:{item}", "100 N·m", wrench, by=by).outcome == "refused"
    return story


def told(story: Story) -> list[tuple[int, str, str]]:
    """What the command says in each of its forms."""
    played = [play(["--db", str(story.book.path), *words]) for words in FORMS]
    return [(each.exit, each.out, each.err) for each in played]


def alive() -> int:
    """How many refusals are held anywhere."""
    return sum(type(each) is Refusal for each in gc.get_objects())


def test_many_refusals_are_told_as_few(refused: Story, monkeypatch: pytest.MonkeyPatch) -> None:
    """As text, as JSON, as CSV, and of one wrench alone, whether they are kept or read again."""
    few = told(refused)
    assert [each[0] for each in few] == [0] * len(FORMS)
    assert few[0][1].startswith("6 attempts refused.")
    assert few[0][1].endswith("Next: torquelog wrench show W-9\n")
    for most in (6, 5, 1, 0):
        monkeypatch.setattr(listing, "KEPT", most)
        assert told(refused) == few


def test_no_more_are_held_than_are_kept(refused: Story, monkeypatch: pytest.MonkeyPatch) -> None:
    """Up to that many a tuple; of more only the newest, and each is told again as often as is asked."""
    assert isinstance(refusals(refused.book).rows, tuple)
    assert not refused.book.connection.in_transaction
    held, grounds = [], listing._grounds
    monkeypatch.setattr(listing, "KEPT", 2)
    monkeypatch.setattr(listing, "_grounds", lambda *given: held.append(alive()) or grounds(*given))
    found = refusals(refused.book)
    assert found.rows is found
    assert refused.book.connection.in_transaction
    assert (len(held), max(held) < 5) == (6, True)
    every = list(found)
    assert (len(found), every[-1], every) == (6, found.newest, list(found))
    assert every[0] in found
    assert None not in found
    assert [each.reading.performed_by for each in refusals(refused.book, by="IK")] == ["IK", "IK"]


def test_where_nothing_was_refused_there_is_no_newest(story: Story) -> None:
    """Nor anything to walk through."""
    found = refusals(story.book)
    assert (found.rows, found.newest, len(found)) == ((), None, 0)
