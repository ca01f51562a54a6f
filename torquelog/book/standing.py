"""Does a tightening still stand? What undid it: loosening, replacing, or the assembly coming off or apart."""

import sqlite3
from collections.abc import Iterable
from typing import NamedTuple

from torquelog.book.fasteners import endings
from torquelog.clock import Moment
from torquelog.facts import acts, cards, jobs, readings
from torquelog.facts.card_form import Group
from torquelog.facts.readings import Reading
from torquelog.facts.rows import LATEST, AsOf

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
    connection: sqlite3.Connection, owner: str, group: Group, in_jobs: Iterable[str], as_of: AsOf = LATEST
) -> list[Undoing]:
    """Everything that ended the tightness of a group's fasteners, oldest first.

    Args:
        connection: the record.
        owner: whose fasteners.
        group: the card's group.
        in_jobs: the jobs whose work is asked about.
        as_of: which facts count.
    """
    found = [
        Undoing((at, recorded, station, number), item, "loosened")
        for at, recorded, station, number, item in readings.loosenings(connection, owner, group.id, as_of)
    ]
    for act in acts.on_fastener(connection, owner, group.id, None, as_of):
        if act.act != "locked":
            found.append(Undoing((act.at, act.recorded, act.station, act.number), act.item, "loosened"))
    for event in endings(connection, owner, group, in_jobs, as_of):
        order = (event.at, event.recorded, event.station, event.number)
        found.append(Undoing(order, None, "apart", event.spares))
    return sorted(found)


def group_of(connection: sqlite3.Connection, job: str, group_id: str, as_of: AsOf = LATEST) -> Group | None:
    """The card's group that a reading's job and group name."""
    found = jobs.job(connection, job, as_of)
    card = cards.card_by_digest(connection, found.digest) if found else None
    return card.group(group_id) if card else None


def undone(reading: Reading, by: Iterable[Undoing]) -> Undoing | None:
    """The first thing after a reading that ended what it tightened, or None where it still stands."""
    place = order_of(reading)
    return next(
        (
            each
            for each in by
            if each.order > place and each.item in (None, reading.item) and reading.job not in each.spares
        ),
        None,
    )
