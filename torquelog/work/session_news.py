"""What became of an effect, told to the session: a reading on record, an act, a strike, a trouble."""

from collections.abc import Mapping
from typing import Final

from torquelog.clock import Moment
from torquelog.errors import TorquelogError
from torquelog.rules.grounds import Remark
from torquelog.torque.beside import beside
from torquelog.work import plan
from torquelog.work.correct import Corrected
from torquelog.work.plan import Facts
from torquelog.work.record import Recorded
from torquelog.work.session_state import Act, Do, Last, LeaveOut, Session, name_of
from torquelog.work.session_words import NOTHING

ALWAYS: Final = frozenset(
    {"already-tight", "awaits-confirmation", "hold-passed", "loosen-first", "run-on-low"}
)
"""Remarks that are said each time; others once in a session."""


def recorded(session: Session, found: Recorded, facts: Facts, now: Moment) -> Session:
    """A reading is on record.

    Args:
        session: as it stood.
        found: the reading.
        facts: the job after it.
        now: when it is acknowledged; a second Enter within a second of it is the same press.
    """
    place = (found.asked.group, found.asked.item)
    last = last_of(found)
    fresh = _fresh(session, found)
    known = session._replace(
        facts=facts, history=(*session.history, last), entry=(found.reference, "reading"), chosen=None,
        entered=now if session.entered is not None else None, dialogue=None,
        told=session.told | {remark.code for remark in fresh},
        tolerated=session.tolerated - {place} if found.outcome in ("above", "refused") else session.tolerated,
    )  # fmt: skip
    return known.saying(*_said(session, found, last.applied), *(remark.message for remark in fresh))


def last_of(found: Recorded) -> Last:
    """A reading as it is shown."""
    asked = found.asked
    slot = asked.step or f"pass {asked.pass_}"
    applied = beside(found.applied, found.unit, found.limits)
    return Last(
        asked.group, asked.item, slot, asked.reading, applied, found.outcome, found.act, found.reference
    )


def _fresh(session: Session, found: Recorded) -> list[Remark]:
    """The remarks that are to be said: beside an outside reading only those that ask for something."""
    once = found.outcome == "within"
    return [each for each in found.remarks if each.code in ALWAYS or (once and each.code not in session.told)]


def _said(session: Session, found: Recorded, applied: str) -> list[str]:
    name = name_of(session, (found.asked.group, found.asked.item))
    if found.outcome == "refused":
        return [
            f"REFUSED. {name} has no reading from this and stays open; what was typed is kept as {found.reference}.",
            *(ground.message for ground in found.grounds),
        ]
    if found.outcome == "within":
        return []
    limits = found.limits.words(found.unit, 5)
    return [f"OUTSIDE. {name} got {applied}, {found.outcome} {limits}. On record as {found.reference}."]


def acted(session: Session, act: Act, entry: str, facts: Facts) -> Session:
    """A fastener was loosened, replaced or found in a state."""
    place = (act.group, act.item)
    name = name_of(session, place)
    tolerated = session.tolerated
    if act.what == "loosened" and facts.states[place].over:
        tolerated = tolerated | {place}
    run_ons = {key: value for key, value in session.run_ons.items() if key != place}
    known = session._replace(
        facts=facts, dialogue=None, entry=(entry, "act"), tolerated=tolerated, run_ons=run_ons, entered=None
    )
    words = {"loosened": "is loosened", "replaced": "has new hardware", "found": f"was found {act.found}"}
    return known.saying(f"{name} {words[act.what]}, {entry}.")


def done(session: Session, did: Do, entry: str, facts: Facts, confirmed: frozenset[str]) -> Session:
    """A step, a locking, a check or the condition of the threads is on record."""
    known = session._replace(
        facts=facts, confirmed=confirmed, entry=(entry, "step"), entered=None, chosen=None
    )
    what = did.step.replace("-", " ")
    whose = f" of {name_of(session, (did.group, did.item)).lower()}" if did.group else ""
    return known.saying(f"{what[:1].upper()}{what[1:]}{whose} is on record, {entry}.")


def struck(session: Session, found: Corrected, facts: Facts) -> Session:
    """An entry was struck, and perhaps recorded again."""
    history = tuple(last for last in session.history if last.entry != found.struck)
    said = [f"{found.struck} is struck, {found.strike}."]
    if found.awaits:
        said.append("It takes away what left the fastener open, so a second person has to confirm it.")
    known = session._replace(facts=facts, dialogue=None, history=history, entry=None, entered=None)
    if found.reading is None:
        return known.saying(*said)
    again = recorded(known, found.reading, facts, 0)
    return again._replace(entered=None).saying(*said, *again.said)


def left_out(session: Session, out: LeaveOut, entry: str) -> Session:
    """A fastener is on record as left out for now."""
    place = (out.group, out.item)
    known = session._replace(
        left=session.left | {(*place, "")}, left_out=session.left_out | {place}, dialogue=None, chosen=None,
        entry=(entry, "left-out"), entered=None,
    )  # fmt: skip
    return known.saying(f"{name_of(session, place)} is left out and stays open, {entry}.")


def handed_over(session: Session, to: str, entry: str) -> Session:
    """The job was handed over; the session ends."""
    return session._replace(ended="handed-over", dialogue=None).saying(
        f"{session.job} is handed over to {to}, {entry}. {to} takes it over with: torquelog job take-over {session.job}"
    )


def trouble(session: Session, error: TorquelogError) -> Session:
    """An effect could not be carried out; the session stands where it stood."""
    said = [part for part in (error.message, error.hint) if part]
    known = session._replace(entered=None)
    return known.saying(*said) if NOTHING in error.message else known.saying(*said, NOTHING)


def refreshed(session: Session, facts: Facts, others: Mapping[plan.Place, str]) -> Session:
    """Somebody else has worked at the job meanwhile, or is at some fasteners now."""
    return session._replace(facts=facts, others=others)
