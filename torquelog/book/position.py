"""Whether what a job names still is where its work is: another wheel may have come to the position meanwhile."""

import sqlite3
from collections.abc import Iterator

from torquelog.facts import assemblies
from torquelog.facts.assemblies import Assembly
from torquelog.facts.card_form import AIRCRAFT, Card, Group
from torquelog.facts.jobs import Job
from torquelog.facts.rows import AsOf
from torquelog.rules.closing import Astray


def astray(connection: sqlite3.Connection, job: Job, card: Card, as_of: AsOf) -> Iterator[Astray]:
    """What a job names and its position lacks: another of the kind is there, or it left since the job was opened.

    Only what some group at the position holds is looked for; where nothing of the kind was ever put on record there,
    nothing is said.
    """
    if not (job.aircraft and job.position):
        return
    for sort, key in sorted(job.assemblies.items()):
        if any(_holds(group, sort) for group in card.groups):
            found = others_there(connection, job, sort, key, as_of)
            if found is None and _left(connection, job, key, as_of):
                found = ()
            if found is not None:
                named = assemblies.assembly(connection, key, as_of)
                serial = named.serial if named else key
                yield Astray(sort, serial, found[0].serial if found else "", job.aircraft, job.position)


def others_there(
    connection: sqlite3.Connection, job: Job, sort: str, key: str, as_of: AsOf
) -> tuple[Assembly, ...] | None:
    """What else of that kind stands at the job's position; nothing where it is what the job names, or nothing is."""
    there = assemblies.fitted(connection, job.aircraft or "", job.position, as_of)
    same = tuple(each for each in there if each.sort == sort)
    return same if same and all(each.key != key for each in same) else None


def held_by(job: Job, group: Group) -> Iterator[tuple[str, str]]:
    """The assemblies, by kind and key, that a job names and that a group at its position holds."""
    if job.aircraft and job.position:
        yield from ((sort, key) for sort, key in sorted(job.assemblies.items()) if _holds(group, sort))


def _holds(group: Group, sort: str) -> bool:
    """Whether a group stays with the position and holds such an assembly; where the card does not say, it may."""
    return group.on == AIRCRAFT and group.holds in ("", sort)


def _left(connection: sqlite3.Connection, job: Job, key: str, as_of: AsOf) -> bool:
    """Whether what a job names was at its position while the job was open, and is not any more."""
    was = assemblies.place(connection, key, AsOf(min(job.opened, as_of.at), as_of.known))
    since = assemblies.moves_since(connection, key, job.opened, as_of)
    fits = [(each.aircraft, each.position) for each in since if each.act == "fit"]
    there = (job.aircraft, job.position)
    now = assemblies.place(connection, key, as_of)
    return there in ((was.aircraft, was.position), *fits) and there != (now.aircraft, now.position)
