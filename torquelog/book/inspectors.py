"""Who may inspect a group of a card: everybody who holds the role, each with the bound it was given with."""

import sqlite3
from collections.abc import Mapping

from torquelog.clock import Moment
from torquelog.facts import cards, jobs, people
from torquelog.facts.card_form import Card, Group
from torquelog.rules import bounds

Inspectors = Mapping[str, str | None]


def inspectors(connection: sqlite3.Connection, station: str, moment: Moment) -> Inspectors:
    """Everybody who may sign an inspection at a moment, each with what may be inspected; without a bound, nothing."""
    return {
        person: next(
            each.inspects
            for each in people.grants(connection, station, person, moment)
            if each.role == "inspector"
        )
        for person in people.holders(connection, station, "inspector", moment)
    }


def covering(
    connection: sqlite3.Connection, job: str, group: str, held: Inspectors
) -> tuple[str, ...] | None:
    """Those of some inspectors whose bound covers a group of a job; nothing where the job is not on record yet."""
    found = card_and_group(connection, job, group)
    return tuple(bounds.may_inspect(*found, held)) if found else None


def card_and_group(connection: sqlite3.Connection, job: str, group: str) -> tuple[Card, Group] | None:
    """The card of a job and its group of that name, as far as they are on record."""
    opened = jobs.job(connection, job)
    card = opened and cards.card_by_digest(connection, opened.digest)
    found = card.group(group) if card else None
    return (card, found) if card and found else None
