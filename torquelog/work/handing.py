"""Work that changes hands: a fastener left out for now, a job handed over and taken over, per fastener and pass."""

from collections.abc import Iterator
from typing import Any, NamedTuple

from torquelog.book.jobview import JobState, job_state
from torquelog.book.named import job_named
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import Writing, writing
from torquelog.errors import TorquelogError
from torquelog.facts import handing, people
from torquelog.facts.handing import HandOver
from torquelog.ledger.form import reference
from torquelog.rules.demand import slots
from torquelog.rules.names import fasteners_name


class OpenPart(NamedTuple):
    """What is open in one group for one reason: the group, the pass, step or reason, and the fasteners' numbers."""

    group: str
    slot: str
    items: tuple[int, ...]

    @property
    def words(self) -> str:
        """As people say it: "tie bolts 3 to 12, pass 2"."""
        name = fasteners_name(self.group, self.items) if self.items else self.group.replace("-", " ")
        return f"{name[:1].upper()}{name[1:]}: {self.slot}"


class Handed(NamedTuple):
    """A job that changed hands.

    Attributes:
        reference: the entry.
        state: the job as it stood.
        giver, taker: from whom and to whom; giver "" where nobody handed it over.
        open: what was open.
        given: the hand-over that was accepted, `QHR-000123`, or "".
        changed: whether something else was open when it was handed over.
    """

    reference: str
    state: JobState
    giver: str
    taker: str
    open: tuple[OpenPart, ...]
    given: str = ""
    changed: bool = False


def leave_out(book: Book, signer: Signer, job: str, group_id: str, item: int, why: str) -> str:
    """Record that a fastener is left out for now; it stays open. Gives the entry.

    Raises:
        TorquelogError: where job, group or fastener is not there, or the job is closed.
    """
    from torquelog.book.at_group import place

    with writing(book) as w:
        place(w.connection, job, group_id, item)
        body = {"job": job, "fastener": f"{group_id}:{item}", "why": why}
        return w.append(signer, "left-out", body).reference


def open_parts(state: JobState) -> tuple[OpenPart, ...]:
    """What is open in a job, per fastener and pass, in the order of its card."""
    return tuple(_open_parts(state))


def _open_parts(state: JobState) -> Iterator[OpenPart]:
    for group in state.card.groups:
        for slot in slots(group):
            items = [item for item in group.order if slot.key not in state.view.states[group.id, item].done]
            if items:
                yield OpenPart(group.id, slot.name, tuple(sorted(items)))
        hurt = [item for item in group.order if _hurt(state, group.id, item)]
        if hurt:
            yield OpenPart(group.id, "to be loosened or replaced", tuple(sorted(hurt)))


def _hurt(state: JobState, group: str, item: int) -> bool:
    now = state.view.states[group, item]
    return now.broken or now.over or now.loosen_first


def _members(parts: tuple[OpenPart, ...]) -> list[dict[str, Any]]:
    return [
        {"group": part.group, "slot": part.slot, "items": [str(item) for item in part.items]}
        for part in parts
    ]


def hand_over(book: Book, signer: Signer, name: str, to: str, *, why: str | None = None) -> Handed:
    """Hand a job over to somebody, with what is open in it.

    Args:
        book, signer: where, and who gives it.
        name: the job.
        to: who is to take it over.
        why: what is to be said, or nothing.

    Raises:
        TorquelogError: `job-unknown`, `job-closed`, `person-unknown`, `no-role`.
    """
    with writing(book) as w:
        state = _open_job(w, name)
        _check_taker(w, to)
        parts = open_parts(state)
        body = {
            "job": state.job.job, "to": to, "open": _members(parts), "taken": str(state.taken),
            "asked": str(state.asked),
        }  # fmt: skip
        entry = w.append(signer, "hand-over", body | ({"why": why} if why else {}))
    return Handed(entry.reference, state, signer.person, to, parts)


def take_over(book: Book, signer: Signer, name: str, *, why: str | None = None) -> Handed:
    """Take a job over: what is open in it is accepted as it stands now.

    Args:
        book, signer: where, and who takes it.
        name: the job.
        why: the reason, where nobody handed it over to this person.

    Raises:
        TorquelogError: `job-unknown`, `job-closed`, `not-handed-over`.
    """
    with writing(book) as w:
        state = _open_job(w, name)
        given = handing.waiting(w.connection, state.job.job)
        mine = given is not None and given.taker == signer.person
        if not mine and not why:
            raise _not_handed_over(state, given, signer.person)
        parts = open_parts(state)
        body: dict[str, Any] = {"job": state.job.job, "open": _members(parts)}
        named = reference(given.station, given.number) if given is not None else ""
        body |= {"hand_over": named} if named else {}
        entry = w.append(signer, "take-over", body | ({"why": why} if why else {}))
        changed = bool(given) and _given_open(w, given) != _members(parts)
    giver = given.giver if given is not None else ""
    return Handed(entry.reference, state, giver, signer.person, parts, named, changed)


def _given_open(w: Writing, given: HandOver | None) -> Any:
    from torquelog.book.entries import the_entry

    assert given is not None  # noqa: S101  its caller has looked
    return the_entry(w.connection, reference(given.station, given.number)).body["open"]


def _open_job(w: Writing, name: str) -> JobState:
    job = job_named(w.connection, name)
    if job.closed is not None:
        raise TorquelogError("job-closed", f"{job.job} is closed. Nothing was recorded.")
    return job_state(w.connection, job.job)


def _check_taker(w: Writing, to: str) -> None:
    if people.person(w.connection, to) is None:
        raise TorquelogError("person-unknown", f"Nobody is enrolled as {to}. Nothing was recorded.")
    if "technician" not in people.roles_to_perform(w.connection, w.station, to, w.time()):
        raise TorquelogError(
            "no-role",
            f"{to} does not hold the role technician, so the job cannot go to {to}. Nothing was recorded.",
        )


def _not_handed_over(state: JobState, given: HandOver | None, person: str) -> TorquelogError:
    said = f"It was handed over to {given.taker}." if given is not None else ""
    return TorquelogError(
        "not-handed-over",
        f"Nobody handed {state.job.job} over to {person}. Nothing was recorded.",
        why=said,
        hint="Take it over all the same by adding --why with the reason.",
    )
