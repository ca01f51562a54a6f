"""The one gate that every text from a person or a file passes before it is kept.

What comes out is in Unicode's composed form (NFC), shows on a screen as what it is, and is of bounded length.
Unseen marks are refused instead of dropped: whoever pasted them should know what was in the text.
"""

import unicodedata
from functools import lru_cache
from typing import Final

from torquelog.errors import TorquelogError

LONGEST_TEXT: Final = 2000
"""Characters in a text, after composing."""

LONGEST_NAME: Final = 32
"""Characters in an identifier or a name."""

LONGEST_STATION: Final = 8
"""Characters in a station's code."""

CAPITALS_AND_DIGITS: Final = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789")
IDENTIFIER: Final = CAPITALS_AND_DIGITS | frozenset("._/-")
NAME: Final = frozenset("abcdefghijklmnopqrstuvwxyz0123456789-")

REFUSED_CATEGORIES: Final = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})
"""Unicode's controls, format marks (bidi, zero width), surrogates, line and paragraph separators."""

BLANK_MARKS: Final = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u3164\uffa0")
"""Characters that count as letters or accents and show nothing."""


def gate_text(text: str, field: str, *, reason: bool = False) -> str:
    """A text as it is kept: composed, with plain blanks, without blanks at its ends.

    Args:
        text: what was written.
        field: what it is, for the message, such as "the name".
        reason: whether it is a reason, where lines may be broken.

    Raises:
        TorquelogError: text-mark (controls, bidi or zero-width marks), text-surrogate (half a character),
            text-empty, text-long.
    """
    if not (text.isascii() and text.isprintable()) and len(text) <= 4 * LONGEST_TEXT:
        text = _composed(text.replace("\r\n", "\n") if reason else text, field, reason)
    text = text.strip(" \n")
    if not text:
        raise TorquelogError(
            "text-empty", f"There is no text in {field}.", hint=f"Write something for {field}."
        )
    if len(text) > LONGEST_TEXT:
        raise TorquelogError(
            "text-long",
            f"The text in {field} has {len(text):,} characters.",
            why=f"At most {LONGEST_TEXT:,} are kept.",
            hint="Shorten it, and name the document that says the rest.",
        )
    return text


def is_gated(text: str) -> bool:
    """Whether a text is exactly what the gate lets through, line breaks included."""
    try:
        return gate_text(text, "it", reason=True) == text
    except TorquelogError:
        return False


def is_identifier(value: object) -> bool:
    """Whether a value is an identifier as kept: 1 to 32 of A-Z 0-9 . _ / - , beginning with A-Z or 0-9."""
    return (
        type(value) is str
        and 0 < len(value) <= LONGEST_NAME
        and IDENTIFIER.issuperset(value)
        and value[0] in CAPITALS_AND_DIGITS
    )


def is_name(value: object) -> bool:
    """Whether a value is a name as it is kept: 1 to 32 of a-z 0-9 - , beginning with a-z."""
    return (
        type(value) is str
        and 0 < len(value) <= LONGEST_NAME
        and NAME.issuperset(value)
        and value[0].isalpha()
    )


def is_station(value: object) -> bool:
    """Whether a value is a station's code as it is kept: 2 to 8 of A-Z 0-9, beginning with A-Z."""
    return (
        type(value) is str
        and 2 <= len(value) <= LONGEST_STATION
        and CAPITALS_AND_DIGITS.issuperset(value)
        and value[0].isalpha()
    )


@lru_cache(maxsize=256)
def gate_identifier(text: str, field: str) -> str:
    """The identifier of a person, tool, assembly, aircraft, card or job, in capitals.

    Raises:
        TorquelogError: identifier-form; see `is_identifier`.
    """
    upper = _upper(text)
    if not is_identifier(upper):
        raise TorquelogError(
            "identifier-form",
            f'"{_shown(text)}" cannot be {field}.',
            why="It takes 1 to 32 letters A to Z, digits, and . _ / - , beginning with a letter or a digit.",
            hint='Write it like "TW-0117".',
        )
    return upper


def gate_name(text: str, field: str) -> str:
    """The name of a group, step, check or kind of assembly, in small letters.

    Raises:
        TorquelogError: name-form; see `is_name`.
    """
    lower = text.strip(" ").lower() if text.isascii() else ""
    if not is_name(lower):
        raise TorquelogError(
            "name-form",
            f'"{_shown(text)}" cannot be {field}.',
            why="It takes 1 to 32 letters a to z, digits and hyphens, beginning with a letter.",
            hint='Write it like "tie-bolt".',
        )
    return lower


def gate_station(text: str) -> str:
    """The code of a station, in capitals.

    Raises:
        TorquelogError: station-form; see `is_station`.
    """
    upper = _upper(text)
    if not is_station(upper):
        raise TorquelogError(
            "station-form",
            f'"{_shown(text)}" cannot be a station code.',
            why="It takes 2 to 8 letters A to Z and digits, beginning with a letter.",
            hint='Write it like "QHR".',
        )
    return upper


def _upper(text: str) -> str:
    # ASCII is asked first: capitals of other letters can be ASCII ("ı" gives "I", "ß" gives "SS").
    return text.strip(" ").upper() if text.isascii() else ""


def _composed(text: str, field: str, reason: bool) -> str:
    for place, character in enumerate(text, start=1):
        if _refused(character) and not (reason and character == "\n"):
            raise _mark(character, place, field)
    composed = unicodedata.normalize("NFC", text)
    return "".join(" " if unicodedata.category(character) == "Zs" else character for character in composed)


def _refused(character: str) -> bool:
    if character <= "~":
        return character < " "
    if unicodedata.category(character) in REFUSED_CATEGORIES or character in BLANK_MARKS:
        return True
    point = ord(character)
    # Variation selectors show nothing themselves; the last two of each plane are no characters.
    return 0xFE00 <= point <= 0xFE0F or 0xE0100 <= point <= 0xE01EF or point & 0xFFFE == 0xFFFE


def _mark(character: str, place: int, field: str) -> TorquelogError:
    point = f"U+{ord(character):04X}"
    if unicodedata.category(character) == "Cs":
        return TorquelogError(
            "text-surrogate",
            f"Character {place} of {field} is half a character ({point}).",
            why="The text was not written in UTF-8, or was cut.",
            hint="Write it again.",
        )
    name = unicodedata.name(character, "a control character").lower()
    return TorquelogError(
        "text-mark",
        f"Character {place} of {field} cannot be seen: {point}, {name}.",
        why="Such marks make a text show as something it is not.",
        hint="Type the text instead of pasting it.",
    )


def _shown(text: str) -> str:
    return text if len(text) <= 2 * LONGEST_NAME else text[: 2 * LONGEST_NAME] + "…"
