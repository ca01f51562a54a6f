"""Two technicians at one job: each fastener is shown to one at a time, whatever becomes of the other."""

import os
from pathlib import Path

import pytest

from tests.support.story import WHEEL, Story
from tests.work.guided import Guided
from torquelog.work import doing
from torquelog.work.claims import LASTS, SUFFIX, Claims

ALIVE = os.getppid()
GONE = 2**22 + 1


class Pair:
    """TK and IK at the same bolts, each in a process of their own."""

    def __init__(self, story: Story, other: int = ALIVE) -> None:
        self.story = story
        path = str(story.book.path)
        self.tk, self.ik = Guided(story), Guided(story, person="IK")
        self.claims = {"TK": Claims(path, "J-1", "TK"), "IK": Claims(path, "J-1", "IK", process=other)}

    def at(self, guided: Guided) -> str:
        """What a person is asked, once others are looked for."""
        fresh = doing.look_again(self.story.book, guided.session, guided.session.others)
        guided.session = self.claims[guided.person].settle(fresh, self.story.clock.now())
        return guided.at


@pytest.fixture
def story_of_three(story: Story) -> Story:
    """Three bolts in one pass."""
    story.bench(WHEEL)
    return story


def test_two_people_are_never_shown_the_same_bolt(story_of_three: Story) -> None:
    """They take turns through the round, and the second waits for the last bolt of the first."""
    pair = Pair(story_of_three)
    assert pair.at(pair.tk) == "wrench tie-bolt:1 pass 1"
    assert pair.at(pair.ik) == "wrench tie-bolt:2 pass 1"
    pair.tk.types("W-0417 100", "")
    assert pair.at(pair.tk) == "reading tie-bolt:3 pass 1"
    pair.ik.types("W-0417 100", "")
    assert pair.at(pair.ik) == "waiting"
    pair.tk.types("")
    assert pair.at(pair.ik) == "end"


def test_who_stops_lets_go(story_of_three: Story) -> None:
    """The other is shown that bolt."""
    pair = Pair(story_of_three)
    pair.at(pair.tk)
    assert pair.at(pair.ik) == "wrench tie-bolt:2 pass 1"
    pair.claims["TK"].let_go()
    assert pair.at(pair.ik) == "wrench tie-bolt:1 pass 1"


def test_a_process_that_is_gone_holds_nothing(story_of_three: Story) -> None:
    """After a power loss nobody waits for it."""
    pair = Pair(story_of_three, other=GONE)
    pair.at(pair.ik)
    assert pair.at(pair.tk) == "wrench tie-bolt:1 pass 1"


def test_without_a_sign_of_life_a_place_is_free_after_ten_minutes(story_of_three: Story) -> None:
    """A terminal that was left standing holds up nobody for longer."""
    pair = Pair(story_of_three)
    pair.at(pair.ik)
    assert pair.at(pair.tk) == "wrench tie-bolt:2 pass 1"
    story_of_three.clock.moment += LASTS + 1
    assert pair.at(pair.tk) == "wrench tie-bolt:1 pass 1"


@pytest.mark.parametrize("content", [b"", b"{", b"[1]", b'[{"job": "J-1"}]', b"\xff", b"null"])
def test_a_torn_file_is_nothing(story_of_three: Story, content: bytes) -> None:
    """Whatever stands in it, the work goes on, and nothing of it reaches the record."""
    path = Path(str(story_of_three.book.path) + SUFFIX)
    path.write_bytes(content)
    before = story_of_three.entries()
    pair = Pair(story_of_three)
    assert pair.at(pair.tk) == "wrench tie-bolt:1 pass 1"
    assert pair.at(pair.ik) == "wrench tie-bolt:2 pass 1"
    assert story_of_three.entries() == before


def test_where_the_file_cannot_be_had_everybody_is_shown_everything(story_of_three: Story) -> None:
    """A link in its place is not followed, and nobody is stopped by that."""
    path = Path(str(story_of_three.book.path) + SUFFIX)
    path.symlink_to(path.with_name("elsewhere"))
    pair = Pair(story_of_three)
    assert pair.at(pair.tk) == pair.at(pair.ik) == "wrench tie-bolt:1 pass 1"
    assert not path.with_name("elsewhere").exists()
