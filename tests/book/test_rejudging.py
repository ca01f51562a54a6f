"""What a reading and a strike say of themselves, beside what comes out of them again."""

from typing import Any

import pytest

from tests.book.tampering import tamper
from tests.support.story import Story
from torquelog.book.rejudging import judged_again, strike_lacks_its_mark
from torquelog.ledger.form import Entry, parse_entry, parse_reference
from torquelog.ledger.store import entry_at


def entry_of(story: Story, name: str) -> Entry:
    """An entry by its name."""
    stored = entry_at(story.book.connection, *parse_reference(name))
    assert stored is not None
    return parse_entry(stored.text)


@pytest.fixture
def strike(story: Story) -> Entry:
    """A strike that takes away a reading below the limits, and waits to be confirmed."""
    story.bench()
    return entry_of(story, story.correct(story.take("tie-bolt:1", "60 N·m").reference).strike)


def without_mark(strike: Entry, entry: str = "") -> Entry:
    """The strike without the mark that it waits; of another entry where one is named."""
    body = {name: value for name, value in strike.body.items() if name != "awaits"}
    return strike._replace(body={**body, "entry": entry or body["entry"]})


def test_a_strike_that_leaves_its_mark_out_is_found_out(story: Story, strike: Entry) -> None:
    """Where the entry it takes away is not here yet, nothing is said of it."""
    connection = story.book.connection
    assert not strike_lacks_its_mark(connection, strike)
    assert strike_lacks_its_mark(connection, without_mark(strike))
    assert not strike_lacks_its_mark(connection, without_mark(strike, "LGW-000007"))


@pytest.mark.parametrize("text", ["'not an entry'", "CAST(x'ff' AS TEXT)"])
def test_of_an_entry_that_cannot_be_read_a_strike_says_nothing(
    story: Story, strike: Entry, text: str
) -> None:
    """That is found where the entry stands."""
    tamper(story.book.path, f"UPDATE entry SET text = {text} WHERE number = {int(strike.body['entry'][-6:])}")
    assert not strike_lacks_its_mark(story.book.connection, without_mark(strike))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"act": "tighten"}, "it is given as tighten and comes out as check"),
        ({"beyond": True}, 'the mark "beyond" should not be there'),
        ({"worn": True}, 'the mark "worn" should not be there'),
        ({"awaits": True}, 'the mark "awaits" should not be there'),
        ({"outcome": "below"}, "its outcome is given as below and comes out as within."),
        (
            {"grounds": [{"code": "past-due", "tool": "W-0417", "message": ""}]},
            "its grounds are given as past-due (W-0417) and come out as none",
        ),
    ],
)
def test_what_a_reading_says_otherwise_than_it_comes_out_is_told(
    story: Story, change: dict[str, Any], said: str
) -> None:
    """Each in a sentence of its own; a check as it was judged has none."""
    story.bench()
    story.take("tie-bolt:1", "100 N·m")
    taken = entry_of(story, story.take("tie-bolt:1", "100 N·m").reference)
    assert judged_again(story.book.connection, taken) == []
    assert judged_again(story.book.connection, taken._replace(body=taken.body | change)) == [said]
