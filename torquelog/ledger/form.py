"""The form of an entry: its canonical text, its digest, and strict reading.

An entry is a JSON object with the ten members of `Entry`, no more and no fewer. Bodies hold texts, lists and
objects only; whole numbers stand in a key's `kdf` alone. Two programs that agree on what an entry says write
the same bytes, so a digest of the text is a digest of the entry.
"""

import json
from functools import lru_cache
from hashlib import sha256
from json.encoder import encode_basestring as quoted
from typing import Any, Final, NamedTuple, TypeAlias

from torquelog.clock import from_utc_text
from torquelog.errors import TorquelogError
from torquelog.ledger.jsontext import (
    DEEPEST,
    LINE_BYTES,
    Fixed,
    canonical,
    demand_characters,
    entry_form,
    ordered,
    strict_json,
    write,
)
from torquelog.ledger.text import is_identifier, is_name, is_station

__all__ = [
    "BODY_BYTES",
    "CHECKPOINT_CONTEXT",
    "CODE_CONTEXT",
    "ENTRY_CONTEXT",
    "FIRST_PREVIOUS",
    "LARGEST_NUMBER",
    "LINE_BYTES",
    "POSSESSION_CONTEXT",
    "VERSION",
    "Entry",
    "canonical",
    "digest",
    "entry_text",
    "is_hex",
    "is_number",
    "is_utc",
    "parse_entry",
    "parse_reference",
    "reference",
    "strict_json",
]

VERSION: Final = 1

ENTRY_CONTEXT: Final = b"torquelog entry 1\n"
CHECKPOINT_CONTEXT: Final = b"torquelog checkpoint 1\n"
POSSESSION_CONTEXT: Final = b"torquelog possession 1\n"
CODE_CONTEXT: Final = b"torquelog code 1\n"
"""What stands before everything that is signed or hashed for one purpose, so that it serves no other."""

LARGEST_NUMBER: Final = 999_999_999_999
"""The largest number of an entry: a reference has at most twelve digits."""

BODY_BYTES: Final = 256 * 1024
"""The largest body, as canonical text in UTF-8."""

FIRST_PREVIOUS: Final = "0" * 64
"""What entry 1 names as the digest before it."""

KEPT_NAMES: Final = 1000
"""Characters of a body's names, together, up to which their order is kept."""

Layout: TypeAlias = tuple[tuple[str, str], ...]

HEX: Final = frozenset("0123456789abcdef")


class Entry(NamedTuple):
    """One entry of a chain, its members in the order in which the canonical text has them.

    Attributes:
        body: what the entry says, by the members of its kind.
        id: 32 hex digits, random unless the client gave them.
        key: the number of the entry that introduced the signing key, in the same chain.
        kind: what sort of entry it is.
        number: 1, 2, 3 … in this chain.
        previous: the digest of the entry before, 64 hex digits; zeros in entry 1.
        recorded_at: UTC with three decimals and Z.
        signer: the id of the person whose key signs.
        station: the code of the station, which names the chain.
        version: of form and cryptography; 1.
    """

    body: dict[str, Any]
    id: str
    key: int
    kind: str
    number: int
    previous: str
    recorded_at: str
    signer: str
    station: str
    version: int = VERSION


def digest(text: str) -> str:
    """The digest of an entry's canonical text: SHA-256 over a zero byte and its UTF-8, in 64 hex digits."""
    return sha256(b"\0" + text.encode()).hexdigest()


def entry_text(entry: Entry) -> str:
    """The canonical text of an entry, which is what is signed and kept.

    Raises:
        TorquelogError: entry-form where a member has another form.
    """
    return entry_text_around(body_text(entry.body), entry)


def entry_text_around(body: str, entry: Entry) -> str:
    """The same where the canonical text of the body is at hand; the body in `entry` is not looked at."""
    _check_members(entry)
    return (
        f'{{"body":{body},"id":"{entry.id}","key":{entry.key},"kind":"{entry.kind}",'
        f'"number":{entry.number},"previous":"{entry.previous}","recorded_at":"{entry.recorded_at}",'
        f'"signer":"{entry.signer}","station":"{entry.station}","version":{entry.version}}}'
    )


def body_text(body: object) -> str:
    """The canonical text of a body; raises entry-form where it can have none."""
    if type(body) is not dict:
        raise entry_form("its body is no object")
    cells = []
    for name, begun in _layout(tuple(body)):
        value = body[name]
        if type(value) is str:
            cells.append(begun + quoted(value))
        elif type(value) is Fixed:
            cells.append(begun + value.text)
        else:
            cells.append(begun + write(value, DEEPEST - 1, integers=name == "kdf"))
    text = f"{{{','.join(cells)}}}"
    demand_characters(text)
    if len(text) * 4 > BODY_BYTES and len(text.encode()) > BODY_BYTES:
        raise entry_form(f"its body is larger than {BODY_BYTES // 1024} KiB")
    return text


def parse_entry(text: str) -> Entry:
    """The entry that a canonical text stands for. Only a text that `entry_text` writes is read.

    Raises:
        TorquelogError: entry-form for any other text; newer-entry for a version that is not known here.
    """
    if len(text) > BODY_BYTES + LINE_BYTES:
        raise entry_form("it is larger than an entry can be")
    try:
        members = json.loads(text)
    except (ValueError, RecursionError):
        raise entry_form("it is not JSON") from None
    if type(members) is not dict or members.keys() != _MEMBERS:
        raise entry_form("it does not have the ten members of an entry")
    if type(members["version"]) is int and members["version"] > VERSION:
        raise TorquelogError(
            "newer-entry",
            f"The record holds an entry of version {members['version']}, which this program does not know.",
            hint="A newer torquelog wrote it; use that one.",
        )
    entry = Entry(**members)
    # Names given twice, another order, blanks and needless escapes all come back as another text.
    if entry_text(entry) != text:
        raise entry_form("its text is not canonical")
    return entry


def reference(station: str, number: int) -> str:
    """An entry's name for people and other programs: "QHR-000123"."""
    return f"{station}-{number:06}"


def parse_reference(text: str) -> tuple[str, int]:
    """The station and the number of an entry's name; small letters and missing zeros are taken.

    Raises:
        TorquelogError: reference-form.
    """
    station, _, number = text.strip(" ").upper().partition("-")
    counts = text.isascii() and len(number) <= 12 and number.isdecimal() and int(number) > 0
    if not counts or not is_station(station):
        raise TorquelogError(
            "reference-form", f'"{text[:64]}" does not name an entry.', hint='Write it like "QHR-000123".'
        )
    return station, int(number)


def is_hex(text: object, length: int) -> bool:
    """Whether a value is a text of so many hex digits in small letters."""
    return type(text) is str and len(text) == length and HEX.issuperset(text)


def is_number(number: object) -> bool:
    """Whether a value is the number of an entry."""
    return type(number) is int and 0 < number <= LARGEST_NUMBER


def is_utc(text: object) -> bool:
    """Whether a value is a text of UTC with three decimals and Z."""
    try:
        return type(text) is str and from_utc_text(text) is not None
    except TorquelogError:
        return False


_MEMBERS: Final = frozenset(Entry._fields)


def _layout(names: tuple[Any, ...]) -> Layout:
    """The members of a body in order, each with how its cell begins; entries of a kind are mostly laid out alike.

    Only what is short is kept: names that somebody made up would fill the memory.
    """
    try:
        long = len("".join(names)) > KEPT_NAMES
    except TypeError:
        return _laid_out(names)  # which tells what is wrong
    return _laid_out(names) if long else _kept_layout(names)


def _laid_out(names: tuple[Any, ...]) -> Layout:
    return tuple((name, f"{quoted(name)}:") for name in ordered(dict.fromkeys(names)))


@lru_cache(maxsize=256)
def _kept_layout(names: tuple[str, ...]) -> Layout:
    return _laid_out(names)


def _check_members(entry: Entry) -> None:
    wrong = (
        "id" if not is_hex(entry.id, 32)
        else "key" if not is_number(entry.key)
        else "kind" if not is_name(entry.kind)
        else "number" if not is_number(entry.number)
        else "previous" if not is_hex(entry.previous, 64)
        else "recorded_at" if not is_utc(entry.recorded_at)
        else "signer" if not is_identifier(entry.signer)
        else "station" if not is_station(entry.station)
        else "version" if type(entry.version) is not int or entry.version != VERSION
        else ""
    )  # fmt: skip
    if wrong:
        raise entry_form(f"its {wrong} has another form")
