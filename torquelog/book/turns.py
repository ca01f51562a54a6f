"""Whether a fastener has its turn: the card's order within a round, and what is inspected before it is covered."""

import sqlite3
from collections.abc import Iterator
from itertools import takewhile

from torquelog.book.fasteners import group_states
from torquelog.book.recent import Recent
from torquelog.facts import jobs, readings
from torquelog.facts.card_form import Card, Group
from torquelog.facts.jobs import Job
from torquelog.kept import kept
from torquelog.rules.demand import Slot
from torquelog.rules.grounds import Remark
from torquelog.rules.names import fastener_name


def out_of_turn(
    recent: Recent, job: Job, card: Card, group: Group, owner: str, item: int, slot: Slot
) -> Iterator[Remark]:
    """The remarks of a reading that is taken before its turn; it is on record all the same.

    Args:
        recent: the record, with what was found before and still holds.
        job, card: the job, and its card.
        group, owner, item: the fastener, and whose it is.
        slot: the step or pass that the reading is for.
    """
    first = _skipped(recent, job.job, group, owner, item, slot) if group.ordered else None
    if first is not None:
        name = fastener_name(group.id, first)
        yield Remark(
            "order", f"{name.capitalize()} comes before {fastener_name(group.id, item)} in the card's order."
        )
    for each in _before(card, group):
        if _not_accepted(recent.connection, job, each):
            words = each.id.replace("-", " ")
            yield Remark("hold-passed", f"The {words}s were to be inspected before anything covers them.")
            return


def _skipped(recent: Recent, job: str, group: Group, owner: str, item: int, slot: Slot) -> int | None:
    """The first fastener before this one in the order that has no reading at this slot."""
    before = group.order[: group.order.index(item)]
    if not before:
        return None
    left = recent.left_behind(owner, group.id)
    done = (
        set(readings.tightened_at(recent.connection, job, owner, group.id, slot.key))
        if left is None
        else left.tight(job, slot.key)
    )
    return None if done.issuperset(before) else next(each for each in before if each not in done)


@kept
def _before(card: Card, group: Group) -> tuple[Group, ...]:
    """The groups before this one that are inspected before anything covers them."""
    earlier = takewhile(lambda each: each.id != group.id, card.groups)
    return tuple(each for each in earlier if each.hold)


def _not_accepted(connection: sqlite3.Connection, job: Job, group: Group) -> bool:
    states = group_states(connection, job.job, jobs.owner_of(job, group), group)
    return any(now.accepted is None for now in states.values())
