"""Does a tightening still stand? What undid it: loosening, replacing, or the assembly coming off or apart."""

import sqlite3
from bisect import bisect_right
from collections.abc import Collection, Sequence
from typing import NamedTuple

from torquelog.book.fasteners import endings
from torquelog.clock import Moment
from torquelog.facts import acts, cards, jobs, readings
from torquelog.facts.card_form import Group
from torquelog.facts.readings import Reading
from torquelog.facts.rows import LATEST, AsOf
from torquelog.facts.tracing import taken_apart

Order = tuple[Moment, Moment, str, int]


class Undoing(NamedTuple):
    """Something that ended the tightness of a fastener.

    Attributes:
        order: when, and its entry: (at, recorded, station, number).
        item: the fastener's number, or None for all of the group.
        state: `loosened` or `apart`.
        spares: the jobs whose work it leaves as it is.
    """

    order: Order
    item: int | None
    state: str
    spares: frozenset[str] = frozenset()


def order_of(reading: Reading) -> Order:
    """The place of a reading among events."""
    return reading.at, reading.recorded, reading.station, reading.number


def undoings(
    connection: sqlite3.Connection, owner: str, group: str, in_jobs: Collection[str], since: Moment,
    as_of: AsOf = LATEST,
) -> list[Undoing]:  # fmt: skip
    """What ended the tightness of a group's fasteners from a moment on, oldest first.

    Args:
        connection: the record.
        owner: whose fasteners.
        group: the group's id.
        in_jobs: the jobs whose work is asked about; the card of one of them says what the group holds.
        since: the moment; what is older may be left out.
        as_of: which facts count.
    """
    found = [
        Undoing((at, recorded, station, number), item, "loosened")
        for at, recorded, station, number, item in readings.loosenings(connection, owner, group, since, as_of)
    ]
    for act in acts.on_fastener(connection, owner, group, None, as_of):
        if act.act != "locked" and act.at >= since:
            found.append(Undoing((act.at, act.recorded, act.station, act.number), act.item, "loosened"))
    kind, _, name = owner.partition(" ")
    if kind == "assembly":
        found += [Undoing(order, None, "apart") for order in taken_apart(connection, name, since, as_of)]
        return sorted(found)
    held = next(filter(None, (group_of(connection, each, group, as_of) for each in sorted(in_jobs))), None)
    for event in endings(connection, owner, held, in_jobs, as_of) if held else ():
        order = (event.at, event.recorded, event.station, event.number)
        found.append(Undoing(order, None, "apart", event.spares))
    return sorted(found)


def group_of(connection: sqlite3.Connection, job: str, group_id: str, as_of: AsOf = LATEST) -> Group | None:
    """The card's group that a reading's job and group name."""
    digest = jobs.digest_of(connection, job, as_of)
    card = cards.card_by_digest(connection, digest) if digest else None
    return card.group(group_id) if card else None


def undone(reading: Reading, by: Sequence[Undoing]) -> Undoing | None:
    """The first thing after a reading that ended what it tightened, or None where it still stands; `by` is in order."""
    later = bisect_right(by, order_of(reading), key=_order)
    for place in range(later, len(by)):
        each = by[place]
        if each.item in (None, reading.item) and reading.job not in each.spares:
            return each
    return None


def _order(each: Undoing) -> Order:
    return each.order
