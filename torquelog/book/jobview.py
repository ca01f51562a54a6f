"""A job as its facts stand: the state of every fastener, its steps, its tools, gathered for the rule of closing."""

import sqlite3
from typing import NamedTuple

from torquelog.book.fasteners import group_events, group_states
from torquelog.book.position import astray
from torquelog.errors import TorquelogError
from torquelog.facts import acts, cards, custody, handing, inspections, jobs, strikes, tools
from torquelog.facts.card_form import Card, Group
from torquelog.facts.jobs import Job
from torquelog.facts.rows import LATEST, AsOf
from torquelog.rules.closing import TOOL_CLEAR, Hold, JobView, ToolOut, holding
from torquelog.rules.demand import CONDITION, Slot, slots
from torquelog.rules.fastener import State
from torquelog.rules.neighbours import to_look_at


class JobState(NamedTuple):
    """A job with everything that a screen, a sheet or the closing asks of it.

    Attributes:
        job, card: the job and its card.
        view: what the rule of closing looks at.
        holds: what holds it open.
        taken, asked: how many of its slots with a torque are done, and how many there are.
    """

    job: Job
    card: Card
    view: JobView
    holds: tuple[Hold, ...]
    taken: int
    asked: int


def job_state(connection: sqlite3.Connection, name: str, as_of: AsOf = LATEST) -> JobState:
    """Everything there is to say about how far a job is.

    Raises:
        TorquelogError: `job-unknown`.
    """
    job = jobs.job(connection, name, as_of)
    if job is None:
        raise TorquelogError("job-unknown", f"There is no job {name}.", hint="torquelog job list")
    card = cards.card_by_digest(connection, job.digest)
    if card is None:
        raise TorquelogError("card-unknown", f"The card of {name} is not on record.")
    view = _view(connection, job, card, as_of)
    taken, asked = _progress(view)
    return JobState(job, card, view, holding(view), taken, asked)


def _view(connection: sqlite3.Connection, job: Job, card: Card, as_of: AsOf) -> JobView:
    states: dict[tuple[str, int], State] = {}
    for group in card.groups:
        states |= group_states(connection, job.job, jobs.owner_of(job, group), group, as_of)
    steps = acts.steps_of_job(connection, job.job, as_of)
    return JobView(
        job=job.job, card=card, states=states,
        checks=frozenset(step.step for step in steps if step.group is None),
        strikes_waiting=strikes.waiting_in_job(connection, job.job, as_of),
        tools_out=_tools_out(connection, job.job, as_of), parts_off=_parts_off(connection, job.job, as_of),
        performers={
            group.id: inspections.performers(connection, jobs.owner_of(job, group), group.id, frozenset({job.job}), as_of)
            for group in card.groups
            if group.inspection
        },
        handed=_handed(connection, job.job, as_of),
        tools_clear=frozenset(step.value for step in steps if step.step == TOOL_CLEAR and step.value),
        conditions=frozenset((step.group, step.item or 0) for step in steps if step.group and step.step == CONDITION),
        astray=tuple(astray(connection, job, card, as_of)),
        neighbours={
            group.id: _neighbours(connection, job, group, as_of) for group in card.groups if group.neighbours
        },
    )  # fmt: skip


def _neighbours(
    connection: sqlite3.Connection, job: Job, group: Group, as_of: AsOf
) -> dict[int, tuple[int, ...]]:
    events = group_events(connection, job.job, jobs.owner_of(job, group), group, as_of)
    return to_look_at(events, group.count, group.neighbours, job.job)


def _handed(connection: sqlite3.Connection, job: str, as_of: AsOf) -> tuple[str, str] | None:
    given = handing.waiting(connection, job, as_of)
    return (given.giver, given.taker) if given is not None else None


def _tools_out(connection: sqlite3.Connection, job: str, as_of: AsOf) -> list[ToolOut]:
    out = []
    for tool, where in custody.issued(connection, as_of, job=job):
        found = tools.tool(connection, tool)
        out.append(ToolOut(tool, found.sort if found else "wrench", where.person or ""))
    return out


def _parts_off(connection: sqlite3.Connection, job: str, as_of: AsOf) -> list[str]:
    off: list[str] = []
    for change in acts.parts_of_job(connection, job, as_of):
        if change.change == "off":
            off.append(change.part)
        elif change.part in off:
            off.remove(change.part)
    return off


def _progress(view: JobView) -> tuple[int, int]:
    taken = asked = 0
    for group in view.card.groups:
        wanted = [slot for slot in slots(group) if slot.spec is not None]
        asked += group.count * len(wanted)
        for item in range(1, group.count + 1):
            taken += _taken(view.states[group.id, item], wanted)
    return taken, asked


def _taken(now: State, wanted: list[Slot]) -> int:
    return sum(slot.key in now.done for slot in wanted)
