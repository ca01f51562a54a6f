"""What a card asks of a group of fasteners, said for paper."""

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from torquelog.facts.card_form import Group, Hardware, Step
from torquelog.rules.demand import Slot
from torquelog.rules.sayings import percent
from torquelog.sheets.wording import ROUND, listing, sentence
from torquelog.torque.limits import Limits
from torquelog.torque.sequence import order as pattern

ABOVE: Final = {
    "replace": "replace bolt and nut",
    "loosen": "loosen, then tighten again",
    "engineering": "ask engineering",
    "": "a disposition names its approved data",
}
LISTED: Final = 40
"""Fasteners whose order is told number by number."""

REUSE: Final = {
    "run-on": "reused where its run-on torque is enough",
    "never": "never reused",
    "allowed": "may be reused",
}


def group_pairs(group: Group) -> Iterator[tuple[str, str]]:
    """What the card says of a group, label and value; what it does not say is left out."""
    if group.spec is not None:
        yield "Torque", group.spec.text
    yield "Torque is counted", basis_words(group)
    if group.run_on is not None:
        yield "Run-on torque of the nut", group.run_on.text
    if len(group.passes) > 1 or group.last_round:
        yield "Passes", passes_words(group)
    if group.ordered:
        yield "Order", order_words(group)
    yield "Turned", f"{ROUND[group.direction]}{f', at the {group.turned}' if group.turned else ''}"
    optional = {
        "Thread": group.thread,
        "Condition of the threads": group.condition,
        "Castellated": "a slot meets the pin's hole within the limits" if group.castellated else "",
        "Locking": listing(group.locking),
        "Inspection": _inspection(group),
        "Above the limits": ABOVE[group.above],
        "Checked again": group.recheck,
        "Parts": "; ".join(map(_hardware, group.hardware)),
    }
    yield from ((label, value) for label, value in optional.items() if value)


def basis_words(group: Group) -> str:
    """What the torque is counted from."""
    if group.basis == "total":
        return "in total, run-on torque included"
    if group.basis == "above-run-on":
        return "above run-on torque, which is added to both limits"
    share = group.basis_from or Fraction(0)
    return f"above run-on torque, added once it is {share} of the low limit"


def passes_words(group: Group) -> str:
    """Its passes: "50 %, 100 %, then a last round"."""
    told = ", ".join(map(percent, group.passes))
    return f"{told}, then a last round" if group.last_round else told


def order_words(group: Group) -> str:
    """The order of tightening, by its name where it has one, and number by number unless these are too many to read."""
    name = next(
        (each for each in ("circular", "star", "line") if group.order == pattern(group.count, each)), ""
    )
    if name == "circular":
        return f"circular, from 1 to {group.count}"
    numbers = ", ".join(map(str, group.order))
    if not name:
        return numbers
    return f"{name}: {numbers}" if group.count <= LISTED else f"{name}, as the worksheet has it"


def _inspection(group: Group) -> str:
    if not group.inspection:
        return ""
    return f"{group.inspection}, before anything covers it" if group.hold else group.inspection


def _hardware(part: Hardware) -> str:
    told = [
        part.part,
        part.name,
        "lot recorded" if part.lot else "",
        "serial number recorded" if part.serial else "",
    ]
    return ", ".join(word for word in (*told, REUSE.get(part.reuse, "")) if word)


def step_words(step: Step) -> str:
    """A step as the card tells it."""
    told = [
        step.title,
        f"turn {step.turn}" if step.turn else "",
        "turning the wheel" if step.wheel_turning else "",
    ]
    return ", ".join(word for word in told if word)


def slot_name(slot: Slot) -> str:
    """A step or pass at the head of a column: "Pass 1, 50 %"."""
    name = sentence(slot.name.replace("-", " "))
    return name if slot.share == 1 else f"{name}, {percent(slot.share)}"


def slot_limits(slot: Slot) -> str:
    """The limits of a step or pass at the fastener, in the card's unit; run-on torque is not in them."""
    if slot.spec is None:
        return "no torque"
    limits: Limits = slot.spec.limits.scaled(slot.share)
    return limits.words(slot.spec.unit)
