"""Rechecks: what a closed job's card asks to be looked at again later, and nobody has yet.

A recheck is opened by the closing and belongs to the fasteners, so it goes with the wheel to whatever aircraft. A torque
check within limits answers it, fastener by fastener, in whatever job; loosening or replacing one, or taking its
assembly off, makes it pointless.
"""

import sqlite3
from collections.abc import Iterator
from typing import NamedTuple

from torquelog.book.fasteners import group_events
from torquelog.clock import Moment
from torquelog.facts import cards, jobs
from torquelog.facts.card_form import Card, Group
from torquelog.facts.jobs import Job, owner_of
from torquelog.facts.rows import LATEST, AsOf
from torquelog.rules.fastener import Event


class Recheck(NamedTuple):
    """A recheck that is open.

    Attributes:
        owner: whose fasteners: `assembly PART SERIAL` or `aircraft MSN POSITION`.
        group: the group's name; items: the fasteners that wait for it.
        when: what the card says, as "after first flight".
        job: the job whose closing opened it; since: when that was.
    """

    owner: str
    group: str
    items: tuple[int, ...]
    when: str
    job: str
    since: Moment


def rechecks(connection: sqlite3.Connection, as_of: AsOf = LATEST, *, owner: str = "") -> list[Recheck]:
    """The rechecks that are open, in the order of the closings that opened them.

    Args:
        connection: the record.
        as_of: which facts count.
        owner: whose, or "" for all.
    """
    opened: dict[tuple[str, str], _Opened] = {}
    for each in sorted(_closings(connection, as_of), key=lambda each: each.since):
        whose = owner_of(each.job, each.group)
        if owner in ("", whose):
            opened[whose, each.group.id] = each  # a later closing takes the place of an earlier one
    found = (_recheck(connection, whose, each, as_of) for (whose, _), each in opened.items())
    return [each for each in found if each.items]


class _Opened(NamedTuple):
    """A recheck as a closing opened it: by which job, of which group of its card, and when."""

    job: Job
    group: Group
    since: Moment


def _closings(connection: sqlite3.Connection, as_of: AsOf) -> Iterator[_Opened]:
    """Every recheck that the closing of a job opened. Only the jobs of cards that ask for one are looked at."""
    for digest in cards.digests(connection):
        card = cards.card_by_digest(connection, digest)
        groups = opened_by(card) if card is not None else []
        for job in jobs.of_card(connection, digest, as_of) if groups else ():
            if job.closed is not None:
                yield from (_Opened(job, group, job.closed) for group in groups)


def opened_by(card: Card) -> list[Group]:
    """The groups of a card whose recheck a closing opens."""
    return [group for group in card.groups if group.recheck]


def _recheck(connection: sqlite3.Connection, owner: str, opened: _Opened, as_of: AsOf) -> Recheck:
    """What of a recheck is still open."""
    job, group = opened.job, opened.group
    events = group_events(connection, job.job, owner, group, as_of)
    items = tuple(
        item
        for item in range(1, group.count + 1)
        if not any(_answers(event, job) for event in events.get(item, ()))
    )
    return Recheck(owner, group.id, items, group.recheck, job.job, opened.since)


def _answers(event: Event, job: Job) -> bool:
    """Whether an event after the closing answers the recheck, or makes it pointless."""
    if job.closed is None or event.at <= job.closed:
        return False
    if event.kind == "reading":
        return event.what == "within" or event.loosened
    if event.kind == "ending":
        return job.job not in event.spares
    return event.kind == "act" and event.what != "locked"
