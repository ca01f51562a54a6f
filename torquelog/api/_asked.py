"""The questions of the Python face, handed to the floors below, and their answers as its results."""

from datetime import UTC, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from torquelog.api._results import (
    Fastener,
    Fitness,
    Hold,
    Job,
    Place,
    Recall,
    RecallItem,
    Trace,
    Traced,
    Whereabouts,
)
from torquelog.book.jobview import job_state
from torquelog.book.opening import Book
from torquelog.book.toolbox import fitness_at, tool_named
from torquelog.clock import EPOCH, Moment
from torquelog.errors import TorquelogError
from torquelog.facts import custody, recalls
from torquelog.facts import jobs as job_facts
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.facts.tools import SORTS, Tool
from torquelog.facts.tools import tools as every_tool
from torquelog.ledger.form import reference
from torquelog.ledger.text import gate_identifier, gate_text
from torquelog.quality import recall as recall_acts
from torquelog.quality import recall_view
from torquelog.quality import trace as traces
from torquelog.rules.grounds import Remark
from torquelog.rules.recall_item import Item

TRACED: Final = traces.KINDS


def local(moment: Moment, zone: ZoneInfo) -> datetime:
    """A moment as a time of a place."""
    return (EPOCH + timedelta(milliseconds=moment)).astimezone(UTC).astimezone(zone)


def _then(moment: Moment | None) -> AsOf:
    return AsOf(END_OF_TIME if moment is None else moment, END_OF_TIME)


def _fastener(owner: str, group: str, number: int) -> Fastener:
    kind, _, name = owner.partition(" ")
    if kind == "assembly":
        return Fastener(name, None, None, group, number)
    msn, _, position = name.partition(" ")
    return Fastener(None, msn, position, group, number)


def fitness(book: Book, name: str, *, person: str, job: str, direction: str) -> Fitness:
    """Whether a tool may be used at the moment that the record's clock shows."""
    if direction not in ("", "cw", "ccw"):
        raise TorquelogError("argument", f"{direction} is no direction.", hint="cw or ccw")
    return _fitness(book, tool_named(book.connection, name), person=person, job=job, direction=direction)


def tools(book: Book, sort: str) -> tuple[Fitness, ...]:
    """The same for every tool of a sort that is not retired."""
    if sort not in SORTS:
        raise TorquelogError("argument", f"{sort} is no sort of tool.", hint=f"One of {', '.join(SORTS)}.")
    judged = (_fitness(book, each) for each in every_tool(book.connection, sort))
    return tuple(each for each in judged if each.whereabouts.kind != "retired")


def _fitness(book: Book, tool: Tool, *, person: str = "", job: str = "", direction: str = "") -> Fitness:
    now = book.clock.now()
    found = fitness_at(book.connection, book, tool, now, person=person, job=job, direction=direction)
    where = custody.whereabouts(book.connection, tool.tool, AsOf(now, END_OF_TIME))
    counts = found.calibration
    return Fitness(
        tool=tool.tool, sort=tool.sort, at=local(now, book.zone), grounds=found.grounds, remarks=found.remarks,
        certificate=counts and counts.certificate, calibration=counts and counts.reference, due=found.due,
        valid_until=None if found.valid_until is None else local(found.valid_until, book.zone),
        cycles_left=found.cycles_left,
        whereabouts=Whereabouts(
            where.kind, where.person or None, where.place or None, where.job or None,
            None if where.since is None else local(where.since, book.zone),
        ),
    )  # fmt: skip


def job(book: Book, name: str, moment: Moment | None) -> Job:
    """How far a job is."""
    state = job_state(book.connection, gate_identifier(name, "a job"), _then(moment))
    told = state.job
    return Job(
        job=told.job, card=told.card, revision=told.revision, msn=told.aircraft, position=told.position,
        assemblies=tuple(told.assemblies.items()), opened=local(told.opened, book.zone), opened_by=told.opened_by,
        closed=None if told.closed is None else local(told.closed, book.zone), taken=state.taken, asked=state.asked,
        holds=tuple(Hold(each.code, each.text, each.detail, each.command) for each in state.holds),
    )  # fmt: skip


def jobs(book: Book, moment: Moment | None) -> tuple[str, ...]:
    """The jobs that were open."""
    return tuple(each.job for each in job_facts.open_jobs(book.connection, _then(moment)))


def trace(
    book: Book, kind: str, name: str, since: Moment | None, until: Moment | None, moment: Moment | None
) -> Trace:
    """What somebody or something tightened."""
    if kind not in TRACED:
        raise TorquelogError("argument", f"{kind} is not traced.", hint=f"One of {', '.join(TRACED)}.")
    found = traces.trace(book, kind, _name(kind, name), since=since, until=until, as_of=moment)
    return Trace(
        kind=kind, name=found.name, readings=tuple(_traced(each, book.zone) for each in found.rows),
        standing=found.standing, flying=found.flying, complete_as_of=found.complete_as_of, stations=found.stations,
    )  # fmt: skip


def _name(kind: str, name: str) -> str:
    if kind == "lot":
        return gate_text(name, kind)
    part, _, serial = name.strip().partition(" ")
    if kind == "assembly" and serial:
        return f"{gate_identifier(part, 'part')} {gate_identifier(serial, 'serial')}"
    return gate_identifier(name, kind)


def _traced(row: traces.Row, zone: ZoneInfo) -> Traced:
    reading, where = row.reading, row.location
    return Traced(
        entry=reference(reading.station, reading.number), performed_at=local(reading.at, zone), job=reading.job,
        person=reading.performed_by, wrench=reading.wrench,
        fastener=_fastener(reading.owner, reading.group, reading.item), indicated=reading.indicated,
        applied=reading.applied, low=reading.low, high=reading.high, outcome=reading.outcome,
        certificate=reading.certificate, state=row.state,
        place=_place(where.registration, where.position, where.since, where.text, zone),
    )  # fmt: skip


def _place(registration: str, position: str, since: Moment | None, text: str, zone: ZoneInfo) -> Place:
    return Place(registration or None, position or None, None if since is None else local(since, zone), text)


def recalls_opened(book: Book, moment: Moment | None) -> tuple[str, ...]:
    """The recalls, by the entries that opened them."""
    return tuple(each.reference for each in recalls.recalls(book.connection, _then(moment)))


def recall(book: Book, name: str, moment: Moment | None) -> Recall:
    """Everything that a recall finds."""
    opened = recall_acts.recall_named(book, name.strip().upper())
    if moment is not None and opened.opened > moment:
        raise TorquelogError("recall-unknown", f"{opened.recall} was opened later than that.")
    view = recall_view.view(book, opened, _then(moment))
    return Recall(
        recall=opened.recall, entry=opened.reference, state=view.state, subject=opened.subject or None,
        name=opened.name or None, since=local(opened.since, book.zone), until=local(opened.until, book.zone),
        items=tuple(_item(each, book.zone) for each in view.items),
        not_covered=tuple(Remark(gap.code, gap.text) for gap in view.not_covered),
        complete_as_of=view.complete_as_of,
    )  # fmt: skip


def _item(item: Item, zone: ZoneInfo) -> RecallItem:
    reading, judged, where = item.governing.reading, item.governing.judged, item.where
    return RecallItem(
        number=item.number, fastener=_fastener(*item.fastener), entry=reference(reading.station, reading.number),
        indicated=reading.indicated, as_found=judged.found, as_left=judged.left, low=judged.limits.low,
        high=judged.limits.high, verdict=item.verdict, reasons=item.reasons, probability=judged.probability,
        state=item.state, retightened=item.retightened,
        place=_place(where.registration, where.position, where.since, where.text, zone),
        decision=item.disposition and item.disposition.decision, decided=item.decided,
    )  # fmt: skip
