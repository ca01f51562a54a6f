"""What a card demands of a fastener: the one place that says so.

A group asks for slots: its passes with their last round, or its steps. The screen that guides, the record, a
recall and a sheet all ask here.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import Final, NamedTuple

from torquelog.errors import TorquelogError
from torquelog.facts.card_form import Group
from torquelog.kept import kept
from torquelog.torque.limits import Limits, Spec

WHOLE: Final = Fraction(1)

RECHECK: Final = "recheck"
"""The step of a card that checks a fastener which is tight already, as after the first flight."""


CONDITION: Final = "thread-condition"
"""The step by which the condition of a group's threads is on record; it tightens nothing."""


class Slot(NamedTuple):
    """One thing that is to be done to every fastener of a group.

    Attributes:
        step: the card's step, "" where the group has passes.
        pass_: the pass, counted from 1; 0 for a step.
        spec: the torque demanded, or None for a step without one (as "back off").
        share: the share of that torque at this pass, 1/2 for 50 %.
        last_round: whether this is the round that goes over all of them once more.
    """

    step: str
    pass_: int
    spec: Spec | None
    share: Fraction = WHOLE
    last_round: bool = False

    @property
    def key(self) -> tuple[str, int]:
        """What tells this slot from the others of its group."""
        return self.step, self.pass_

    @property
    def checks(self) -> bool:
        """Whether it is a torque check of what is tight already, which proves "not less than" and tightens nothing."""
        return self.step == RECHECK

    @property
    def name(self) -> str:
        """The slot as people say it: `final`, `pass 1`, `last round`."""
        if self.step:
            return self.step
        return "last round" if self.last_round else f"pass {self.pass_}"


@kept
def slots(group: Group) -> tuple[Slot, ...]:
    """Everything a group asks of each of its fasteners, in order."""
    if group.steps:
        asked = [Slot(step.id, 0, step.spec) for step in group.steps]
        final = next((step.spec for step in reversed(group.steps) if step.spec is not None), None)
    else:
        asked = [Slot("", number, group.spec, share) for number, share in enumerate(group.passes, 1)]
        final = group.spec
    if group.last_round:
        asked.append(Slot("", 1 if group.steps else len(asked) + 1, final, WHOLE, last_round=True))
    return tuple(asked)


def locking_steps(group: Group) -> dict[str, str]:
    """What locks each fastener of a group: the step that records it, and the card's words for it."""
    return {words.replace(" ", "-"): words for words in group.locking}


def find_slot(group: Group, step: str | None, pass_: int | None) -> Slot:
    """The slot that a step or pass names.

    Raises:
        TorquelogError: `step-unknown` or `pass-unknown`, naming what there is.
    """
    asked = slots(group)
    if step is not None:
        return _named_step(group, step, asked)
    for slot in asked:
        if not slot.step and slot.pass_ == pass_:
            return slot
    have = "steps, no passes" if group.steps else f"{len(asked)} passes"
    raise TorquelogError(
        "pass-unknown", f"Group {group.id} has {have}; there is no pass {pass_}. Nothing was recorded."
    )


def _named_step(group: Group, step: str, asked: Sequence[Slot]) -> Slot:
    for slot in asked:
        if slot.step == step:
            return slot
    names = ", ".join(slot.step for slot in asked if slot.step)
    have = f"Its steps are {names}." if names else "It has passes, no steps."
    raise TorquelogError("step-unknown", f"Group {group.id} has no step {step}. {have} Nothing was recorded.")


def needs_run_on(group: Group) -> bool:
    """Whether a reading of this group takes a run-on torque."""
    return group.basis != "total"


def run_on_added(group: Group, spec: Spec, run_on: Fraction | None) -> Fraction:
    """What the run-on torque adds to both limits, in N·m.

    `above-run-on` always adds it; `above-run-on-from F` only from the fraction F of the low limit on, as US Army
    TB 43-0218 paragraph 7c has it with a third; `total` never.

    Raises:
        TorquelogError: `needs-run-on` where the card wants one and none was measured.
    """
    if not needs_run_on(group):
        return Fraction(0)
    if run_on is None:
        raise TorquelogError(
            "needs-run-on",
            f"The torque of {group.id} counts above run-on torque, and none was given. Nothing was recorded.",
            hint="Measure it with the nut nearly down and add --run-on and --run-on-wrench.",
        )
    if group.basis_from is not None:
        low = next(end for end in spec.limits if end is not None)
        if run_on < group.basis_from * low:
            return Fraction(0)
    return run_on


@kept
def demanded(group: Group, slot: Slot, run_on: Fraction | None) -> Limits:
    """The limits at the fastener, in N·m, at one slot: both ends through pass and run-on torque.

    Args:
        group: the card's group.
        slot: one of `slots(group)`; it must ask for a torque.
        run_on: the run-on torque at the fastener in N·m, or nothing.

    Raises:
        TorquelogError: `step-without-torque` or `needs-run-on`.
    """
    if slot.spec is None:
        raise TorquelogError(
            "step-without-torque",
            f"Step {slot.step} of {group.id} asks for no torque. Nothing was recorded.",
            hint=f"torquelog step JOB {group.id} {slot.step}",
        )
    return slot.spec.limits.scaled(slot.share).plus(run_on_added(group, slot.spec, run_on))


@kept
def highest(group: Group, run_on: Fraction | None) -> Fraction | None:
    """The highest torque in N·m that the card allows at any slot; beyond it the bolt may have yielded."""
    ends = [demanded(group, slot, run_on).high for slot in slots(group) if slot.spec is not None]
    closed = [end for end in ends if end is not None]
    return max(closed) if closed and len(closed) == len(ends) else None
