"""What an entry's body may hold: each kind's members with their form, and the check that a body keeps to them.

A body is a JSON object whose members bear the names of the command line's options (`_` for `-`). Quantities,
dates and moments are text; a member that does not apply is left out. The tables of members below are what
`docs/reference/entries.md` prints.
"""

import re
from collections.abc import Callable, Mapping
from datetime import date
from functools import lru_cache
from typing import Any, Final, NamedTuple

from torquelog.errors import TorquelogError
from torquelog.kept import kept

Body = Mapping[str, Any]


class Member(NamedTuple):
    """One member of a body.

    Attributes:
        name: the member's name.
        form: one of `FORMS`; a trailing `*` means a list of that form.
        meaning: what it says, and what its absence means where it may be absent.
        needed: whether every body of the kind has it.
    """

    name: str
    form: str
    meaning: str
    needed: bool = True


class Kind(NamedTuple):
    """One kind of entry: its name, the members of its body, and whether it can be struck."""

    name: str
    members: tuple[Member, ...]
    strikable: bool = True


def optional(name: str, form: str, meaning: str) -> Member:
    """A member that may be absent; `meaning` says what absence means."""
    return Member(name, form, meaning, needed=False)


_IDENTIFIER = re.compile(r"[A-Z0-9][A-Z0-9._/-]{0,31}")
_NAME = re.compile(r"[a-z][a-z0-9-]{0,31}")
_STATION = re.compile(r"[A-Z][A-Z0-9]{1,7}")
_REFERENCE = re.compile(r"[A-Z][A-Z0-9]{1,7}-[0-9]{6,12}")
_FASTENER = re.compile(r"[a-z][a-z0-9-]{0,31}:[1-9][0-9]{0,2}")
_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}(Z|[+-]\d\d:\d\d)")
_DATE = re.compile(r"\d{4}-\d\d-\d\d")
_HEX = re.compile(r"([0-9a-f]{2})+")
_COUNT = re.compile(r"0|[1-9][0-9]{0,11}")
_NUMBER = re.compile(r"-?[0-9]{1,40}(\.[0-9]{1,40})?")


Check = Callable[[Any], object]
"""What a value has to fit: answers with something true, or with nothing or a TypeError where it does not."""


def _text_like(pattern: re.Pattern[str]) -> Check:
    # The same few texts come again and again: jobs, tools, persons, outcomes. What is no text raises, and is not kept.
    return lru_cache(maxsize=256)(pattern.fullmatch)


def _date(value: Any) -> bool:
    """Whether it is a day of the calendar, not only written like one."""
    if not isinstance(value, str) or not value.isascii() or not _DATE.fullmatch(value):
        return False
    try:
        date.fromisoformat(value)
    except ValueError:
        return False
    return True


def _quantity(value: Any) -> bool:
    return (
        isinstance(value, dict)
        and value.keys() == {"value", "unit"}
        and isinstance(value["unit"], str)
        and isinstance(value["value"], str)
        and _NUMBER.fullmatch(value["value"]) is not None
    )


def _kdf(value: Any) -> bool:
    return (
        isinstance(value, dict)
        and value.keys() == {"name", "n", "r", "p", "salt"}
        and value["name"] == "scrypt"
        and all(type(value[name]) is int for name in ("n", "r", "p"))
        and isinstance(value["salt"], str)
    )


FORMS: Final[dict[str, tuple[str, Check]]] = {
    "text": ("text that passed the gate", lambda value: isinstance(value, str) and value != ""),
    "identifier": ("a name in capitals", _text_like(_IDENTIFIER)),
    "name": ("a name in small letters", _text_like(_NAME)),
    "station": ("a station code", _text_like(_STATION)),
    "reference": ("an entry, as QHR-000123", _text_like(_REFERENCE)),
    "fastener": ("group and number, as tie-bolt:7", _text_like(_FASTENER)),
    "moment": ("RFC 3339 with three decimals and the offset of the place, or Z", _text_like(_MOMENT)),
    "date": ("a calendar date, as 2026-11-25", _date),
    "hex": ("bytes in lower-case hexadecimal", _text_like(_HEX)),
    "count": ("a whole number as text", _text_like(_COUNT)),
    "number": ("a decimal number as text", _text_like(_NUMBER)),
    "yes": ("the word yes; absent means no", lambda value: value == "yes"),
    "quantity": ("{value, unit}, both text", _quantity),
    "kdf": ("{name, n, r, p, salt}; n, r and p are JSON integers", _kdf),
    "object": ("an object, described beside the kind", lambda value: isinstance(value, dict)),
}


def check_body(kind: Kind, body: Body) -> None:
    """Raise `body-form` where a body lacks a needed member, has an unknown one, or one of another form."""
    needed, checks = _checks(kind)
    if not needed <= body.keys() or not _fits_all(checks, body):
        _complain(kind, body, checks)


def _fits_all(checks: Mapping[str, Check], body: Body) -> bool:
    """Whether each member of a body is known and has its form."""
    try:
        for name, value in body.items():
            if not checks[name](value):
                return False
    except (KeyError, TypeError):
        return False
    return True


def _complain(kind: Kind, body: Body, checks: Mapping[str, Check]) -> None:
    """Say what is out of place in a body: an unknown member first, else the first one by the kind's order."""
    for name in body:
        if name not in checks:
            raise TorquelogError(
                "body-newer",
                f"An entry of kind {kind.name} has a member this program does not know: {name}.",
                hint="A newer torquelog wrote it; use that one.",
            )
    for member in kind.members:
        if member.name not in body:
            if member.needed:
                raise _body_form(kind, member, "is missing")
        elif not _fits_one(checks[member.name], body[member.name]):
            raise _body_form(kind, member, f"is not {FORMS[member.form.rstrip('*')][0]}")


def _fits_one(check: Check, value: object) -> bool:
    try:
        return bool(check(value))
    except TypeError:
        return False


@kept
def _checks(kind: Kind) -> tuple[frozenset[str], Mapping[str, Check]]:
    """The names that a kind's body needs, and what the value of each of its members has to fit."""
    needed = frozenset(member.name for member in kind.members if member.needed)
    return needed, {member.name: _fits(member.form) for member in kind.members}


def _fits(form: str) -> Check:
    if not form.endswith("*"):
        return FORMS[form][1]
    check = FORMS[form[:-1]][1]
    return lambda value: isinstance(value, list) and all(check(item) for item in value)


def _body_form(kind: Kind, member: Member, what: str) -> TorquelogError:
    return TorquelogError("body-form", f"An entry of kind {kind.name} cannot be taken: {member.name} {what}.")
