"""The events of fasteners, gathered from readings, acts, steps and what came off or apart."""

import sqlite3
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

from torquelog.facts import acts, assemblies, jobs, readings, strikes
from torquelog.facts.acts import FastenerAct, StepDone
from torquelog.facts.assemblies import Ending
from torquelog.facts.card_form import Group
from torquelog.facts.readings import Taken
from torquelog.facts.rows import LATEST, AsOf
from torquelog.rules.fastener import Event, State, state


def group_states(
    connection: sqlite3.Connection, job: str, owner: str, group: Group, as_of: AsOf = LATEST
) -> dict[tuple[str, int], State]:
    """The state of every fastener of a group, seen from one job, by (group, number)."""
    events = group_events(connection, job, owner, group, as_of)
    return {
        (group.id, item): state(events.get(item, ()), job, above=group.above, continues=group.continues)
        for item in range(1, group.count + 1)
    }


def fastener_state(
    connection: sqlite3.Connection, job: str, owner: str, group: Group, item: int, as_of: AsOf = LATEST
) -> State:
    """The state of one fastener, seen from one job."""
    events = group_events(connection, job, owner, group, as_of, item)
    return state(events.get(item, ()), job, above=group.above, continues=group.continues)


def group_events(
    connection: sqlite3.Connection,
    job: str,
    owner: str,
    group: Group,
    as_of: AsOf = LATEST,
    item: int | None = None,
) -> Mapping[int, list[Event]]:
    """The events of a group's fasteners, or of one of them, in order, by number.

    Args:
        connection: the record.
        job: whose steps count.
        owner: whose fasteners: `assembly PART SERIAL` or `aircraft MSN POSITION`.
        group: the card's group.
        as_of: which facts count.
        item: one fastener's number, or None for all of them.
    """
    found: dict[int, list[Event]] = defaultdict(list)
    in_jobs = {job}
    for reading in readings.taken(connection, owner, group.id, item, as_of):
        in_jobs.add(reading.job)
        found[reading.item].append(_reading_event(connection, reading, as_of))
    for act in acts.on_fastener(connection, owner, group.id, item, as_of):
        found[act.item].append(_act_event(act))
    everybody = range(1, group.count + 1) if item is None else (item,)
    for step in acts.steps_of_group(connection, job, group.id, as_of):
        for number in everybody if step.item is None else (step.item,):
            found[number].append(_step_event(step))
    for ending in endings(connection, owner, group, in_jobs, as_of):
        for number in everybody:
            found[number].append(ending)
    for events in found.values():
        events.sort(key=_in_order)
    return found


def _in_order(event: Event) -> tuple[int, int, str, int]:
    return event.at, event.recorded, event.station, event.number


def _reading_event(connection: sqlite3.Connection, reading: Taken, as_of: AsOf) -> Event:
    waits = reading.awaits and not strikes.confirmed(connection, reading.station, reading.number, as_of)
    return Event(
        reading.at, reading.recorded, reading.station, reading.number, "reading", reading.job, reading.outcome,
        slot=(reading.step, reading.pass_), tighten=reading.act == "tighten", loosened=bool(reading.loosened),
        over=bool(reading.over), worn=bool(reading.worn), waits=bool(waits), wrench=reading.wrench,
    )  # fmt: skip


def _act_event(act: FastenerAct) -> Event:
    return Event(act.at, act.recorded, act.station, act.number, "act", act.job, act.act, found=act.what or "")


def _step_event(step: StepDone) -> Event:
    return Event(
        step.at, step.recorded, step.station, step.number, "step", step.job, step.step, slot=(step.step, 0)
    )


def endings(
    connection: sqlite3.Connection, owner: str, group: Group, in_jobs: Iterable[str], as_of: AsOf
) -> Iterator[Event]:
    """What ends the tightness of a group, each told for which jobs' work it does not count."""
    present: set[str] = set()
    for ending in assemblies.endings(connection, owner, as_of):
        arrives = ending.act == "fit" and ending.assembly not in present
        present ^= {ending.assembly}
        if owner.startswith("assembly "):
            yield _ending_event(ending, frozenset())
        elif not group.holds or _sort_of(connection, ending.assembly) == group.holds:
            yield _ending_event(ending, _spared(connection, ending.assembly, arrives, in_jobs))


def _spared(
    connection: sqlite3.Connection, assembly: str, arrives: bool, in_jobs: Iterable[str]
) -> frozenset[str]:
    """The jobs whose work an arrival or departure leaves as it is.

    Fitting the very assembly that a job names does not undo that job's work, nor does the coming and going of
    an assembly that a job does not name, where it names others.
    """
    spared = []
    for name in in_jobs:
        job = jobs.job(connection, name)
        named = set(job.assemblies.values()) if job else set()
        concerned = assembly in named if named else True
        if (named and not concerned and not arrives) or (concerned and arrives and assembly in named):
            spared.append(name)
    return frozenset(spared)


def _ending_event(ending: Ending, spared: frozenset[str]) -> Event:
    return Event(
        ending.at, ending.recorded, ending.station, ending.number, "ending", "", ending.act, spares=spared
    )


def _sort_of(connection: sqlite3.Connection, key: str) -> str | None:
    found = assemblies.assembly(connection, key)
    return found.sort if found else None
