"""Carrying out what the guided session wants done: each effect through the act that single commands use, too."""

from collections.abc import Mapping
from typing import Final

from torquelog.book.fasteners import fastener_state
from torquelog.book.jobview import JobState, job_state
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.errors import STORAGE, TorquelogError
from torquelog.facts import acts, handing, jobs
from torquelog.facts.jobs import Job, owner_of
from torquelog.ledger.text import gate_identifier
from torquelog.rules.closing import not_accepted
from torquelog.rules.demand import CONDITION
from torquelog.work import correct, fasteners, plan, session_news
from torquelog.work import handing as hands
from torquelog.work.bench import look_up
from torquelog.work.fasteners import Work
from torquelog.work.plan import Facts
from torquelog.work.record import look_up as recorded_by_id
from torquelog.work.record import record
from torquelog.work.session_question import question
from torquelog.work.session_state import (
    Act,
    Do,
    Effect,
    HandOver,
    LeaveOut,
    LookUp,
    Read,
    Session,
    Strike,
)
from torquelog.work.session_tools import gauged, in_hand, tried

ENDING: Final = frozenset(
    {"key-ended", "sign-in-ended", "sign-in-none", "sign-in-elsewhere", "sign-in-unsafe"}
)
"""Troubles after which somebody has to sign in before the session can go on."""


def begin(book: Book, job: str, person: str) -> Session:
    """A session at a job as it stands; everything that is in hand has to be said anew.

    Raises:
        TorquelogError: `job-unknown`.
    """
    state = job_state(book.connection, job)
    fresh = Session(state.job.job, person, facts_of(state))
    confirmed = _confirmed(book, state.job.job)
    out = frozenset((each.group, each.item) for each in handing.left_out(book.connection, state.job.job))
    return fresh._replace(confirmed=confirmed, left_out=out)


def facts_of(state: JobState) -> Facts:
    """What the session looks at of a job."""
    held = frozenset(
        group.id for group in state.card.groups if group.hold and not_accepted(state.view, group)
    )
    beside = frozenset((group, item) for group, items in state.view.neighbours.items() for item in items)
    return Facts(state.card, state.view.states, state.view.checks, held, state.job.job, beside)


def look_again(book: Book, session: Session, others: Mapping[plan.Place, str]) -> Session:
    """The session with the job as it stands now, after others have worked at it."""
    facts = facts_of(job_state(book.connection, session.job))
    again = session_news.refreshed(session, facts, others)
    return again._replace(confirmed=_confirmed(book, session.job))


def _confirmed(book: Book, job: str) -> frozenset[str]:
    return frozenset(
        step.group
        for step in acts.steps_of_job(book.connection, job)
        if step.step == CONDITION and step.group
    )


def carry_out(book: Book, signer: Signer, session: Session, effect: Effect, entry_id: str) -> Session:
    """Carry out one effect, and tell the session what became of it.

    Args:
        book, signer: where, and who signs.
        session: as it stands.
        effect: what it wants done.
        entry_id: 32 hex digits that a reading bears, so that it can be looked up after a trouble of the disk.

    Raises:
        TorquelogError: a trouble of the storage, or of the signature; any other is said in the session.
    """
    try:
        return _carried_out(book, signer, session, effect, entry_id)
    except TorquelogError as error:
        if error.exit == STORAGE or error.code in ENDING:
            raise
        return session_news.trouble(session, error)


def _carried_out(book: Book, signer: Signer, session: Session, effect: Effect, entry_id: str) -> Session:
    if isinstance(effect, Read):
        return _read(book, signer, session, effect, entry_id)
    if isinstance(effect, LookUp):
        return _look_up(book, session, effect)
    if isinstance(effect, Act):
        done = fasteners.act(
            book, signer, session.job, effect.group, effect.item, effect.what,
            Work(session.person, why=effect.why or None),
            found=effect.found or None, part=effect.part or None, lots=effect.lots,
        )  # fmt: skip
        return session_news.acted(session, effect, done.reference, _facts(book, session))
    if isinstance(effect, Do):
        return _do(book, signer, session, effect)
    if isinstance(effect, Strike):
        change = correct.Change(reading=effect.reading)
        struck = correct.correct(book, signer, effect.entry, effect.why, change)
        return session_news.struck(session, struck, _facts(book, session))
    if isinstance(effect, LeaveOut):
        entry = hands.leave_out(book, signer, session.job, effect.group, effect.item, effect.why)
        return session_news.left_out(session, effect, entry)
    return _hand_over(book, signer, session, effect)


def _read(book: Book, signer: Signer, session: Session, effect: Read, entry_id: str) -> Session:
    try:
        found = record(book, signer, effect.asked, entry_id=entry_id)
    except TorquelogError as error:
        again = recorded_by_id(book, entry_id) if error.code == "commit-unclear" else None
        if again is None:
            raise
        found = again
    return session_news.recorded(session, found, _after_reading(book, session, effect), book.clock.now())


def _after_reading(book: Book, session: Session, effect: Read) -> Facts:
    """The job after a reading: only its own fastener is asked for anew, however large the record has grown."""
    if session.facts.neighbours:
        return _facts(book, session)
    asked = effect.asked
    job = job_named_in(book, session)
    group = session.facts.card.group(asked.group)
    assert group is not None  # noqa: S101  the session asks for groups of its card
    state = fastener_state(book.connection, session.job, owner_of(job, group), group, asked.item)
    return session.facts._replace(states={**session.facts.states, (asked.group, asked.item): state})


def job_named_in(book: Book, session: Session) -> Job:
    """The job of a session."""
    found = jobs.job(book.connection, session.job)
    assert found is not None  # noqa: S101  a session begins at a job that is there
    return found


def _facts(book: Book, session: Session) -> Facts:
    return facts_of(job_state(book.connection, session.job))


def _look_up(book: Book, session: Session, effect: LookUp) -> Session:
    asked = question(session)
    group = session.facts.card.group(asked.target.group) if asked.target and asked.target.group else None
    wrench = gate_identifier(effect.wrench, "a tool")
    adapters = [gate_identifier(name, "a tool") for name in effect.adapters]
    bench = look_up(
        book, wrench, adapters, person=session.person, job=session.job,
        direction=group.direction if group else "", ahead=_ahead(session, group.id if group else ""),
    )  # fmt: skip
    if effect.purpose == "run-on":
        return gauged(session, bench)
    if effect.purpose == "try":
        return tried(session, bench, asked)
    return in_hand(session, bench, asked, effect.setting)


def _ahead(session: Session, group: str) -> int:
    """How many readings a group still asks for after the next one."""
    waiting = [each for each in plan.targets(session.facts) if each.group == group and each.kind == "reading"]
    return max(0, len(waiting) - 1)


def _do(book: Book, signer: Signer, session: Session, effect: Do) -> Session:
    target = (effect.group, effect.item or None) if effect.group else None
    done = fasteners.step(
        book, signer, session.job, target, effect.step, Work(session.person), value=effect.value or None
    )
    facts = _facts(book, session)
    return session_news.done(session, effect, done.reference, facts, _confirmed(book, session.job))


def _hand_over(book: Book, signer: Signer, session: Session, effect: HandOver) -> Session:
    handed = hands.hand_over(
        book, signer, session.job, gate_identifier(effect.to, "a person"), why=effect.why or None
    )
    return session_news.handed_over(session, handed.taker, handed.reference)
