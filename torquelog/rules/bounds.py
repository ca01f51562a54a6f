"""What an inspector may inspect: the bound that his role was given with, held against what a card calls its work.

A bound is words, such as "wheels and brakes". It covers a group that it names: by the card's name, by what carries the
group or is held by it (the card's kind, where the group stays with the aircraft), or by the group itself. One or
several of a thing is the same. A role without a bound has none.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Final

from torquelog.errors import TorquelogError
from torquelog.facts.card_form import AIRCRAFT, Card, Group

EVERYTHING: Final = frozenset({"all", "any", "everything", "anything"})
TAKES_OUT: Final = frozenset({"not", "no", "but", "except", "excluding", "without"})

_PARTED: Final = re.compile(r"[,;/&+\n]|\band\b|\bor\b")
_WORD: Final = re.compile(r"[^\W_]+")

Words = tuple[str, ...]


def covers(bound: str | None, card: Card, group: Group) -> bool:
    """Whether a bound names a group's work; what takes something out again names nothing, as it could not be held."""
    if bound is None:
        return True
    if TAKES_OUT & set(_words(bound)):
        return False
    parts = [_words(part) for part in _PARTED.split(bound.lower())]
    if any(len(part) == 1 and part[0] in EVERYTHING for part in parts):
        return True
    names = [_words(name) for name in _names(card, group)]
    return any(_within(name, part) for part in parts for name in names)


def check_words(bound: str) -> None:
    """Raise `role-terms` where a bound takes something out again; it says what may be inspected."""
    found = TAKES_OUT & set(_words(bound))
    if found:
        raise TorquelogError(
            "role-terms",
            "The role inspector cannot be given like this.",
            why=f'A bound names what may be inspected; "{min(found)}" takes something out of it.',
            hint='Name what may be inspected, such as "wheels and brakes".',
        )


def check(
    inspector: str, card: Card, group: Group, held: Mapping[str, str | None], performers: frozenset[str]
) -> None:
    """Raise `inspection-bounds` where a group lies outside what an inspector may inspect.

    Args:
        inspector: who wants to inspect.
        card, group: what.
        held: everybody who holds the role inspector, each with the bound, or nothing.
        performers: who worked in that group and could not inspect it anyhow.
    """
    bound = held.get(inspector)
    if covers(bound, card, group):
        return
    others = [name for name in may_inspect(card, group, held) if name not in performers]
    raise TorquelogError(
        "inspection-bounds",
        f"{inspector} may inspect: {bound}. The {group.id.replace('-', ' ')}s of card {card.card} are not among that. "
        "Nothing was recorded.",
        hint=f"It could be {' or '.join(others)}." if others else _widening(inspector, bound, group),
    )


def may_inspect(card: Card, group: Group, held: Mapping[str, str | None]) -> list[str]:
    """Those of some inspectors whose bound covers a group, by id."""
    return sorted(name for name, bound in held.items() if covers(bound, card, group))


def _widening(inspector: str, bound: str | None, group: Group) -> str:
    wider = f"{bound}, {group.id.replace('-', ' ')}s"
    return f'Quality can widen it: torquelog person role {inspector} --add inspector --inspects "{wider}"'


def _names(card: Card, group: Group) -> Iterator[str]:
    yield from (card.card, group.id, group.name, group.on, group.holds)
    if group.on in ("", AIRCRAFT):
        yield card.kind


def _words(text: str) -> Words:
    """A text's words in small letters, each as one of a thing."""
    return tuple(_one(word) for word in _WORD.findall(text.lower()))


def _one(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def _within(name: Words, part: Words) -> bool:
    """Whether a name's words stand in a part of a bound, one behind the other."""
    return bool(name) and any(part[at : at + len(name)] == name for at in range(len(part)))
