"""Another station's chain with one body in it that is not as any program of ours writes it, signed all the same.

Whoever runs a station can sign what he likes with its keys. What may come of it elsewhere is asked in
`test_foreign.py`.
"""

import copy
import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final, NamedTuple

from tests.book.elsewhere import other_station
from tests.support.books import HOUR, NOON
from tests.support.story import Story
from tests.tamper import record
from torquelog.book import exporting
from torquelog.book.signer import Signer
from torquelog.clock import SetClock
from torquelog.ledger import store
from torquelog.ledger.form import canonical, digest
from torquelog.ledger.keys import digest_message

Path_ = tuple[str | int, ...]
LONG: Final = "x" * 100_000
WORDS: Final[tuple[Any, ...]] = (
    "", " ", "0", "-0", "-1", "1", "999999999999", "0.000000000000000000000000000000000000001",
    "9" * 40, "1/3", "٣", "NaN", "QHR-000001", "QHR-000999", "ZZZ-000001", "W-0417", "J-1", "TK",
    "BUILD", "WH-2231", "tie-bolt:1", "tie-bolt:999", "tie-bolt", "2026-11-25", "0001-01-01",
    "9999-12-31", "2026-11-25T12:00:00.000Z", "9999-12-31T23:59:59.999+00:00",
    "0001-01-01T00:00:00.000-14:00", "2026-13-99T99:99:99.999+99:99", "٢٠٢٦-11-25T12:00:00.000Z", "N·m",
    "furlong", "yes", "no", "within", "above", "refused", "\x1b[31mred", "\u202edetrever", "\u200b",
    "<script>alert(1)</script>", "=1+1", "a\nb", "e" + "\u0301" * 500, LONG, [], {}, [[]], [{}],
    {"value": "1", "unit": "furlong"}, {"value": "-5", "unit": "N·m"}, {"value": "1", "unit": "N·m"},
    ["tie-bolt:1"], ["1", "1"], {"low": "5", "high": "1", "unit": "N·m"}, 0, -1, 7, 2**53 - 1,
)  # fmt: skip
"""What is put into bodies."""


class Chain(NamedTuple):
    """A chain that can be signed anew: its entries' texts with their signatures, and every key that signs, by number.

    Attributes:
        first: the number from which on the keys are at hand.
    """

    lines: tuple[tuple[str, str], ...]
    keys: dict[int, Signer]
    first: int


class Mutation(NamedTuple):
    """One change in a body: of which entry, at which place, and how.

    Attributes:
        entry: its number.
        place: the names and places that lead to the member.
        how: `put`, `drop`, `add` or `double`.
        value: what is put there.
    """

    entry: int
    place: Path_
    how: str
    value: Any = None


@cache
def chain() -> Chain:
    """The chain of a station where nearly everything happened."""
    with TemporaryDirectory() as folder:
        story = Story(Path(folder))
        known = story.entries()
        record.at_home(story)
        signers = [*story.own.values(), *story.signed.values()]
        held = [(each.text, each.signature) for each in store.entries(story.book.connection, "QHR")]
        story.close_book()
    return Chain(tuple(held), {signer.key: signer for signer in signers}, known + 1)


@cache
def places() -> tuple[tuple[int, Path_], ...]:
    """Every member of every body that can be signed anew."""
    found = chain()
    return tuple(
        (number, place)
        for number in (1, *range(found.first, len(found.lines) + 1))
        for place in _below(json.loads(found.lines[number - 1][0])["body"], ())
    )


def _below(value: Any, place: Path_) -> Iterator[Path_]:
    yield place
    named = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, each in named:
        yield from _below(each, (*place, name))


def changed(body: Any, mutation: Mutation) -> Any:
    """A body with a mutation; one that does not fit it stays as it is."""
    if not mutation.place:
        return {**body, "colour": mutation.value} if mutation.how == "add" else body
    body = copy.deepcopy(body)
    *way, last = mutation.place
    holder = body
    for step in way:
        holder = holder[step]
    if mutation.how == "drop":
        del holder[last]
    elif mutation.how == "add" and isinstance(holder, dict):
        holder["colour"] = mutation.value
    elif mutation.how == "double":
        holder[last] = [holder[last], holder[last]]
    else:
        holder[last] = mutation.value
    return body


def exported(mutation: Mutation) -> list[str]:
    """The lines of an export in which one body was changed and everything from there on signed anew.

    Of a chain whose first entry was changed nothing else comes: its other people's keys are their own.
    """
    found = chain()
    lines = list(found.lines[: mutation.entry - 1])
    rest = found.lines[mutation.entry - 1 : None if mutation.entry > 1 else 1]
    for text, _ in rest:
        members = json.loads(text)
        if members["number"] == mutation.entry:
            members["body"] = changed(members["body"], mutation)
        members["previous"] = digest(lines[-1][0]) if lines else members["previous"]
        fresh = canonical(members)
        lines.append((fresh, found.keys[members["key"]].sign(digest_message(digest(fresh)))))
    return [exporting.line(text, signature) for text, signature in lines]


class Home(NamedTuple):
    """A record that takes in: the bytes of its file, and who takes in and accepts."""

    file: bytes
    crib: Signer
    quality: Signer
    now: int


@cache
def home() -> Home:
    """The record of a station that holds nothing of others yet."""
    with TemporaryDirectory() as folder:
        kept = other_station(Path(folder), "FAO", SetClock(NOON + 2 * HOUR))
        kept.book.close()
        return Home(Path(kept.book.path).read_bytes(), kept.signer, kept.quality, kept.clock.moment)
