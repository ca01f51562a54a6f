"""What a job asks for next: the fasteners of its card in order, pass by pass, then locking, then its checks."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import NamedTuple

from torquelog.facts.card_form import Card, Group
from torquelog.rules.demand import Slot, locking_steps, slots
from torquelog.rules.fastener import State, needs_rework, passed_over

Place = tuple[str, int]
"""Group and number of a fastener; number 0 for the whole group; group "" for the job."""


class Target(NamedTuple):
    """One thing that is open.

    Attributes:
        kind: `reading`, `step` (a step without torque), `hurt` (something has to be answered first), `beside` (to
            be checked, as one beside it failed), `locking`, `hold` (an inspection before anything covers it), or
            `check` (an operational check).
        group, item: which fastener; item 0 for the whole group, group "" for the job.
        slot: the step or pass, or nothing.
        name: of a step, locking or check.
    """

    kind: str
    group: str
    item: int
    slot: Slot | None = None
    name: str = ""

    @property
    def place(self) -> Place:
        """Which fastener."""
        return self.group, self.item


class Facts(NamedTuple):
    """A job as far as it was done.

    Attributes:
        card: its card.
        states: the state of every fastener.
        checks: the operational checks on record.
        held: groups that wait for their inspection before anything covers them.
        neighbours: fasteners to be looked at, as others beside them failed.
        job: its name; without it nothing counts as tightened elsewhere.
    """

    card: Card
    states: Mapping[Place, State]
    checks: frozenset[str] = frozenset()
    held: frozenset[str] = frozenset()
    job: str = ""
    neighbours: frozenset[Place] = frozenset()


def tight_elsewhere(now: State, job: str) -> bool:
    """Whether a fastener was tightened in another job: a click on it shows nothing before it is loosened."""
    return bool(job) and now.tight and now.tight_in != job


def loosens_first(now: State, job: str) -> bool:
    """Whether a fastener is to be loosened before a tightening of this job counts."""
    asks = now.loosen_first or needs_rework(now) or passed_over(now, job)
    return asks or tight_elsewhere(now, job)


def is_hurt(now: State, job: str, tolerated: bool) -> bool:
    """Whether a fastener has to be answered for: loosened, its hardware replaced, or done again as it was rejected."""
    return now.broken or loosens_first(now, job) or (now.over and not tolerated)


def targets(facts: Facts, tolerated: Collection[Place] = ()) -> Iterator[Target]:
    """Everything that is open, in the order in which it is to be done.

    Args:
        facts: the job.
        tolerated: fasteners above their limits that are tightened again although their hardware is not replaced.
    """
    for group in facts.card.groups:
        yield from _of_group(facts, group, tolerated)
        if group.id in facts.held:
            yield Target("hold", group.id, 0)
    for check in facts.card.checks:
        if check.id not in facts.checks:
            yield Target("check", "", 0, None, check.id)


def _of_group(facts: Facts, group: Group, tolerated: Collection[Place]) -> Iterator[Target]:
    first = slots(group)[0]
    tightens = job_that_tightens(facts.job, group)
    hurt = [
        item
        for item in group.order
        if is_hurt(facts.states[group.id, item], tightens, (group.id, item) in tolerated)
    ]
    yield from (Target("hurt", group.id, item, first) for item in hurt)
    for slot in slots(group):
        kind = "reading" if slot.spec is not None else "step"
        for item in group.order:
            if item not in hurt and slot.key not in facts.states[group.id, item].done:
                yield Target(kind, group.id, item, slot, slot.name)
    final = next(slot for slot in reversed(slots(group)) if slot.spec is not None)
    for item in group.order:
        if (group.id, item) in facts.neighbours and item not in hurt and facts.states[group.id, item].tight:
            yield Target("beside", group.id, item, final, "beside")
    yield from _locking(facts, group)


def _locking(facts: Facts, group: Group) -> Iterator[Target]:
    """Locking comes once a fastener is tight; all of a group at once where none is locked."""
    everybody = range(1, group.count + 1)
    for step in locking_steps(group):
        lacking = [item for item in everybody if _to_lock(facts.states[group.id, item], step)]
        if len(lacking) == group.count:
            yield Target("locking", group.id, 0, None, step)
        else:
            yield from (Target("locking", group.id, item, None, step) for item in lacking)


def job_that_tightens(job: str, group: Group) -> str:
    """The job's name, or nothing for a group that is only checked: there what is tight elsewhere is as it should be."""
    return "" if all(slot.checks for slot in slots(group)) else job


def _to_lock(now: State, step: str) -> bool:
    return now.tight and step not in now.locked


def rows(order: Sequence[int], ordered: bool) -> list[tuple[int, ...]]:
    """The fasteners as they stand on the screen: opposite pairs in tightening order.

    Steps 2k-1 and 2k of an order across a circle are opposite each other; without an order they stand four in
    a row, as they are numbered.
    """
    wide = 2 if ordered else 4
    return [tuple(order[start : start + wide]) for start in range(0, len(order), wide)]


def progress(facts: Facts) -> tuple[int, int]:
    """How many slots with a torque are done, and how many there are."""
    taken = asked = 0
    for group in facts.card.groups:
        wanted = [slot.key for slot in slots(group) if slot.spec is not None]
        asked += group.count * len(wanted)
        for item in range(1, group.count + 1):
            taken += len(facts.states[group.id, item].done.intersection(wanted))
    return taken, asked
