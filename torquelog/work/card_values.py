"""The single values of a card file: each reader takes what TOML gave and returns what the record keeps.

The record keeps text, lists and objects: a count is its digits, a yes is the word, a no is nothing (`None`).
"""

from collections.abc import Callable, Sequence
from datetime import date, datetime
from fractions import Fraction
from typing import Any, Final

from torquelog.clock import parse_date
from torquelog.errors import TorquelogError
from torquelog.facts.card_form import ALL
from torquelog.ledger.text import gate_identifier, gate_name, gate_text
from torquelog.torque.limits import parse_basis, parse_spec
from torquelog.torque.number import display
from torquelog.torque.sequence import MOST_FASTENERS, parse_passes
from torquelog.torque.units import parse_percent

Read = Callable[[object], Any]

MOST_NAMED: Final = 100
"""Entries of a list of words, hardware or steps."""


def wrong(what: str, hint: str = "") -> TorquelogError:
    """The error for a value of another form than its key takes."""
    return TorquelogError("card-value", what, hint=hint)


def shown(value: object) -> str:
    """A value of a TOML file for a message, cut short."""
    text = str(value).lower() if isinstance(value, bool) else str(value)
    text = f'"{text}"' if isinstance(value, str) else text
    return text if len(text) <= 60 else f"{text[:60]}…"


def text(value: object) -> str:
    """Words."""
    return gate_text(_string(value), "it")


def identifier(value: object) -> str:
    """A name in capitals, such as a card's."""
    return gate_identifier(_string(value), "a name")


def name(value: object) -> str:
    """A name in small letters, such as a group's."""
    return gate_name(_string(value), "a name")


def yes(value: object) -> str | None:
    """`true` or `false`."""
    if not isinstance(value, bool):
        raise wrong(
            f"{shown(value)} is neither true nor false.", "Write true or false, without quotation marks."
        )
    return "yes" if value else None


def day(value: object) -> str:
    """A date, written as TOML has it or as text."""
    if isinstance(value, datetime):
        raise wrong(f"{shown(value)} is a time, and a date is needed.", "Write it like 2026-11-02.")
    return (value if isinstance(value, date) else parse_date(_string(value))).isoformat()


def whole(value: object, least: int, most: int) -> str:
    """A whole number without quotation marks, both ends included."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise wrong(f"{shown(value)} is not a whole number.", "Write digits alone, like 12.")
    if not least <= value <= most:
        raise wrong(f"{shown(value)} is not from {least} to {most}.")
    return str(value)


def count(value: object) -> str:
    """How many fasteners."""
    return whole(value, 1, MOST_FASTENERS)


def neighbours(value: object) -> str:
    """How many on each side of a failed one, or all."""
    return ALL if value == ALL else whole(value, 0, MOST_FASTENERS - 1)


def one_of(*words: str) -> Read:
    """One word of a closed list."""

    def read(value: object) -> str:
        word = _string(value).strip().lower()
        if word not in words:
            raise wrong(f"{shown(value)} is not one of {', '.join(words)}.", _close(word, words))
        return word

    return read


def texts(value: object) -> list[str]:
    """Words, or a list of them."""
    if isinstance(value, str):
        return [text(value)]
    return [text(each) for each in _list(value, "words")]


def locking(value: object) -> list[str]:
    """Names of what locks a fastener, in small letters with blanks."""
    found = [" ".join(each.lower().split()) for each in texts(value)]
    for each in found:
        gate_name(each.replace(" ", "-"), "a locking")
    return found


def torque(value: object) -> str:
    """The text of a torque or its limits, not yet read: its tolerance may stand in a key of its own."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise wrong(
            f"{shown(value)} is a number, and a torque is text with its unit.",
            f'Write it in quotation marks, with its unit and its zeros, like "{shown(value)} N·m".',
        )
    return gate_text(_string(value), "the torque")


def limits(value: object) -> str:
    """The limits of a torque, as `min 11 lbf·in`."""
    return parse_spec(torque(value)).text


def tolerance(value: object) -> Fraction:
    """A percentage beside a single torque; not kept by itself."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise wrong(f"{shown(value)} has no percent sign.", f'Write it like "{shown(value)} %".')
    return parse_percent(_string(value))


def basis(value: object) -> str:
    """What the torque is counted from, in its one written form."""
    words = " ".join(_string(value).split())
    parse_basis(words)
    return words


def order(value: object) -> str | list[int]:
    """A pattern's name, or numbers; which numbers there must be is known once the count is."""
    if isinstance(value, str):
        return gate_name(value, "a pattern")
    numbers = _list(value, "numbers", MOST_FASTENERS)
    for each in numbers:
        whole(each, 1, MOST_FASTENERS)
    return numbers


def passes(value: object) -> list[str]:
    """Percentages that rise to 100."""
    shares = parse_passes([_string(each) for each in _list(value, "percentages")])
    return [f"{display(share * 100, 24)} %" for share in shares]


def turn(value: object) -> str:
    """By how much a nut is turned: flats or degrees."""
    words = " ".join(_string(value).replace("°", " ° ").split())
    number, _, unit = words.partition(" ")
    units = {"flat": "flats", "flats": "flats", "°": "°", "deg": "°", "degrees": "°"}
    plain = number.replace(".", "", 1)
    if unit not in units or not (plain.isascii() and plain.isdigit() and len(plain) <= 6) or not int(plain):
        raise wrong(f"{shown(value)} is not a turn.", 'Write it like "2 flats" or "60°".')
    return f"{number}°" if units[unit] == "°" else f"{number} {units[unit]}"


def tables(value: object) -> list[Any]:
    """A list of tables, read one by one afterwards."""
    given = _list(value, "tables", MOST_NAMED)
    for each in given:
        if not isinstance(each, dict):
            raise wrong(f"{shown(each)} is not a table.", "Write each between braces, like { id = … }.")
    return given


def _string(value: object) -> str:
    if not isinstance(value, str):
        raise wrong(f"{shown(value)} is not text.", "Write it in quotation marks.")
    return value


def _list(value: object, of_what: str, most: int = MOST_NAMED) -> list[Any]:
    if not isinstance(value, list):
        raise wrong(f"{shown(value)} is not a list of {of_what}.", "Write it between [ and ].")
    if not 0 < len(value) <= most:
        raise wrong(f"It lists {len(value)} {of_what}; from 1 to {most} are taken.")
    return value


def _close(word: str, words: Sequence[str]) -> str:
    from difflib import get_close_matches

    near = get_close_matches(word, words, n=1)
    return f"Did you mean {near[0]}?" if near else ""
