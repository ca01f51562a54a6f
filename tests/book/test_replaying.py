"""Which entries say that another chain was taken in."""

import pytest

from tests.support.story import Story
from torquelog.book.replaying import named
from torquelog.ledger import store


@pytest.mark.parametrize(
    "change",
    [
        ('"kind":"taken-in"', '"kind":"taken-in" '),
        ('"through":"1"', '"through":"one"'),
        ('"through":"1"', '"thorough":"1"'),
    ],
)
def test_an_entry_that_does_not_say_all_of_it_names_nothing(story: Story, change: tuple[str, str]) -> None:
    """What is wrong with it is told where it stands, and not where its chain is looked for."""
    first = store.entry_at(story.book.connection, "QHR", 1)
    assert first is not None
    body = f'"body":{{"code":"LGW","digest":"{"ab" * 32}","through":"1"}}'
    start, end = first.text.index('"body":'), first.text.index(',"id":')
    text = (first.text[:start] + body + first.text[end:]).replace('"kind":"station"', '"kind":"taken-in"')
    found = named(text)
    assert found is not None
    assert found.body["code"] == "LGW"
    assert named(text.replace(*change)) is None
    assert named(first.text) is None
