"""A job as people read it and as programs are told: what it is about, how far it is, what holds it open."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from torquelog.cli import words
from torquelog.cli.answer import Json, Problem, Remark
from torquelog.cli.places import assembly_data, bears
from torquelog.clock import offset_text
from torquelog.facts import assemblies, cards, strikes
from torquelog.facts.card_form import Card, Group
from torquelog.facts.jobs import Job, owner_of
from torquelog.rules.cautions import BEFORE_THESE, cautions
from torquelog.rules.closing import Hold, why_open
from torquelog.rules.names import fasteners_name
from torquelog.rules.sayings import own_confirmation

if TYPE_CHECKING:
    from torquelog.book.jobview import JobState
    from torquelog.book.opening import Book

OWN_APPROVAL = Remark("own-approval", "The drafter approved this card, as nobody else could.")
RELEASES_NOTHING = "This is a record of work. It releases nothing to service."


def about(book: "Book", job: Job) -> str:
    """What a job is about: "wheel WH-2231, on the bench", "brake BR-0907, QQ-HLB main 1"."""
    parts = [f"{sort.replace('-', ' ')} {key.partition(' ')[2]}" for sort, key in job.assemblies.items()]
    if job.aircraft:
        parts.append(f"{bears(book.connection, job.aircraft)} {job.position}")
    else:
        parts.append("on the bench")
    return ", ".join(parts)


def own_words(book: "Book", job: Job) -> tuple[Remark, ...]:
    """The remarks that every answer about a job bears where one person said what two should have."""
    found = cards.approval(book.connection, job.digest)
    approved = (OWN_APPROVAL,) if found is not None and found.own else ()
    confirmed = strikes.own_in_job(book.connection, job.job)
    return (*approved, *(Remark("own-confirmation", own_confirmation(*each)) for each in confirmed))


def caution_lines(card: Card, job: Job) -> list[str]:
    """The cautions of a job, those of its card last; nothing where there are none."""
    found = [*cautions(card.kind, on_aircraft=job.aircraft is not None), *card.cautions]
    if not found:
        return []
    return ["Before you begin", *(f"  {each}" for each in [*found, BEFORE_THESE])]


def job_data(book: "Book", job: Job) -> dict[str, Json]:
    """A job, for programs."""
    named: dict[str, Json] = {}
    for sort, key in job.assemblies.items():
        found = assemblies.assembly(book.connection, key)
        named[sort] = assembly_data(found) if found else None
    on = job.aircraft
    return {
        "job": job.job,
        "entry": job.reference,
        "card": job.card,
        "revision": job.revision,
        "digest": job.digest,
        "aircraft": {"registration": bears(book.connection, on), "msn": on} if on else None,
        "position": job.position,
        "assemblies": named,
        "opened_by": job.opened_by,
        "opened_at": offset_text(job.opened, book.zone),
        "closed_at": None if job.closed is None else offset_text(job.closed, book.zone),
    }


def state_data(state: "JobState") -> dict[str, Json]:
    """How far a job is, for programs."""
    return {
        "readings": {"taken": state.taken, "asked": state.asked},
        "groups": [group_data(state, group) for group in state.card.groups],
        "open": [hold_data(hold) for hold in state.holds],
    }


def group_data(state: "JobState", group: Group) -> dict[str, Json]:
    """A group with each of its fasteners, for programs."""
    return {
        "group": group.id,
        "name": group.name,
        "owner": owner_of(state.job, group),
        "count": group.count,
        "fasteners": [fastener_data(state, group, item) for item in range(1, group.count + 1)],
    }


def fastener_data(state: "JobState", group: Group, item: int) -> dict[str, Json]:
    """A fastener as it stands: tight or not, done or why it is open."""
    now = state.view.states[group.id, item]
    reason = why_open(now, group)
    return {
        "fastener": f"{group.id}:{item}",
        "tight": now.tight,
        "done": reason is None,
        "open": None if reason is None else reason[0],
    }


def hold_data(hold: Hold) -> dict[str, Json]:
    """One thing that holds a job open, for programs."""
    return {"code": hold.code, "message": f"{hold.text} {hold.detail}".strip(), "command": hold.command}


def hold_problems(state: "JobState") -> tuple[Problem, ...]:
    """What holds a job open, each with the command that clears it."""
    return tuple(
        Problem(hold.code, f"{hold.text} {hold.detail}".strip(), hold.command) for hold in state.holds
    )


def group_lines(state: "JobState") -> Iterator[str]:
    """A line for each group: how many are done, and which are open for which reason."""
    for group in state.card.groups:
        reasons: dict[str, list[int]] = {}
        for item in range(1, group.count + 1):
            reason = why_open(state.view.states[group.id, item], group)
            reasons.setdefault(reason[1] if reason else "", []).append(item)
        done = len(reasons.pop("", []))
        parts = [f"{fasteners_name(group.id, items)} {reason}" for reason, items in reasons.items()]
        said = f"{done} of {words.count(group.count, words.group(group.id))} done"
        yield "; ".join([said, *parts])
