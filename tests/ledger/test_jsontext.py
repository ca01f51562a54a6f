"""JSON from outside, read strictly: what is said of what is refused, to the character."""

import json

import pytest

from torquelog.errors import TorquelogError
from torquelog.ledger.jsontext import LARGEST_INTEGER, canonical, strict_json


def refusal(text: str, **named: int) -> tuple[str, str, str]:
    """The code, what and why of a text that is not read."""
    with pytest.raises(TorquelogError) as caught:
        strict_json(text, **named)
    return caught.value.code, caught.value.what, caught.value.why


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("x", "It is not JSON at character 1."),
        ('{"a":x}', "It is not JSON at character 6."),
        (f'{{"{"n" * 65}":1,"{"n" * 65}":2}}', f'The name "{"n" * 64}" is given twice.'),
        ("0.5", '0.5 is not taken as a number; write it as text: "0.5".'),
        ("1" * 33, f'{"1" * 32} is not taken as a number; write it as text: "{"1" * 32}".'),
        ("[" * 21 + "]" * 21, "It has more than 20 levels."),
        ("[" * 30_000, "It has more than 20 levels."),
        ('["\\ud800"]', "It holds half a character."),
        ('"\ud800"', "It is not written in UTF-8."),
    ],
)
def test_what_is_not_read_is_named(text: str, why: str) -> None:
    """Where it is, or which name or number, in at most so many characters as a line takes."""
    assert refusal(text) == ("json-form", "The line cannot be read.", why)


def test_twenty_levels_are_read() -> None:
    """As many as are written, of lists and of objects."""
    for opening, closing in (("[", "]"), ('{"a":', "}")):
        text = opening * 20 + '"x"' + closing * 20
        assert json.dumps(strict_json(text), separators=(",", ":")) == text
        beside = "[" + opening * 19 + '"x"' + closing * 19 + ",{},[]]"
        assert json.dumps(strict_json(beside), separators=(",", ":")) == beside
        assert refusal(f"[{text},[],[]]")[2] == "It has more than 20 levels."


def test_the_largest_numbers_are_read() -> None:
    """On both sides of zero, and no further."""
    for number in (LARGEST_INTEGER, -LARGEST_INTEGER, 0):
        assert strict_json(str(number)) == number
    for text in (f"{LARGEST_INTEGER + 1}", f"{-LARGEST_INTEGER - 1}", "1" * 17, "-" + "1" * 17, "7" * 5000):
        assert "is not taken as a number" in refusal(text)[2]


def test_bytes_are_counted_and_not_characters() -> None:
    """A letter of two bytes is two; of what is longer in characters already, nothing else is looked at."""
    assert strict_json('"é"', longest=4) == "é"
    assert refusal('"é"', longest=3)[:2] == ("json-long", "The line has more than 3 bytes.")
    assert refusal('"\ud800"', longest=3)[0] == "json-form"
    assert refusal('"\ud800"', longest=2)[0] == "json-long"


@pytest.mark.parametrize(
    ("value", "why"),
    [
        (None, "None has no place in it"),
        ("é\ud800", "it holds half a character"),
        ({1: "a"}, "the name of a member is no text"),
        (b"x" * 99, f"b'{'x' * 38} has no place in it"),
    ],
)
def test_what_is_not_written_is_named(value: object, why: str) -> None:
    """With its first forty characters."""
    with pytest.raises(TorquelogError) as caught:
        canonical(value)
    assert (caught.value.what, caught.value.why, caught.value.hint) == (
        "What stands there is not an entry as torquelog writes it.",
        f"Looked at closely, {why}.",
        "If it was copied, copy it again; if it stands in a record: torquelog verify",
    )
