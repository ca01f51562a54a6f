"""What the record holds of one job, gathered for its sheets."""

import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from json import loads
from typing import Any, NamedTuple

from torquelog.book.jobview import JobState, job_state
from torquelog.book.opening import Book
from torquelog.facts import acts, aircraft, assemblies, cards, handing, inspections, people, strikes
from torquelog.facts.acts import FastenerAct, PartChange, StepDone
from torquelog.facts.card_form import Group
from torquelog.facts.cards import Approval
from torquelog.facts.handing import HandOver, LeftOut
from torquelog.facts.inspections import Inspected
from torquelog.facts.jobs import Job, owner_of
from torquelog.facts.readings import Reading
from torquelog.facts.rows import END_OF_TIME, LATEST, AsOf
from torquelog.facts.strikes import Strike
from torquelog.facts.struck import Struck, struck_of_job
from torquelog.facts.tracing import traced
from torquelog.ledger import store
from torquelog.ledger.form import reference
from torquelog.quality.trace import BEGINNING


class Used(NamedTuple):
    """A tool as a reading froze it: its number, its role, certificate and due date of that day, "" or nothing."""

    tool: str
    role: str
    certificate: str
    due: date | None


class Told(NamedTuple):
    """A reading as its entry tells it.

    Attributes:
        reading: as it stands in its table.
        entry: its entry, as QHR-000123.
        tools: every tool it names, the wrench first.
        unit: the unit of the card's torque.
        run_on: the run-on torque as it was read, or "".
        lots: the lots of hardware fitted.
        grounds: why it was refused.
        remarks: the codes of its remarks.
        why: the reason that was given, or "".
        strike: what struck it, or nothing.
        confirmed: whether somebody has vouched for it.
    """

    reading: Reading
    entry: str
    tools: tuple[Used, ...]
    unit: str
    run_on: str
    lots: tuple[str, ...]
    grounds: tuple[str, ...]
    remarks: tuple[str, ...]
    why: str
    strike: Strike | None
    confirmed: bool


class JobFacts(NamedTuple):
    """A job with all that was done in it.

    Attributes:
        state: how it stands.
        about: what it is about, as pairs of label and value.
        approval: the approval of its card, or nothing.
        readings: every reading, refused and struck ones too, in the order of the work.
        acts, steps, parts, hand_overs: what else was done.
        inspections: each fastener as it was inspected in this job.
        left_out: fasteners that somebody left out for now.
        struck: what was struck besides readings, each with its strike.
        names: who these ids are.
        own_confirmed: the entries that one who did them confirmed, as nobody else could.
    """

    state: JobState
    about: tuple[tuple[str, str], ...]
    approval: Approval | None
    readings: tuple[Told, ...]
    acts: tuple[FastenerAct, ...]
    steps: tuple[StepDone, ...]
    parts: tuple[PartChange, ...]
    hand_overs: tuple[HandOver, ...]
    inspections: tuple[Inspected, ...]
    left_out: tuple[LeftOut, ...]
    struck: tuple[tuple[Struck, Strike], ...]
    names: Mapping[str, str]
    own_confirmed: tuple[tuple[str, int], ...] = ()


def job_facts(book: Book, name: str) -> JobFacts:
    """Gather a job.

    Raises:
        TorquelogError: `job-unknown`.
    """
    connection = book.connection
    state = job_state(connection, name)
    told = tuple(
        _told(connection, each.reading)
        for each in traced(connection, "job", state.job.job, BEGINNING, END_OF_TIME)
    )
    done = tuple(_acts(connection, state))
    steps = tuple(acts.steps_of_job(connection, state.job.job))
    parts = tuple(acts.parts_of_job(connection, state.job.job))
    hands = tuple(handing.hand_overs(connection, state.job.job))
    seen = tuple(_inspected(connection, state))
    left = tuple(handing.left_out(connection, state.job.job))
    undone = tuple(_struck(connection, state.job.job))
    approval = cards.approval(connection, state.job.digest)
    named = set(_people(state, approval, told, hands))
    named |= {each.performed_by for each in done} | {each.performed_by for each in steps}
    named |= {each.performed_by for each, _ in undone}
    named |= {each.performed_by for each in parts} | {each.performed_by for each in seen}
    named |= {each.signer for each in left}
    return JobFacts(
        state, about(connection, state.job), approval, told, done, steps, parts, hands, seen, left, undone,
        {each: person_name(connection, each) for each in sorted(named)},
        tuple(strikes.own_in_job(connection, state.job.job)),
    )  # fmt: skip


def _people(
    state: JobState, approval: Approval | None, told: Iterable[Told], hands: Iterable[HandOver]
) -> Iterator[str]:
    yield state.job.opened_by
    if approval is not None:
        yield approval.approver
    for each in told:
        yield from (each.reading.performed_by, each.reading.signer)
    for hand in hands:
        yield from (hand.giver, hand.taker)


def person_name(connection: sqlite3.Connection, person: str) -> str:
    """A person's full name with the licence; the id alone where nobody is enrolled as that."""
    found = people.person(connection, person)
    if found is None:
        return person
    return f"{found.name}, {found.licence}" if found.licence else found.name


def about(connection: sqlite3.Connection, job: Job) -> tuple[tuple[str, str], ...]:
    """What a job is about: its assemblies, its aircraft with the registration of the day it was opened."""
    pairs = []
    for sort, key in job.assemblies.items():
        found = assemblies.assembly(connection, key)
        words = f"{found.serial}, part {found.part}" if found else key
        pairs.append((sort.replace("-", " ").capitalize(), words))
    if job.aircraft:
        bears = aircraft.registration(connection, job.aircraft, AsOf(job.opened, END_OF_TIME))
        pairs.append(("Aircraft", f"{bears}, serial {job.aircraft}" if bears else f"serial {job.aircraft}"))
        pairs.append(("Position", job.position or ""))
    return tuple(pairs)


def _told(connection: sqlite3.Connection, reading: Reading) -> Told:
    stored = store.entry_at(connection, reading.station, reading.number)
    body: dict[str, Any] = loads(stored.text)["body"] if stored else {}
    judged = body.get("judged", {})
    run_on = body.get("run_on", {}).get("torque")
    return Told(
        reading=reading, entry=reference(reading.station, reading.number),
        tools=tuple(_used(each) for each in judged.get("tools", ())), unit=judged.get("unit", "N·m"),
        run_on=f"{run_on['value']} {run_on['unit']}" if run_on else "", lots=tuple(body.get("lot", ())),
        grounds=tuple(each["message"] for each in body.get("grounds", ())),
        remarks=tuple(body.get("remarks", ())), why=body.get("why", ""),
        strike=strikes.strike_of(connection, reading.station, reading.number),
        confirmed=reading.awaits and strikes.confirmed(connection, reading.station, reading.number),
    )  # fmt: skip


def _used(member: Mapping[str, str]) -> Used:
    due = date.fromisoformat(member["due"]) if "due" in member else None
    return Used(member["tool"], member["role"], member.get("certificate", ""), due)


def _acts(connection: sqlite3.Connection, state: JobState) -> list[FastenerAct]:
    found = [
        each
        for group in state.card.groups
        for each in acts.on_fastener(connection, owner_of(state.job, group), group.id, None, LATEST)
        if each.job == state.job.job
    ]
    return sorted(found, key=lambda each: (each.at, each.recorded, each.station, each.number))


def _inspected(connection: sqlite3.Connection, state: JobState) -> list[Inspected]:
    return [
        each
        for group in state.card.groups
        for each in inspections.of_group(connection, owner_of(state.job, group), group.id, None)
        if each.job == state.job.job
    ]


def _struck(connection: sqlite3.Connection, job: str) -> Iterator[tuple[Struck, Strike]]:
    for each in struck_of_job(connection, job):
        strike = strikes.strike_of(connection, each.station, each.number)
        if strike is not None:
            yield each, strike


def job_owner(connection: sqlite3.Connection, job: Job, group: Group) -> str:
    """Whose fasteners a group's are in a job, in words."""
    kind, _, name = owner_of(job, group).partition(" ")
    if kind == "assembly":
        found = assemblies.assembly(connection, name)
        return f"{found.sort.replace('-', ' ')} {found.serial}, part {found.part}" if found else name
    msn, _, position = name.partition(" ")
    bears = aircraft.registration(connection, msn, AsOf(job.opened, END_OF_TIME))
    return f"aircraft {bears or msn}, {position}"
