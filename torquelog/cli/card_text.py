"""A card as people read it: what it was copied from, who approved it, and what each group asks for."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from torquelog.cli import words
from torquelog.cli.answer import Json
from torquelog.facts.card_form import AIRCRAFT, Card, Group, Hardware, Step
from torquelog.torque.limits import Limits, Spec
from torquelog.torque.number import display

if TYPE_CHECKING:
    from datetime import date

    from torquelog.book.opening import Book
    from torquelog.facts.cards import Approval

GAP = 3
FIRST_DIGITS = 6
SECOND_DIGITS = 3

REUSE = {
    "run-on": "reused where its run-on torque is enough",
    "never": "always new",
    "allowed": "may be reused",
}
ABOVE = {
    "replace": "discard the hardware and fit new",
    "loosen": "loosen and tighten again",
    "engineering": "ask engineering",
}


def spec_text(spec: Spec) -> str:
    """A torque in its own unit and in the other system's: "68 to 76 N·m (50.2 to 56.1 lbf·ft)"."""
    other = "lbf·ft" if "N·m" in spec.unit else "N·m"
    first = limits_words(spec.limits, spec.unit, FIRST_DIGITS)
    second = limits_words(spec.limits, other, SECOND_DIGITS)
    named = f"{spec.text}, " if spec.nominal is not None else ""
    return f"{named}{first} ({second})"


def limits_words(limits: Limits, unit: str, digits: int) -> str:
    """Limits in words: "68 to 76 N·m", "at least 11 lbf·in", "at most 20 lbf·in"."""
    low, high = limits.shown(unit, digits)
    if low and high:
        return f"{low} to {high} {unit}"
    return f"at least {low} {unit}" if low else f"at most {high} {unit}"


def document_text(card: Card) -> str:
    """What a card was copied from: "CMM 32-40-EX, revision B of Mon 2 Nov 2026"."""
    return f"{card.document}, revision {card.revision} of {words.day(date_of(card))}"


def date_of(card: Card) -> "date":
    """The date of a card's revision."""
    from datetime import date

    return date.fromisoformat(card.date)


def head_facts(card: Card) -> Iterator[tuple[str, str]]:
    """What stands above the groups."""
    yield "Document", document_text(card)
    if card.kind:
        yield "Kind", card.kind
    if card.fits:
        yield "Fits", words.listing(card.fits, "or")


def state_text(book: "Book", card: Card, approval: "Approval | None") -> str:
    """Draft or approved, by whom, and when."""
    if approval is None:
        return f"draft by {card.drafter}, opens no job until somebody approves it"
    when = words.day(words.local(approval.at, book.zone).date())
    own = f", its own drafter, as nobody else could: {approval.why}" if approval.own else ""
    return f"approved by {approval.approver}{own}, {when}"


def group_lines(group: Group) -> Iterator[str]:
    """A group: how many of what on what, and below it each thing that it asks for."""
    yield f"{group.id}: {words.count(group.count, group.name)}{_on(group)}"
    facts = list(_group_facts(group))
    width = max((len(label) for label, _ in facts), default=0) + GAP
    for label, value in facts:
        yield f"  {label:<{width}}{value}"


def _on(group: Group) -> str:
    if group.on == AIRCRAFT:
        return f" on the aircraft, holding the {group.holds}" if group.holds else " on the aircraft"
    return f" on the {group.on}" if group.on else " on whatever the job is about"


def _group_facts(group: Group) -> Iterator[tuple[str, str]]:
    if group.spec:
        yield "Torque", f"{spec_text(group.spec)}{_basis(group)}"
    if group.run_on:
        yield "Run-on", spec_text(group.run_on)
    for step in group.steps:
        yield f"Step {step.id}", _step(step)
    if group.steps and group.basis != "total":
        yield "Basis", _basis(group).removeprefix(", ")
    if len(group.passes) > 1 or group.last_round:
        percents = [f"{display(share * 100)} %" for share in group.passes]
        percents += ["once more all round"] if group.last_round else []
        yield "Passes", ", ".join(percents)
    if group.ordered and group.count > 1:
        yield "Order", "-".join(map(str, group.order))
    yield from _how(group)
    for part in group.hardware:
        yield "Part", _hardware(part)
    for locking in group.locking:
        yield "Locking", locking
    yield from _afterwards(group)


def _basis(group: Group) -> str:
    if group.basis == "above-run-on":
        return ", above run-on torque"
    if group.basis == "above-run-on-from":
        share = "" if group.basis_from is None else f", from {group.basis_from} of the low limit on"
        return f", above run-on torque{share}"
    return ", the total"


def _step(step: Step) -> str:
    parts = [step.title, spec_text(step.spec) if step.spec else "", step.turn]
    parts += ["the wheel turning"] if step.wheel_turning else []
    return ", ".join(part for part in parts if part) or "no torque"


def _how(group: Group) -> Iterator[tuple[str, str]]:
    thread = ", ".join(part for part in (group.thread, group.condition) if part)
    if thread:
        yield "Threads", thread
    turned = [f"the {group.turned}"] if group.turned else []
    turned += ["counter-clockwise"] if group.direction == "ccw" else []
    if turned:
        yield "Turned", ", ".join(turned)
    if group.castellated:
        yield "Slots", "castellated: a slot meets the pin's hole within the limits"


def _hardware(part: Hardware) -> str:
    kept = [name for name, wanted in (("lot", part.lot), ("serial number", part.serial)) if wanted]
    parts = [
        part.part,
        part.name,
        REUSE.get(part.reuse, ""),
        f"record its {words.listing(kept)}" if kept else "",
    ]
    return ", ".join(text for text in parts if text)


def _afterwards(group: Group) -> Iterator[tuple[str, str]]:
    if group.above:
        yield "If above", ABOVE[group.above]
    if group.continues:
        yield "If below", "may be tightened on without loosening"
    if group.neighbours:
        beside = "all others" if group.neighbours >= group.count - 1 else f"{group.neighbours} on each side"
        yield "If failed", f"{beside} become open too"
    if group.inspection:
        yield "Inspection", "by somebody else" + (", before anything covers it" if group.hold else "")
    if group.recheck:
        yield "Recheck", group.recheck


def card_lines(card: Card) -> list[str]:
    """All groups, the operational checks, and the card's own cautions."""
    lines: list[str] = []
    for group in card.groups:
        lines += [*([""] if lines else []), *group_lines(group)]
    if card.checks:
        lines += ["", "Operational checks", *(f"  {check.id}: {check.title}" for check in card.checks)]
    if card.cautions:
        lines += ["", "Cautions", *(f"  {caution}" for caution in card.cautions)]
    return lines


def size_text(card: Card) -> str:
    """How much there is to do: "12 tie bolts, 24 readings"."""
    groups = words.listing([words.count(group.count, words.group(group.id)) for group in card.groups])
    return f"{groups}, {words.count(card.readings, 'reading')}"


def card_data(card: Card) -> dict[str, Json]:
    """What names a card, and how much it asks for, for programs."""
    return {
        "card": card.card,
        "revision": card.revision,
        "document": card.document,
        "date": card.date,
        "title": card.title,
        "kind": card.kind or None,
        "digest": card.digest,
        "readings": card.readings,
        "groups": [
            {"group": group.id, "on": group.on or None, "count": group.count, "readings": group.readings}
            for group in card.groups
        ],
    }
