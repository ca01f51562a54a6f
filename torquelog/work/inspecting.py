"""Inspecting: fasteners of one group accepted or rejected, by somebody who did none of their work."""

from collections.abc import Sequence
from typing import Any, NamedTuple

from torquelog.book.inspectors import inspectors
from torquelog.book.jobview import JobState, job_state
from torquelog.book.named import job_named
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import Writing, writing
from torquelog.clock import offset_text
from torquelog.errors import TorquelogError
from torquelog.facts import inspections, jobs
from torquelog.facts.card_form import Group
from torquelog.rules import bounds, inspecting
from torquelog.rules.closing import not_accepted
from torquelog.rules.grounds import REMARKS, Remark
from torquelog.rules.names import fasteners_name
from torquelog.work.record import owner_members


class Verdict(NamedTuple):
    """What an inspector says of some fasteners of a group.

    Attributes:
        group: the group; items: its numbers, or nothing for all of them that the card has.
        accepted: whether they are accepted.
        seen: the wrenches that the inspector read, blind.
        why: what was found; a rejection has one.
    """

    group: str
    items: tuple[int, ...]
    accepted: bool
    seen: tuple[str, ...] = ()
    why: str | None = None


class Inspection(NamedTuple):
    """An inspection on record: its entry, the fasteners, the outcome, whether independent, and what else to know."""

    reference: str
    group: str
    items: tuple[int, ...]
    outcome: str
    own: bool
    remarks: tuple[Remark, ...]

    @property
    def name(self) -> str:
        """The fasteners as people say them."""
        return fasteners_name(self.group, self.items)


def inspect(book: Book, signer: Signer, name: str, verdict: Verdict) -> Inspection:
    """Record an inspection of some fasteners of one group.

    Args:
        book: the record.
        signer: who inspects, by passphrase.
        name: the job.
        verdict: what is said.

    Raises:
        TorquelogError: `job-unknown`, `job-closed`, `group-unknown`, `fastener-unknown`; `inspection-bounds`,
            `needs-another`, `why-missing`; `not-finished`, `wrench-seen-missing`, `wrench-seen-other`.
    """
    with writing(book) as w:
        state, group, items = _place(w, name, verdict)
        states = {item: state.view.states[group.id, item] for item in items}
        if not verdict.accepted and not verdict.why:
            raise TorquelogError(
                "why-missing", "A rejection says what was found. Nothing was recorded.", hint="Add --why."
            )
        if verdict.accepted:
            inspecting.check_finished(group, states)
            inspecting.check_seen(verdict.seen, states)
        own = _own(w, state, group, signer.person, verdict)
        now = w.time()
        body: dict[str, Any] = {
            "job": state.job.job, "group": group.id, "items": [str(item) for item in items],
            **owner_members(jobs.owner_of(state.job, group)),
            "outcome": "accepted" if verdict.accepted else "rejected",
        }  # fmt: skip
        body |= {"wrench_seen": list(verdict.seen)} if verdict.seen else {}
        body |= {"performed_by": signer.person, "performed_at": offset_text(now, book.zone)}
        body |= {"why": verdict.why} if verdict.why else {}
        kind = "re-inspection" if own else "inspection"
        entry = w.append(signer, kind, body, at=now)
        both = signer.person in inspections.performed_in_job(w.connection, state.job.job)
    remarks = _remarks(signer.person, own, both)
    return Inspection(entry.reference, group.id, items, body["outcome"], own, remarks)


def _place(w: Writing, name: str, verdict: Verdict) -> tuple[JobState, Group, tuple[int, ...]]:
    job = job_named(w.connection, name)
    if job.closed is not None:
        raise TorquelogError("job-closed", f"{job.job} is closed. Nothing was recorded.")
    state = job_state(w.connection, job.job)
    group = state.card.group(verdict.group)
    if group is None:
        names = ", ".join(each.id for each in state.card.groups)
        raise TorquelogError(
            "group-unknown",
            f"{job.job} has no group {verdict.group}. Its groups: {names}. Nothing was recorded.",
        )
    beyond = [item for item in verdict.items if not 1 <= item <= group.count]
    if beyond:
        raise TorquelogError(
            "fastener-unknown",
            f"{job.job} has {group.id}:1 to {group.id}:{group.count}; there is no {beyond[0]}. Nothing was recorded.",
        )
    return state, group, tuple(sorted(set(verdict.items))) or tuple(range(1, group.count + 1))


def _own(w: Writing, state: JobState, group: Group, inspector: str, verdict: Verdict) -> bool:
    """Whether the performer looks again himself, as nobody else is there."""
    owner = jobs.owner_of(state.job, group)
    performers = inspections.performers(w.connection, owner, group.id, frozenset({state.job.job}))
    held = inspectors(w.connection, w.station, w.time())
    if inspector not in performers:
        bounds.check(inspector, state.card, group, held, performers)
    others = bounds.may_inspect(state.card, group, held)
    return bool(inspecting.independent(group.id, inspector, performers, others, verdict.why))


def _remarks(inspector: str, own: bool, both: bool) -> tuple[Remark, ...]:
    found = []
    if own:
        found.append(
            Remark(
                "own-inspection", f"{inspector} looked again at work of their own, as nobody else is there."
            )
        )
    elif both:
        found.append(Remark("both-sides", f"{inspector} did other work in this job."))
    assert all(each.code in REMARKS for each in found)  # noqa: S101  the codes are published
    return tuple(found)


def waiting(state: JobState) -> list[tuple[Group, list[int]]]:
    """What is to be inspected in a job, group by group, rejected fasteners included."""
    found = []
    for group in state.card.groups:
        items = set(not_accepted(state.view, group))
        items |= {item for item in range(1, group.count + 1) if state.view.states[group.id, item].rejected}
        if items:
            found.append((group, sorted(items)))
    return found


def ready(state: JobState, group: Group, items: Sequence[int]) -> list[int]:
    """Those of some fasteners that are finished, so that they can be accepted."""
    from torquelog.rules import fastener
    from torquelog.rules.demand import slots

    return [item for item in items if fastener.is_done(state.view.states[group.id, item], slots(group))]
