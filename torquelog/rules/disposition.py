"""What may be decided about the items of a recall."""

from collections.abc import Sequence
from typing import Final

from torquelog.errors import TorquelogError
from torquelog.facts.recalls import DECISIONS
from torquelog.rules.names import fastener_name
from torquelog.rules.recall_item import Item

MEANINGS: Final = {
    "accepted": "it stays as it is; outside or unknown, the approved data is named",
    "re-tightened": "it was tightened again with a good wrench",
    "replaced": "bolt and nut were replaced",
    "not-affected": "nothing was tightened with the tool",
    "removed-from-service": "the assembly does not fly as it is",
    "scrapped": "the assembly or the hardware is scrapped",
    "notified": "its holder was told; the answer is awaited",
}


DIGITS: Final = 4
"""No recall has more items than so many digits can count."""


def chosen(text: str) -> list[int]:
    """The numbers of the items that a person named: `7`, `1-12`, or several with commas.

    Raises:
        TorquelogError: `items-form`.
    """
    numbers: dict[int, None] = {}
    for part in text.replace("–", "-").replace(" ", "").split(","):
        first, dash, last = part.partition("-")
        if not _is_number(first) or (dash and not _is_number(last)) or (dash and int(first) > int(last)):
            raise TorquelogError(
                "items-form",
                f"{text[:40]!r} names no items. Nothing was recorded.",
                hint="Write 7, 1-12 or 1-4,9",
            )
        numbers |= dict.fromkeys(range(int(first), int(last or first) + 1))
    return list(numbers)


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) <= DIGITS and int(text) > 0


def known(decision: str) -> str:
    """The decision; raises `decision-unknown` where it is not in the list."""
    if decision not in DECISIONS:
        raise TorquelogError(
            "decision-unknown",
            f"{decision[:40]!r} is no decision. Nothing was recorded.",
            hint=f"It is one of {', '.join(DECISIONS)}.",
        )
    return decision


def check(items: Sequence[Item], decision: str, *, document: str = "", reading: str = "") -> None:
    """Raise where a decision may not be taken about these items.

    Args:
        items: the items.
        decision: one of `DECISIONS`.
        document: the approved data, letter or order behind it, or "".
        reading: the reading that tightened again, or "".

    Raises:
        TorquelogError: `over-torque`, `needs-reference`, `not-re-tightened`, `not-replaced`.
    """
    if decision == "accepted":
        _check_accepted(items, document)
    elif decision == "re-tightened":
        _check_again(items, reading)
    elif decision == "replaced" and not document:
        bare = [each for each in items if each.replaced is None]
        if bare:
            raise TorquelogError(
                "not-replaced",
                f"No replacement is on record for {_listed(bare)}. Nothing was recorded.",
                hint="Record it with torquelog replace, or name the paper with --reference.",
            )
    elif decision == "notified" and not document:
        raise TorquelogError(
            "needs-reference",
            "A notice has a letter. Nothing was recorded.",
            hint="Name it with --reference.",
        )


def _check_accepted(items: Sequence[Item], document: str) -> None:
    doubtful = [each for each in items if each.verdict != "within" and each.concerns]
    if doubtful and not document:
        raise TorquelogError(
            "needs-reference",
            f"Not known to be within the limits: {_listed(doubtful)}. Nothing was recorded.",
            why="It is accepted only on approved data.",
            hint="Name the approved data with --reference.",
        )


def _check_again(items: Sequence[Item], reading: str) -> None:
    over = [each for each in items if each.over and each.replaced is None]
    if over:
        raise TorquelogError(
            "over-torque",
            f"More than the card allows reached, or may have reached, {_listed(over)}. Nothing was recorded.",
            why="A bolt that has yielded is not cured by tightening it again.",
            hint="Replace bolt and nut, or accept it on approved data: --decision replaced, or accepted with "
            "--reference.",
        )
    without = [
        each
        for each in items
        if each.again is None or not each.again.good or (reading and each.again.entry != reading)
    ]
    if without:
        raise TorquelogError(
            "not-re-tightened",
            f"No tightening since with a wrench that is good now is on record for {_listed(without)}. "
            "Nothing was recorded.",
            hint="Loosen it, tighten it again and record that first.",
        )


def _listed(items: Sequence[Item]) -> str:
    words = [f"{each.number} ({_name(each)})" for each in items[:3]]
    more = len(items) - len(words)
    return f"item{'s' if len(items) > 1 else ''} {', '.join(words)}" + (f" and {more} more" if more else "")


def _name(each: Item) -> str:
    owner, group, number = each.fastener
    return f"{owner.rpartition(' ')[2]} {fastener_name(group, number)}"
