"""Where readings belong: the job, its card and the group, whose fasteners, and who may work there by which rules.

One reading after another of a person at a group is judged by the same of these, so they are kept together.
"""

import sqlite3
from typing import Final, NamedTuple

from torquelog.book.asked import Asked
from torquelog.book.recent import Recent
from torquelog.clock import Moment
from torquelog.errors import TorquelogError
from torquelog.facts import cards, jobs, people, stations
from torquelog.facts.card_form import Card, Group
from torquelog.facts.cards import Approval
from torquelog.facts.jobs import Job
from torquelog.rules import demand

MINUTE: Final[Moment] = 60_000


class AtGroup(NamedTuple):
    """What is the same for all readings of a person at a group, from one moment up to, not including, another.

    Attributes:
        since, until: the moments of work for which it holds.
        job, card, group: where.
        owner: whose fasteners.
        slots: what the card asks of each of them.
        approval: of the card, or nothing.
        rule_set: the number of the entry whose rules are in force.
        late: after how many milliseconds an entry is late.
    """

    since: Moment
    until: Moment
    job: Job
    card: Card
    group: Group
    owner: str
    slots: tuple[demand.Slot, ...]
    approval: Approval | None
    rule_set: int
    late: Moment


def at_group(recent: Recent, station: str, asked: Asked, at: Moment, ruled: Moment) -> AtGroup:
    """Where a reading belongs.

    Args:
        recent: the record, with what was found before and still holds.
        station: whose rules count.
        asked: the reading.
        at: when the work was done; ruled: the moment whose rules count, not later than that.

    Raises:
        TorquelogError: `job-unknown`, `job-closed`, `group-unknown`, `fastener-unknown`, `person-unknown`, `no-role`
            or `job-owner`.
    """
    kept: AtGroup | None = recent.recall(at_group, asked.job, asked.group, asked.performed_by)
    if kept is not None and kept.since <= ruled and at < kept.until:
        demand_item(kept.job, kept.card, kept.group, asked.item)
        return kept
    job, card, group = _place(recent, asked.job, asked.group)
    demand_item(job, card, group, asked.item)
    until = _performs_until(recent, station, asked.performed_by, at)
    changes = recent.ask(stations.rule_changes, station)
    rules = stations.rules_at(changes, ruled)
    found = AtGroup(
        since=max((ruled, *(each.at for each in changes))), until=until, job=job, card=card, group=group,
        owner=jobs.owner_of(job, group), slots=demand.slots(group),
        approval=recent.ask(cards.approval, card.digest), rule_set=rules.number,
        late=rules.whole("late-minutes") * MINUTE,
    )  # fmt: skip
    if found.since == ruled:  # the rules were changed no more, so they stay as they are however late it gets
        recent.keep(found, at_group, asked.job, asked.group, asked.performed_by)
    return found


def place(connection: sqlite3.Connection, name: str, group_id: str, item: int) -> tuple[Job, Card, Group]:
    """The job, its card and the group of a fastener.

    Raises:
        TorquelogError: `job-unknown`, `job-closed`, `group-unknown` or `fastener-unknown`.
    """
    job, card, group = _place(Recent(connection), name, group_id)
    demand_item(job, card, group, item)
    return job, card, group


def demand_item(job: Job, card: Card, group: Group, item: int) -> None:
    """Raise `fastener-unknown` where a group has no fastener of that number."""
    if not 1 <= item <= group.count:
        raise TorquelogError(
            "fastener-unknown",
            f"{job.job} has {group.id}:1 to {group.id}:{group.count}; there is no {item}. Nothing was recorded.",
            hint=f"If there are more, the card is the wrong one: torquelog card show {card.card}",
        )


def _place(recent: Recent, name: str, group_id: str) -> tuple[Job, Card, Group]:
    job = recent.ask(jobs.job, name)
    if job is None:
        raise TorquelogError(
            "job-unknown", f"There is no job {name}. Nothing was recorded.", hint="torquelog job list"
        )
    if job.closed is not None:
        raise TorquelogError(
            "job-closed",
            f"{name} is closed. Nothing was recorded.",
            hint="torquelog job open JOB --card CARD",
        )
    card = recent.ask(cards.card_by_digest, job.digest)
    if card is None:
        raise TorquelogError("card-unknown", f"The card of {name} is not on record. Nothing was recorded.")
    group = card.group(group_id)
    if group is None:
        raise _no_group(job, card, group_id)
    return job, card, group


def _no_group(job: Job, card: Card, group_id: str) -> TorquelogError:
    from difflib import get_close_matches

    names = [group.id for group in card.groups]
    close = get_close_matches(group_id, names, 1)
    like = f" Did you mean {close[0]}?" if close else ""
    return TorquelogError(
        "group-unknown",
        f"{job.job} has no group {group_id}. Nothing was recorded.",
        why=f"Its groups: {', '.join(names)}.{like}",
    )


def _performs_until(recent: Recent, station: str, person: str, at: Moment) -> Moment:
    """Up to which moment somebody who may perform at this one may do so."""
    if recent.ask(people.person, person) is None:
        raise TorquelogError("person-unknown", f"Nobody is enrolled as {person}. Nothing was recorded.")
    changes = recent.ask(people.role_changes, station, person)
    if "technician" not in people.performing_roles(changes, at):
        raise TorquelogError(
            "no-role",
            f"{person} did not hold the role technician at that time. Nothing was recorded.",
            hint=f"torquelog person role {person} --add technician   (by quality)",
        )
    return people.roles_stay_until(changes, at)
