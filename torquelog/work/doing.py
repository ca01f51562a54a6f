"""Carrying out what the guided session wants done: each effect through the act that single commands use, too."""

from collections.abc import Callable, Mapping
from typing import Final

from torquelog.book.jobview import JobState, job_state
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.errors import STORAGE, TorquelogError
from torquelog.facts import acts, handing, readings
from torquelog.ledger.form import parse_reference
from torquelog.ledger.text import gate_identifier
from torquelog.rules import fastener
from torquelog.rules.closing import not_accepted
from torquelog.rules.demand import CONDITION, locking_steps
from torquelog.work import correct, fasteners, plan, session_news
from torquelog.work import handing as hands
from torquelog.work.bench import look_up
from torquelog.work.fasteners import Work
from torquelog.work.plan import Facts
from torquelog.work.record import Recorded, record, surely
from torquelog.work.session_question import question
from torquelog.work.session_state import (
    Act,
    Do,
    Effect,
    HandOver,
    Last,
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
    told = readings.lots_told(book.connection, state.job.job)
    return fresh._replace(confirmed=confirmed, left_out=out, lots=told)


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


Taken = Callable[[Last], None]
"""Told of a reading the moment it is on record, before anything else is looked up."""


def carry_out(
    book: Book, signer: Signer, session: Session, effect: Effect, entry_id: str, taken: Taken | None = None
) -> Session:
    """Carry out one effect, and tell the session what became of it.

    Args:
        book, signer: where, and who signs.
        session: as it stands.
        effect: what it wants done.
        entry_id: 32 hex digits, drawn just now, that a reading bears: after a trouble of the disk it is looked up by it.
        taken: who is told of a reading as soon as it is on record.

    Raises:
        TorquelogError: a trouble of the storage, or of the signature; any other is said in the session.
    """
    try:
        if isinstance(effect, Read):
            return _read(book, signer, session, effect, entry_id, taken)
        return _carried_out(book, signer, session, effect)
    except TorquelogError as error:
        if error.exit == STORAGE or error.code in ENDING:
            raise
        return session_news.trouble(session, error)


def _carried_out(
    book: Book, signer: Signer, session: Session, effect: LookUp | Act | Do | Strike | LeaveOut | HandOver
) -> Session:
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


def _read(
    book: Book, signer: Signer, session: Session, effect: Read, entry_id: str, taken: Taken | None
) -> Session:
    found = surely(book, lambda: record(book, signer, effect.asked, entry_id=entry_id, new_id=True), entry_id)
    if taken is not None:
        taken(session_news.last_of(found))
    return session_news.recorded(session, found, _after_reading(book, session, found), book.clock.now())


def _after_reading(book: Book, session: Session, found: Recorded) -> Facts:
    """The job after a reading, worked out from how its fastener stood: the record is not asked, however large it is.

    Where others have written meanwhile, whoever drives the session looks at the whole job again.
    """
    if session.facts.neighbours:
        return _facts(book, session)
    place = (found.asked.group, found.asked.item)
    group = session.facts.card.group(place[0])
    assert group is not None  # noqa: S101  the session asks for groups of its card
    state = fastener.state(
        [_event(session.job, found)], session.job, above=group.above, continues=group.continues,
        locking=locking_steps(group), start=session.facts.states[place],
    )  # fmt: skip
    return session.facts._replace(states={**session.facts.states, place: state})


def _event(job: str, found: Recorded) -> fastener.Event:
    """A reading as an event of its fastener's life."""
    station, number = parse_reference(found.reference)
    asked = found.asked
    return fastener.Event(
        found.performed_at, found.recorded_at, station, number, "reading", job, found.outcome,
        slot=(asked.step or "", asked.pass_ or 0), tighten=found.act == "tighten", loosened=asked.loosened,
        over="beyond" in found.marks, worn="worn" in found.marks, waits="awaits" in found.marks, wrench=asked.wrench,
    )  # fmt: skip


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
