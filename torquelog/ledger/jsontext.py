"""JSON in two strict ways: one canonical text a value (RFC 8785), and reading what others wrote.

Canonical values are texts, whole numbers, lists and objects: a record has no null, no truth values and no
floating point, so nothing in it depends on how a machine prints numbers.
"""

import json
from functools import cache
from json.encoder import encode_basestring as quoted
from typing import Any, Final, NoReturn

from torquelog.errors import TorquelogError

LARGEST_INTEGER: Final = 2**53 - 1
"""RFC 8785 3.2.2.3 by way of I-JSON: the largest whole number that every reader keeps."""

DEEPEST: Final = 20
"""How many lists and objects may lie in one another."""

LINE_BYTES: Final = 64 * 1024
"""The longest line of JSON that is read from outside."""


def canonical(value: object) -> str:
    """The one text of a value made of texts, whole numbers, lists and objects (RFC 8785).

    Raises:
        TorquelogError: entry-form for null, true, false, parts of numbers, half characters, and what lies too
            deep or is too large.
    """
    text = write(value, DEEPEST, integers=True)
    demand_characters(text)
    return text


class Fixed(dict[str, Any]):
    """A member of a body, an object, that is never changed again: its canonical text is written once, beside it.

    Attributes:
        text: the canonical text.
    """

    __slots__ = ("text",)

    def __init__(self, members: dict[str, Any]) -> None:
        super().__init__(members)
        self.text = write(members, DEEPEST - 1, integers=False)

    def _fixed(self, *_: object, **__: object) -> NoReturn:
        raise TypeError("what is fixed is not changed")

    __setitem__ = __delitem__ = __ior__ = _fixed
    clear = pop = popitem = setdefault = update = _fixed


def write(value: object, depth: int, *, integers: bool) -> str:
    """The canonical text, not yet looked through for half characters (RFC 8785 3.2).

    Args:
        value: what to write.
        depth: how many levels may follow.
        integers: whether whole numbers may stand here.

    Raises:
        TorquelogError: entry-form.
    """
    if type(value) is str:
        return quoted(value)  # 3.2.2.2: the short escapes, \u00xx in small letters, all else as it is
    if type(value) is int and integers and -LARGEST_INTEGER <= value <= LARGEST_INTEGER:
        return str(value)
    if type(value) is dict:
        return _object_text(value, _deeper(depth), integers)
    if type(value) is list:
        return _list_text(value, _deeper(depth), integers)
    raise entry_form(f"{value!r:.40} has no place in it")


def ordered(names: dict[Any, Any]) -> list[str]:
    """Names by their UTF-16 code units (RFC 8785 3.2.3); for ASCII that is the order of the characters.

    Raises:
        TorquelogError: entry-form where one is no text.
    """
    try:
        if "".join(names).isascii():
            return sorted(names)
    except TypeError:
        raise entry_form("the name of a member is no text") from None
    return sorted(names, key=lambda name: str(name).encode("utf-16-be", "surrogatepass"))


def _deeper(depth: int) -> int:
    if depth == 0:
        raise entry_form(f"it has more than {DEEPEST} levels")
    return depth - 1


# Texts, which most cells are, are written on the spot in these two: the calls saved halve the time.


def _object_text(value: dict[Any, Any], depth: int, integers: bool) -> str:
    members = []
    for name in ordered(value):
        cell = value[name]
        text = quoted(cell) if type(cell) is str else write(cell, depth, integers=integers)
        members.append(f"{quoted(name)}:{text}")
    return f"{{{','.join(members)}}}"


def _list_text(value: list[Any], depth: int, integers: bool) -> str:
    cells = [quoted(cell) if type(cell) is str else write(cell, depth, integers=integers) for cell in value]
    return f"[{','.join(cells)}]"


def demand_characters(text: str) -> None:
    """Raise entry-form where a text holds half a character (a lone surrogate), which UTF-8 cannot write."""
    if not text.isascii():
        try:
            text.encode()
        except UnicodeEncodeError:
            raise entry_form("it holds half a character") from None


def entry_form(why: str) -> TorquelogError:
    """The error for what is no entry, with what was found out of place."""
    return TorquelogError(
        "entry-form",
        "What stands there is not an entry as torquelog writes it.",
        why=f"Looked at closely, {why}.",
        hint="If it was copied, copy it again; if it stands in a record: torquelog verify",
    )


def strict_json(text: str, *, longest: int = LINE_BYTES) -> Any:
    """The value of a JSON text that a person or a program handed in.

    Args:
        text: the JSON text.
        longest: how many bytes of UTF-8 it may have.

    Raises:
        TorquelogError: json-long; json-form for what is no JSON, a name given twice, NaN, a number with point
            or exponent, more than 20 levels, half a character.
    """
    _demand_size(text, longest)
    try:
        value = _strict().decode(text)
    except json.JSONDecodeError as error:
        raise _json_form(f"It is not JSON at character {error.pos + 1}.") from None
    except RecursionError:
        raise _json_form(f"It has more than {DEEPEST} levels.") from None
    # The text has been encoded, so half a character comes from an escape alone; with few brackets nothing lies deep.
    if "\\" in text or text.count("{") + text.count("[") > DEEPEST:
        _look_through(value, DEEPEST)
    return value


@cache
def _strict() -> json.JSONDecoder:
    return json.JSONDecoder(
        object_pairs_hook=_without_twins,
        parse_float=_no_number,
        parse_constant=_no_number,
        parse_int=_integer,
    )


def _demand_size(text: str, longest: int) -> None:
    try:
        size = len(text) if len(text) > longest else len(text.encode())
    except UnicodeEncodeError:
        raise _json_form("It is not written in UTF-8.") from None
    if size > longest:
        raise TorquelogError(
            "json-long",
            f"The line has more than {longest:,} bytes.",
            hint="Write shorter lines, one thing each.",
        )


def _without_twins(pairs: list[tuple[str, object]]) -> dict[str, object]:
    value = dict(pairs)
    if len(value) != len(pairs):
        names = [name for name, _ in pairs]
        twin = next(name for name in names if names.count(name) > 1)
        raise _json_form(f'The name "{twin[:64]}" is given twice.')
    return value


def _integer(text: str) -> int:
    if len(text) > 17 or abs(int(text)) > LARGEST_INTEGER:
        return _no_number(text)
    return int(text)


def _no_number(text: str) -> int:
    raise _json_form(f'{text[:32]} is not taken as a number; write it as text: "{text[:32]}".')


def _look_through(value: object, depth: int) -> None:
    if type(value) is str and not value.isascii():
        try:
            value.encode()
        except UnicodeEncodeError:
            raise _json_form("It holds half a character.") from None
    elif type(value) is dict or type(value) is list:
        if depth == 0:
            raise _json_form(f"It has more than {DEEPEST} levels.")
        for item in [*value, *value.values()] if type(value) is dict else value:
            _look_through(item, depth - 1)


def _json_form(why: str) -> TorquelogError:
    return TorquelogError(
        "json-form", "The line cannot be read.", why=why, hint="Write one JSON object a line."
    )
