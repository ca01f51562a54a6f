"""What is done to a fastener besides tightening it: loosened, replaced, found broken; steps, parts off and on."""

from typing import Any, NamedTuple

from torquelog.book.at_group import place
from torquelog.book.fasteners import fastener_state
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import Writing, writing
from torquelog.clock import Moment, offset_text
from torquelog.errors import TorquelogError
from torquelog.facts import cards, jobs, people
from torquelog.facts.card_form import Card, Group
from torquelog.rules.closing import TOOL_CLEAR
from torquelog.rules.demand import CONDITION
from torquelog.rules.fastener import State
from torquelog.work.record import owner_members


class Done(NamedTuple):
    """An act on record.

    Attributes:
        reference: its entry.
        job, group, item: which fastener; item None for the whole group, group "" for the job.
        act: what was done.
        at: when, in milliseconds since 1970 UTC.
        state: the fastener after it, where one fastener is meant.
    """

    reference: str
    job: str
    group: str
    item: int | None
    act: str
    at: Moment
    state: State | None


class Work(NamedTuple):
    """Who did it, when (None for now), and why, where a reason is given."""

    performed_by: str
    performed_at: Moment | None = None
    why: str | None = None


def act(
    book: Book,
    signer: Signer,
    job: str,
    group_id: str,
    item: int,
    what: str,
    work: Work,
    *,
    found: str | None = None,
    part: str | None = None,
    serial: str | None = None,
    lots: tuple[str, ...] = (),
) -> Done:
    """Record that a fastener was loosened, replaced, found in a state, or locked.

    Args:
        book, signer: where, and who signs.
        job, group_id, item: which fastener.
        what: one of `facts.acts.ACTS`.
        work: who, when, why.
        found: for `found`, one of `facts.acts.FOUND`.
        part, serial, lots: the hardware fitted, for `replaced`.

    Raises:
        TorquelogError: where job, group or fastener is not there, the performer had no role, or the time
            lies in the future.
    """
    with writing(book) as w:
        found_job, _, group = place(w.connection, job, group_id, item)
        now = w.time()
        at = performed(w, work, now)
        owner = jobs.owner_of(found_job, group)
        body: dict[str, Any] = {
            "job": job,
            "fastener": f"{group_id}:{item}",
            **owner_members(owner),
            "act": what,
        }
        optional = {"what": found, "part": part, "serial": serial, "lot": list(lots), "why": work.why}
        body |= {name: value for name, value in optional.items() if value}
        body |= {"performed_by": work.performed_by, "performed_at": offset_text(at, book.zone)}
        appended = w.append(signer, "act", body, at=now)
        after = fastener_state(w.connection, job, owner, group, item)
    return Done(appended.reference, job, group_id, item, what, at, after)


def performed(w: Writing, work: Work, now: Moment) -> Moment:
    """When the work was performed; raises `in-the-future`, `person-unknown` or `no-role`."""
    at = now if work.performed_at is None else work.performed_at
    if at > now:
        raise TorquelogError(
            "in-the-future", "The time of the work lies later than now. Nothing was recorded."
        )
    if people.person(w.connection, work.performed_by) is None:
        raise TorquelogError(
            "person-unknown", f"Nobody is enrolled as {work.performed_by}. Nothing was recorded."
        )
    if "technician" not in people.roles_to_perform(w.connection, w.station, work.performed_by, at):
        raise TorquelogError(
            "no-role",
            f"{work.performed_by} did not hold the role technician at that time. Nothing was recorded.",
        )
    return at


def step(
    book: Book, signer: Signer, job: str, target: tuple[str, int | None] | None, name: str, work: Work,
    *, value: str | None = None,
) -> Done:  # fmt: skip
    """Record a card's step, a locking, or an operational check.

    Args:
        book, signer: where, and who signs.
        job: the job.
        target: group and number (None: the whole group), or None for an operational check.
        name: the step, the locking in small letters, or the check.
        work: who, when, why.
        value: what was seen or measured.

    Raises:
        TorquelogError: as `act` does, and `step-unknown`.
    """
    with writing(book) as w:
        found_job, card = job_and_card(w, job)
        body: dict[str, Any] = {"job": job}
        if target is None:
            _known_check(card, name, value)
        else:
            _, _, group = place(w.connection, job, target[0], target[1] or 1)
            _known_step(group, name)
            body["group"] = group.id
            if target[1] is not None:
                body["item"] = str(target[1])
            body |= owner_members(jobs.owner_of(found_job, group))
        now = w.time()
        at = performed(w, work, now)
        body["step"] = name
        body |= {key: text for key, text in (("value", value), ("why", work.why)) if text}
        body |= {"performed_by": work.performed_by, "performed_at": offset_text(at, book.zone)}
        appended = w.append(signer, "step", body, at=now)
    group_id, item = target or ("", None)
    return Done(appended.reference, job, group_id, item, name, at, None)


def job_and_card(w: Writing, name: str) -> tuple[jobs.Job, Card]:
    """An open job and its card; raises `job-unknown`, `job-closed` or `card-unknown`."""
    job = jobs.job(w.connection, name)
    if job is None:
        raise TorquelogError(
            "job-unknown", f"There is no job {name}. Nothing was recorded.", hint="torquelog job list"
        )
    if job.closed is not None:
        raise TorquelogError("job-closed", f"{name} is closed. Nothing was recorded.")
    card = cards.card_by_digest(w.connection, job.digest)
    if card is None:
        raise TorquelogError("card-unknown", f"The card of {name} is not on record. Nothing was recorded.")
    return job, card


def _known_check(card: Card, name: str, value: str | None) -> None:
    if name == TOOL_CLEAR:
        if not value:
            raise TorquelogError(
                "needs-option",
                "Which tool is accounted for? Nothing was recorded.",
                hint="Name it with --value.",
            )
        return
    if card.check(name) is None:
        names = ", ".join(check.id for check in card.checks) or "none"
        raise TorquelogError(
            "step-unknown",
            f"{card.card} has no operational check {name}. Its checks: {names}. Nothing was recorded.",
        )


def _known_step(group: Group, name: str) -> None:
    names = [each.id for each in group.steps if each.spec is None]
    names += [CONDITION] if group.condition else []
    names += [locking.replace(" ", "-") for locking in group.locking]
    if name in names:
        return
    each = group.step(name)
    if each is not None:
        raise TorquelogError(
            "step-unknown",
            f"Step {name} of {group.id} asks for a torque, so it takes a reading. Nothing was recorded.",
            hint=f"torquelog record {group.id}:1 READING --step {name}",
        )
    have = ", ".join(names) or "none"
    raise TorquelogError(
        "step-unknown", f"Group {group.id} has no step {name}. What it has: {have}. Nothing was recorded."
    )


def part(
    book: Book, signer: Signer, job: str, change: str, number: str, work: Work,
    *, serial: str | None = None, lot: str | None = None,
) -> Done:  # fmt: skip
    """Record a part taken off or put on.

    Raises:
        TorquelogError: as `act` does. A new part may go on for which nothing came off.
    """
    with writing(book) as w:
        job_and_card(w, job)
        now = w.time()
        at = performed(w, work, now)
        body = {"job": job, "change": change, "part": number}
        body |= {key: text for key, text in (("serial", serial), ("lot", lot), ("why", work.why)) if text}
        body |= {"performed_by": work.performed_by, "performed_at": offset_text(at, book.zone)}
        appended = w.append(signer, "part", body, at=now)
    return Done(appended.reference, job, "", None, change, at, None)
