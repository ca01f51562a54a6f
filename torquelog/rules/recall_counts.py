"""The counts of a recall. They add up, and are checked to: no reading is left out, none counted twice."""

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from torquelog.rules.recall_item import Item


class Counts(NamedTuple):
    """How many of what.

    Attributes:
        readings: readings of the window; each is one of the next five.
        governing: the last word on a fastener, one an item.
        earlier: earlier passes and rounds of the same fasteners.
        checked, refused, struck: torque checks, refusals and struck entries that do not govern.
        items: fasteners; each is outside, indeterminate or within.
        outside, indeterminate, within: by verdict.
        retightened: fasteners with a tightening since that counts.
        concerned: fasteners on which what was done still is.
        concerned_outside, concerned_indeterminate: of these, by verdict.
        flying_outside, flying_indeterminate: of those, on an aircraft.
        undecided, decided: by disposition.
    """

    readings: int
    governing: int
    earlier: int
    checked: int
    refused: int
    struck: int
    items: int
    outside: int
    indeterminate: int
    within: int
    retightened: int
    concerned: int
    concerned_outside: int
    concerned_indeterminate: int
    flying_outside: int
    flying_indeterminate: int
    undecided: int
    decided: int


def count(items: Sequence[Item]) -> Counts:
    """Count readings and items."""
    parts: Counter[str] = Counter()
    for each in items:
        parts.update(dict(each.readings.parts))
    verdicts = Counter(each.verdict for each in items)
    standing = [each for each in items if each.concerns]
    concerned = Counter(each.verdict for each in standing)
    flying = Counter(each.verdict for each in standing if each.where.flying)
    decided = sum(each.decided for each in items)
    return Counts(
        readings=sum(each.readings.total for each in items), governing=len(items), earlier=parts["tightened"],
        checked=parts["checked"], refused=parts["refused"], struck=parts["struck"], items=len(items),
        outside=verdicts["outside"], indeterminate=verdicts["indeterminate"], within=verdicts["within"],
        retightened=sum(each.retightened for each in items), concerned=len(standing),
        concerned_outside=concerned["outside"], concerned_indeterminate=concerned["indeterminate"],
        flying_outside=flying["outside"], flying_indeterminate=flying["indeterminate"],
        undecided=len(items) - decided, decided=decided,
    )  # fmt: skip


class Measure(NamedTuple):
    """A setting that the laboratory should measure before it adjusts the tool, and for how many items."""

    value: str
    unit: str
    direction: str
    items: int


def to_measure(items: Iterable[Item]) -> tuple[Measure, ...]:
    """The settings that would tell what nobody can tell now, the most useful first."""
    wanted = Counter(
        (each.governing.reading.indicated, each.governing.reading.direction)
        for each in items
        if each.verdict == "indeterminate" and each.concerns and "as-left" not in each.governing.judged.by
    )
    found = [
        Measure(torque.value, torque.unit, direction, number)
        for (torque, direction), number in wanted.items()
    ]
    return tuple(sorted(found, key=lambda each: (-each.items, each.unit, each.value, each.direction)))
