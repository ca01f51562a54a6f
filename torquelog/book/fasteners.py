"""The events of fasteners, gathered from readings, acts, steps and what came off or apart."""

import sqlite3
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple, TypeVar

from torquelog.book.recent import Recent
from torquelog.clock import Moment
from torquelog.facts import acts, assemblies, decided, inspections, jobs, readings, strikes
from torquelog.facts.acts import FastenerAct, StepDone
from torquelog.facts.assemblies import Ending
from torquelog.facts.card_form import Group
from torquelog.facts.decided import AsItIs
from torquelog.facts.inspections import Inspected
from torquelog.facts.readings import Taken
from torquelog.facts.rows import END_OF_TIME, LATEST, AsOf
from torquelog.rules import demand
from torquelog.rules.fastener import Event, State, state

OnFastener = TypeVar("OnFastener", FastenerAct, Inspected)


def group_states(
    connection: sqlite3.Connection, job: str, owner: str, group: Group, as_of: AsOf = LATEST
) -> dict[tuple[str, int], State]:
    """The state of every fastener of a group, seen from one job, by (group, number)."""
    apart = _last_apart(Recent(connection), owner, as_of)
    events = group_events(connection, job, owner, group, as_of, apart=apart)
    found = {item: _state(events.get(item, ()), job, group) for item in range(1, group.count + 1)}
    if apart is not None and any(each.over for each in found.values()):
        events = group_events(connection, job, owner, group, as_of)
        found = {item: _state(events.get(item, ()), job, group) for item in found}
    return {(group.id, item): each for item, each in found.items()}


def fastener_state(
    connection: sqlite3.Connection,
    job: str,
    owner: str,
    group: Group,
    item: int,
    as_of: AsOf = LATEST,
    recent: Recent | None = None,
) -> State:
    """The state of one fastener, seen from one job; `recent` is what was found before and still holds."""
    recent = recent or Recent(connection)
    found = _kept_state(recent, job, owner, group, item, as_of)
    if found is not None:
        return found
    apart = _last_apart(recent, owner, as_of)
    events = group_events(connection, job, owner, group, as_of, item, recent, apart)
    found = _state(events.get(item, ()), job, group)
    if apart is not None and found.over:
        events = group_events(connection, job, owner, group, as_of, item, recent)
        return _state(events.get(item, ()), job, group)
    return found


class _Rest(NamedTuple):
    """What befell the fasteners of an assembly's group beside readings, as seen from one job.

    Attributes:
        since: when the assembly last came off or apart, or nothing: what counts of its readings begins there.
        last: the moment of the last of the events.
        events: by number of the fastener.
        states: how they leave a fastener that nothing was taken at, by the events that befell it (their `id`s): most
            were touched by the same.
    """

    since: Moment | None
    last: Moment
    events: Mapping[int, list[Event]]
    states: dict[tuple[int, ...], State]


def _kept_state(recent: Recent, job: str, owner: str, group: Group, item: int, as_of: AsOf) -> State | None:
    """The same with the help of what is kept of the group; nothing where that does not tell it.

    Of a position it depends on the readings themselves which endings count. What is kept holds for times after the last
    of the events, and not for a fastener that got more than the card allows: that looks further back.
    """
    left = recent.left_behind(owner, group.id)
    if left is None or as_of.known != END_OF_TIME or not owner.startswith("assembly "):
        return None
    rest: _Rest | None = left.rests.get(job)
    if rest is None:
        rest = left.rests[job] = _rest(recent, job, owner, group)
    if as_of.at < rest.last:
        return None
    taken = left.taken(item, rest.since)
    if not taken:
        events = rest.events.get(item, ())
        key = tuple(map(id, events))
        found = rest.states.get(key)
        if found is None:
            found = rest.states[key] = _state(events, job, group)
        return found
    read = (_reading_event(recent.connection, each, as_of) for each in taken if each.at <= as_of.at)
    found = _state(sorted((*rest.events.get(item, ()), *read), key=_in_order), job, group)
    return None if found.over else found


def _rest(recent: Recent, job: str, owner: str, group: Group) -> _Rest:
    apart = _last_apart(recent, owner, LATEST)
    events = other_events(recent.connection, job, owner, group, LATEST, recent=recent, apart=apart)
    last = max((each.at for told in events.values() for each in told), default=0)
    return _Rest(apart and apart.at, last, events, {})


def _last_apart(recent: Recent, owner: str, as_of: AsOf) -> Ending | None:
    """What last ended the tightness of an assembly; nothing for a position, or where nothing did.

    Whatever was tight before then is loose, whoever tightened it: of the readings before, only those with a mark
    still matter, and the last one outside its limits while a torque above all that the card allows stands open.
    """
    kind, _, key = owner.partition(" ")
    if kind != "assembly":
        return None
    last = recent.ask(assemblies.last_ending, key, AsOf(END_OF_TIME, as_of.known))
    if last is None or last.at <= as_of.at:
        return last
    return assemblies.last_ending(recent.connection, key, as_of)


def _state(events: Iterable[Event], job: str, group: Group) -> State:
    return state(
        events, job, above=group.above, continues=group.continues, locking=demand.locking_steps(group)
    )


def group_events(
    connection: sqlite3.Connection,
    job: str,
    owner: str,
    group: Group,
    as_of: AsOf = LATEST,
    item: int | None = None,
    recent: Recent | None = None,
    apart: Ending | None = None,
) -> Mapping[int, list[Event]]:
    """The events of a group's fasteners, or of one of them, in order, by number.

    Args:
        connection: the record.
        job: whose steps count.
        owner: whose fasteners: `assembly PART SERIAL` or `aircraft MSN POSITION`.
        group: the card's group.
        as_of: which facts count.
        item: one fastener's number, or None for all of them.
        recent: what was found before and still holds; without it everything is looked up.
        apart: what last ended the tightness of the assembly: of older readings only those with a mark are told
            (`facts.readings.taken`), and of endings only this one.
    """
    found: dict[int, list[Event]] = defaultdict(list)
    in_jobs = {job}
    for reading in readings.taken(connection, owner, group.id, item, as_of, apart and apart.at):
        in_jobs.add(reading.job)
        found[reading.item].append(_reading_event(connection, reading, as_of))
    others = other_events(connection, job, owner, group, as_of, item, recent, apart, in_jobs)
    for number, events in others.items():
        found[number] = sorted((*found[number], *events), key=_in_order)
    return found


def other_events(
    connection: sqlite3.Connection, job: str, owner: str, group: Group, as_of: AsOf, item: int | None = None,
    recent: Recent | None = None, apart: Ending | None = None, in_jobs: Iterable[str] = (),
) -> Mapping[int, list[Event]]:  # fmt: skip
    """The events of a group's fasteners beside readings; `in_jobs` are the jobs of those, the rest as above."""
    ask = (recent or Recent(connection)).ask
    known = AsOf(END_OF_TIME, as_of.known)
    found: dict[int, list[Event]] = defaultdict(list)
    for act in _counting(ask(_acts, owner, group.id, known), as_of, item):
        found[act.item].append(_act_event(act))
    everybody = range(1, group.count + 1) if item is None else (item,)
    for step in ask(acts.steps_of_group, job, group.id, known):
        if step.at <= as_of.at and step.step != demand.CONDITION:
            for number in everybody if step.item is None else (step.item,):
                found[number].append(_step_event(step))
    for each in _counting(ask(_inspections, owner, group.id, known), as_of, item):
        found[each.item].append(_inspection_event(each))
    for number, accepted in _accepted(ask(decided.as_they_are, owner, group.id, known), as_of, everybody):
        found[number].append(accepted)
    ended = (
        [_ending_event(apart, frozenset())]
        if apart
        else endings(connection, owner, group, in_jobs, as_of, recent)
    )
    for ending in ended:
        for number in everybody:
            found[number].append(ending)
    for events in found.values():
        events.sort(key=_in_order)
    return found


def _accepted(decisions: Iterable[AsItIs], as_of: AsOf, items: Iterable[int]) -> Iterator[tuple[int, Event]]:
    """What quality accepts as it is, by number of the fastener."""
    for made in decisions:
        for number in items if made.at <= as_of.at else ():
            if made.first <= number <= made.last:
                yield number, Event(*made[:4], "disposition", "", "accepted")


def _acts(connection: sqlite3.Connection, owner: str, group: str, as_of: AsOf) -> tuple[FastenerAct, ...]:
    return tuple(acts.on_fastener(connection, owner, group, None, as_of))


def _inspections(
    connection: sqlite3.Connection, owner: str, group: str, as_of: AsOf
) -> tuple[Inspected, ...]:
    return tuple(inspections.of_group(connection, owner, group, None, as_of))


def _counting(facts: Iterable[OnFastener], as_of: AsOf, item: int | None) -> Iterator[OnFastener]:
    """Those that were so by then, of one fastener or of all."""
    return (each for each in facts if each.at <= as_of.at and item in (None, each.item))


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


def _inspection_event(each: Inspected) -> Event:
    return Event(
        each.at, each.recorded, each.station, each.number, "inspection", each.job, each.outcome,
        own=each.own, by=each.performed_by, why=each.why,
    )  # fmt: skip


def _step_event(step: StepDone) -> Event:
    return Event(
        step.at, step.recorded, step.station, step.number, "step", step.job, step.step, slot=(step.step, 0)
    )


def endings(
    connection: sqlite3.Connection, owner: str, group: Group, in_jobs: Iterable[str], as_of: AsOf,
    recent: Recent | None = None,
) -> Iterator[Event]:  # fmt: skip
    """What ends the tightness of a group, each told for which jobs' work it does not count."""
    known = (recent or Recent(connection)).ask(assemblies.endings, owner, AsOf(END_OF_TIME, as_of.known))
    changes = [change for change in known if change.at <= as_of.at]
    if owner.startswith("assembly "):
        yield from (_ending_event(change, frozenset()) for change in changes)
        return
    concerned = [change for change in changes if _concerns(connection, change, group, as_of)]
    named = {name: _named(connection, name, as_of) for name in in_jobs} if concerned else {}
    arrivals = {
        key: _arrivals(connection, key, owner, as_of) for key in {change.assembly for change in concerned}
    }
    for change in concerned:
        arrives = (change.station, change.number) in arrivals[change.assembly]
        yield _ending_event(change, _spared(change.assembly, arrives, named))


def _concerns(connection: sqlite3.Connection, change: Ending, group: Group, as_of: AsOf) -> bool:
    """Whether what came or went is what a group's fasteners hold; where the card does not say, it may be."""
    if not group.holds:
        return True
    found = assemblies.assembly(connection, change.assembly, as_of)
    return found is not None and found.sort == group.holds


def _named(connection: sqlite3.Connection, job: str, as_of: AsOf) -> frozenset[str]:
    found = jobs.job(connection, job, as_of)
    return frozenset(found.assemblies.values()) if found else frozenset()


def _arrivals(
    connection: sqlite3.Connection, assembly: str, owner: str, as_of: AsOf
) -> frozenset[tuple[str, int]]:
    """The entries by which an assembly came to a position; its other changes there are departures."""
    return frozenset(
        (each.station, each.number)
        for each in assemblies.placements(connection, assembly, as_of)
        if each.act == "fit" and each.aircraft and each.position
        and assemblies.position_owner(each.aircraft, each.position) == owner
    )  # fmt: skip


def _spared(assembly: str, arrives: bool, named: Mapping[str, frozenset[str]]) -> frozenset[str]:
    """The jobs whose work an arrival or a departure leaves as it is.

    Fitting the very assembly that a job names does not undo that job's work, nor does the departure of one that
    it does not name, where it names others.
    """
    return frozenset(name for name, keys in named.items() if keys and (assembly in keys) == arrives)


def _ending_event(ending: Ending, spared: frozenset[str]) -> Event:
    return Event(
        ending.at, ending.recorded, ending.station, ending.number, "ending", "", ending.act, spares=spared
    )
