"""The order in which the fasteners of a group are tightened, and the passes it is gone through in.

Fasteners are numbered from 1 around the circle, or along the row. An order is data of the card; these are the
patterns that a card may name instead of writing its own.
"""

from collections.abc import Callable, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Final

from torquelog.errors import TorquelogError
from torquelog.torque.number import display, parse_number, quoted

__all__ = ["MOST_FASTENERS", "MOST_PASSES", "PATTERNS", "check_order", "order", "parse_passes"]

MOST_FASTENERS: Final = 999
MOST_PASSES: Final = 9


def order(count: int, pattern: str = "star") -> tuple[int, ...]:
    """Give the order for so many fasteners in a pattern.

    `star` crosses the circle at every second step and halves the arcs that are left, as the cross pattern of
    ASME PCC-1 does; an odd count goes on by nearly half a circle. `circular` goes round. `line` begins in the
    middle of a row and works outwards.

    Raises:
        TorquelogError: order-form, for a count outside 1 to 999 or an unknown pattern.
    """
    if pattern not in PATTERNS:
        raise TorquelogError(
            "order-form",
            f"{quoted(pattern)} is not a pattern known here.",
            why="An order that has no name is written out on the card.",
            hint=f"Type one of {', '.join(PATTERNS)}",
        )
    if not 1 <= count <= MOST_FASTENERS:
        raise TorquelogError(
            "order-form",
            f"A group of {count} fasteners cannot be put in order.",
            why=f"A group has 1 to {MOST_FASTENERS} fasteners.",
            hint="Look at the count, or make two groups of it",
        )
    return PATTERNS[pattern](count)


def check_order(count: int, numbers: Sequence[int]) -> tuple[int, ...]:
    """Check that an order written on a card names each of so many fasteners once.

    Raises:
        TorquelogError: order-form, with what is missing, repeated or beyond the count.
    """
    seen = set(numbers)
    ranked = sorted(numbers)
    again = {number for number, following in pairwise(ranked) if number == following}
    faults = {
        "not of this group": sorted(number for number in seen if not 1 <= number <= count),
        "missing": [number for number in range(1, count + 1) if number not in seen],
        "more than once": sorted(again),
    }
    told = [f"{_listed(found)} {fault}" for fault, found in faults.items() if found]
    if told:
        raise TorquelogError(
            "order-form",
            f"The order does not name each of {count} fasteners once: {'; '.join(told)}.",
            why="Every fastener has its turn, and only one.",
            hint=f"Write each number from 1 to {count} once",
        )
    return tuple(numbers)


def parse_passes(texts: Sequence[str]) -> tuple[Fraction, ...]:
    """Read passes, each a percentage of the full torque with or without its sign, such as `50 %` and `100 %`.

    Returns:
        The share of the full torque in each pass; 1 in the last.

    Raises:
        TorquelogError: number-form; passes-form for too many, for one that falls, for a last one below 100 %.
    """
    shares = tuple(parse_number(text.strip().removesuffix("%")) / 100 for text in texts)
    fault = _fault_of_passes(shares)
    if fault:
        raise TorquelogError(
            "passes-form",
            fault,
            why="Passes rise to the full torque, so that the last one meets the limits.",
            hint="Write them like 50 %, 100 %",
        )
    return shares


def _fault_of_passes(shares: Sequence[Fraction]) -> str:
    """What is wrong with the passes, or nothing."""
    if not 1 <= len(shares) <= MOST_PASSES:
        return f"There are {len(shares)} passes; a group has 1 to {MOST_PASSES}."
    if min(shares) <= 0:
        return "A pass of 0 % tightens nothing."
    for before, share in pairwise(shares):
        if share < before:
            return f"A pass of {_percent(share)} comes after one of {_percent(before)}."
    return "" if shares[-1] == 1 else f"The last pass is {_percent(shares[-1])}, not 100 %."


def _star(count: int) -> tuple[int, ...]:
    """Each fastener, followed by the one half a circle on: of the half circle's star if it is even."""
    if count % 2 == 0:
        half = count // 2
        return tuple(number for first in _star(half) for number in (first, first + half))
    stride = (count - 1) // 2
    return tuple(step * stride % count + 1 for step in range(count))


def _circular(count: int) -> tuple[int, ...]:
    return tuple(range(1, count + 1))


def _line(count: int) -> tuple[int, ...]:
    """From the middle outwards, to both sides in turn."""
    return tuple(sorted(range(1, count + 1), key=lambda number: (abs(2 * number - count - 1), number)))


def _percent(share: Fraction) -> str:
    return f"{display(share * 100)} %"


def _listed(numbers: Sequence[int], most: int = 8) -> str:
    """Numbers in words, cut short."""
    words = ", ".join(str(number) for number in numbers[:most])
    return words if len(numbers) <= most else f"{words} and {len(numbers) - most} more"


PATTERNS: Final[dict[str, Callable[[int], tuple[int, ...]]]] = {
    "star": _star,
    "circular": _circular,
    "line": _line,
}
