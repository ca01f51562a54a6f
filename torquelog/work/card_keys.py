"""Which keys a card file takes, in which table, how each value is read, and what it says."""

from typing import Final, NamedTuple

from torquelog.facts import card_form
from torquelog.work import card_values as values
from torquelog.work.card_values import Read


class Key(NamedTuple):
    """One key of a table.

    Attributes:
        read: turns what TOML gave into what the record keeps.
        meaning: what the value says.
        example: how it is written; never a torque that somebody could take for his own.
        needed: whether every such table has it.
    """

    read: Read
    meaning: str
    example: str
    needed: bool = False


def _words(*words: str) -> tuple[Read, str, str]:
    return values.one_of(*words), f"{', '.join(words[:-1])} or {words[-1]}", f'"{words[0]}"'


def _yes(meaning: str) -> tuple[Read, str, str]:
    return values.yes, meaning, "true"


_TOLERANCE: Final = Key(
    values.tolerance, "how far a single torque may be off, as a percentage", '"PERCENT %"'
)

CARD: Final[dict[str, Key]] = {
    "id": Key(values.identifier, "the card's name", '"NAME"', needed=True),
    "title": Key(values.text, "what is done, in words", '"Main wheel, build-up"', needed=True),
    "document": Key(values.text, "the approved data it is copied from", '"CMM 32-40-EX"', needed=True),
    "revision": Key(values.text, "the revision of that document", '"B"', needed=True),
    "date": Key(values.day, "the date of that revision", "2026-11-02", needed=True),
    "kind": Key(values.name, "whose cautions it bears; also what its groups sit on", '"wheel"'),
    "fits": Key(values.texts, "the types or part numbers that it is for", '["EX-4410-1"]'),
    "cautions": Key(values.texts, "cautions of its own", '["Keep the bead clean."]'),
}
GROUP: Final[dict[str, Key]] = {
    "id": Key(values.name, "the group's name", '"tie-bolt"', needed=True),
    "count": Key(values.count, "how many fasteners, 1 to 999", "12", needed=True),
    "torque": Key(values.torque, "at the fastener, with its unit; or steps that say it", '"LOW..HIGH N·m"'),
    "tolerance": _TOLERANCE,
    "on": Key(values.name, 'the kind of assembly that carries them, or "aircraft"', '"wheel"'),
    "holds": Key(values.name, "the kind of assembly that a fastener of the aircraft holds", '"wheel"'),
    "name": Key(values.text, "one of them in words", '"tie bolt nut"'),
    "thread": Key(values.text, "the thread", '"1/2-20"'),
    "basis": Key(
        values.basis, "total, above-run-on, or above-run-on-from with a share", '"above-run-on-from 1/3"'
    ),
    "run-on": Key(values.limits, "limits of the run-on torque", '"min LOW lbf·in"'),
    "direction": Key(*_words(*card_form.DIRECTIONS)),
    "turned": Key(*_words(*card_form.TURNED)),
    "castellated": Key(*_yes("a slot has to meet the pin's hole within the limits")),
    "condition": Key(values.text, "the condition of the threads", '"clean and dry"'),
    "order": Key(values.order, "star, circular, line, or a list of numbers", '"star"'),
    "passes": Key(values.passes, "percentages that rise to 100", '["50 %", "100 %"]'),
    "last-round": Key(*_yes("each is checked once more after the last pass")),
    "steps": Key(
        values.tables,
        "what is done instead of torque and passes",
        '[{ id = "seat", torque = "LOW..HIGH N·m" }]',
    ),
    "hardware": Key(
        values.tables, "the parts it takes", '[{ part = "EX-77", lot = true, reuse = "run-on" }]'
    ),
    "locking": Key(values.locking, "what locks it, each recorded as a step", '["locking wire"]'),
    "inspection": Key(values.one_of("independent"), "somebody else inspects it", '"independent"'),
    "hold": Key(*_yes("it is inspected before anything covers it")),
    "above": Key(*_words(*card_form.ABOVE)),
    "neighbours": Key(values.neighbours, 'open items on each side of a failed one, or "all"', "1"),
    "recheck": Key(values.text, "when it is checked again", '"after first flight"'),
    "continue": Key(*_yes("one below its limits may be tightened on without loosening it")),
}
STEP: Final[dict[str, Key]] = {
    "id": Key(values.name, "the step's name", '"seat"', needed=True),
    "title": Key(values.text, "what to do, in words", '"Seat the bearing"'),
    "torque": Key(values.torque, "at the fastener, where the step has one", '"LOW..HIGH N·m"'),
    "tolerance": _TOLERANCE,
    "turn": Key(values.turn, "by how much the nut is turned, in flats or degrees", '"2 flats"'),
    "wheel-turning": Key(*_yes("the wheel is turned meanwhile")),
}
HARDWARE: Final[dict[str, Key]] = {
    "part": Key(values.text, "the part number or the standard's designation", '"EX-77"', needed=True),
    "name": Key(values.text, "what it is, in words", '"self-locking nut"'),
    "lot": Key(*_yes("its lot is to be recorded")),
    "serial": Key(*_yes("its serial number is to be recorded")),
    "reuse": Key(values.one_of(*card_form.REUSE), "whether it may be used again", '"run-on"'),
}
CHECK: Final[dict[str, Key]] = {
    "id": Key(values.name, "the check's name", '"leak-check"', needed=True),
    "title": Key(values.text, "what is to be shown", '"No leak under pressure"', needed=True),
}
