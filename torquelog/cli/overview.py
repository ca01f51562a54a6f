"""Where everybody stands: who is signed in, with which jobs and tools, what else is open, and what may not be used."""

from typing import TYPE_CHECKING, NamedTuple

from torquelog.book.backup import LastBackup, last_backup
from torquelog.book.jobview import JobState, job_state
from torquelog.book.toolbox import fitness_at
from torquelog.cli import carry
from torquelog.cli.answer import Json
from torquelog.cli.context import Context
from torquelog.clock import Moment, local_date, offset_text
from torquelog.facts import custody, jobs, people, tools
from torquelog.facts.custody import Whereabouts
from torquelog.facts.lately import last_work
from torquelog.facts.tools import Tool
from torquelog.rules.fitness import Fitness
from torquelog.work.signing import all_signed_in

if TYPE_CHECKING:
    from collections.abc import Iterable

    from torquelog.book.opening import Book


class Held(NamedTuple):
    """A tool that somebody has: which, since when and for what, and how fit it is."""

    tool: Tool
    where: Whereabouts
    fitness: Fitness


class Here(NamedTuple):
    """Somebody who is signed in on this terminal.

    Attributes:
        person, name, roles: who.
        until: the end of the sign-in, in milliseconds since 1970 UTC.
        job: the job they are at, if it is open: the one they named last, else that of their last reading.
        stopped: when they worked in it last, or nothing.
        tools: what is issued to them.
    """

    person: str
    name: str
    roles: tuple[str, ...]
    until: Moment
    job: JobState | None
    stopped: Moment | None
    tools: tuple[Held, ...]


class Overview(NamedTuple):
    """How a station stands.

    Attributes:
        now: when this was looked at, in milliseconds since 1970 UTC.
        here: who is signed in on this terminal.
        open: the open jobs that nobody here is at, oldest first.
        unfit: tools that may not be used now, by number; retired ones are left out.
        tools: how many tools are registered.
        backup: the last backup that this account noted, or nothing.
        pending: tools that wait for a recall, each once.
        recalls: the recalls that are not closed, each with how many of its fasteners are undecided.
        waiting: how many entries of open jobs wait for a second person.
    """

    now: Moment
    here: tuple[Here, ...]
    open: tuple[JobState, ...]
    unfit: tuple[str, ...]
    tools: int
    backup: LastBackup | None
    pending: tuple[str, ...] = ()
    recalls: tuple[tuple[str, int], ...] = ()
    waiting: int = 0


def look(context: Context, book: "Book") -> Overview:
    """How the station stands now."""
    now = context.now
    here = tuple(_here(context, book, sign_in.person, sign_in.until) for sign_in in all_signed_in(book))
    at_work = {each.job.job.job for each in here if each.job is not None}
    others = [each.job for each in jobs.open_jobs(book.connection) if each.job not in at_work]
    registered = [tool for sort in ("wrench", "adapter") for tool in tools.tools(book.connection, sort)]
    states = tuple(job_state(book.connection, name) for name in others)
    at_work_states = [each.job for each in here if each.job is not None]
    return Overview(
        now, here, states,
        tuple(tool.tool for tool in registered if _may_not_be_used(book, tool, now)), len(registered),
        last_backup(book.identity), _pending(book), _recalls(book), _waiting((*at_work_states, *states)),
    )  # fmt: skip


def _pending(book: "Book") -> tuple[str, ...]:
    from torquelog.book.recall_causes import pending

    return tuple(dict.fromkeys(each.tool for each in pending(book.connection)))


def _recalls(book: "Book") -> tuple[tuple[str, int], ...]:
    from torquelog.facts import recalls
    from torquelog.quality.recall_view import listed

    found = (listed(book.connection, each) for each in recalls.recalls(book.connection))
    return tuple((each.recall.recall, each.undecided) for each in found if each.state != "closed")


def _waiting(states: "Iterable[JobState]") -> int:
    seen = {each.job.job: each for each in states}
    return sum(hold.code == "awaits-confirmation" for each in seen.values() for hold in each.holds)


def _here(context: Context, book: "Book", person: str, until: Moment) -> Here:
    found = people.person(book.connection, person)
    grants = people.grants(book.connection, book.station, person, context.now)
    last = last_work(book.connection, person)
    named = carry.current_job(context, book, person) or (last[0] if last else None)
    job = named and jobs.job(book.connection, named)
    at = job_state(book.connection, job.job) if job and job.closed is None else None
    return Here(
        person, found.name if found else person, tuple(grant.role for grant in grants), until, at,
        last[1] if last and at and last[0] == at.job.job else None,
        tuple(_held(book, context.now, *each) for each in custody.issued(book.connection, person=person)),
    )  # fmt: skip


def _held(book: "Book", now: Moment, name: str, where: Whereabouts) -> Held:
    tool = tools.tool(book.connection, name)
    assert tool is not None  # noqa: S101  what is issued was registered
    return Held(tool, where, fitness_at(book.connection, book, tool, now))


def _may_not_be_used(book: "Book", tool: Tool, now: Moment) -> bool:
    if custody.whereabouts(book.connection, tool.tool).kind == "retired":
        return False
    return bool(fitness_at(book.connection, book, tool, now).grounds)


def data(book: "Book", found: Overview) -> dict[str, Json]:
    """How the station stands, for programs."""
    return {
        "signed_in": [
            {
                "person": each.person,
                "name": each.name,
                "roles": list(each.roles),
                "until": offset_text(each.until, book.zone),
                "job": each.job and each.job.job.job,
                "tools": [_tool_data(book, held) for held in each.tools],
            }
            for each in found.here
        ],
        "open_jobs": [_job_data(each) for each in (*_at_work(found), *found.open)],
        "not_to_be_used": list(found.unfit),
        "pending_recalls": list(found.pending),
        "open_recalls": [{"recall": name, "undecided": undecided} for name, undecided in found.recalls],
        "awaiting_confirmation": found.waiting,
        "last_backup": None
        if found.backup is None
        else {"at": offset_text(found.backup.at, book.zone), "path": found.backup.path},
    }


def _at_work(found: Overview) -> list[JobState]:
    return [each.job for each in found.here if each.job is not None]


def _tool_data(book: "Book", held: Held) -> dict[str, Json]:
    due = held.fitness.due
    return {
        "tool": held.tool.tool,
        "sort": held.tool.sort,
        "fit": not held.fitness.grounds,
        "due": None if due is None else due.isoformat(),
        "since": None if held.where.since is None else str(local_date(held.where.since, book.zone)),
    }


def _job_data(state: JobState) -> dict[str, Json]:
    return {
        "job": state.job.job,
        "readings": {"taken": state.taken, "asked": state.asked},
        "open": len(state.holds),
    }
