"""The keys at a fastener: back, strike, leave out, found, wrench, adapter, run-on torque, hand over, stop."""

from collections.abc import Callable
from typing import Final

from torquelog.rules import demand
from torquelog.work.plan import Target
from torquelog.work.scan import item_number
from torquelog.work.session_question import Question
from torquelog.work.session_state import (
    ON_FASTENER,
    Dialogue,
    HandOver,
    LookUp,
    Session,
    Turn,
    group_of,
    name_of,
)
from torquelog.work.session_tools import adapters_said, wrench_said
from torquelog.work.session_words import ANY_TIME, BACK, KEYS

Key = Callable[[Session, str, Target | None], Turn]


def key_of(line: str) -> tuple[str, str]:
    """A key of one letter and what stands behind it; "" where the line begins with no such key."""
    first, _, rest = line.partition(" ")
    return (first.lower(), rest.strip()) if first.lower() in _KEYS else ("", line)


def pressed(session: Session, line: str, asked: Question) -> Turn | None:
    """What a key brings; nothing where the line is none."""
    key, rest = key_of(line)
    return _KEYS[key](session, rest, asked.target) if key else None


def stop(session: Session, _rest: str = "", _target: Target | None = None) -> Turn:
    """End here; nothing is lost by it."""
    return Turn(session._replace(ended="stop", dialogue=None))


def _help(session: Session, _rest: str, _target: Target | None) -> Turn:
    return Turn(session.saying(*(f"{key:<6}{what}" for key, what in KEYS), ANY_TIME, BACK))


def _back(session: Session, _rest: str, _target: Target | None) -> Turn:
    """Look at the readings before, one further back each time."""
    back = session.looking + 1
    if back > len(session.history):
        return Turn(session._replace(looking=0).saying("There is no earlier reading in this session."))
    last = session.history[-back]
    name = name_of(session, (last.group, last.item))
    said = (
        f"{name}, {last.slot}: {last.indicated} on the wrench, {last.applied}, {last.outcome}, {last.entry}."
    )
    return Turn(session._replace(looking=back).saying(said, "Nothing is undone. b goes further back."))


def _wrong(session: Session, _rest: str, _target: Target | None) -> Turn:
    if session.entry is None:
        return Turn(
            session.saying("Nothing was recorded in this session. torquelog correct strikes an older entry.")
        )
    entry, kind = session.entry
    last = session.history[-1] if session.history and session.history[-1].entry == entry else None
    if kind == "reading" and last is not None:
        return Turn(
            session._replace(dialogue=Dialogue("really", (last.group, last.item), last.indicated, entry))
        )
    return Turn(session._replace(dialogue=Dialogue("why-struck", entry=entry)))


def _leave(session: Session, _rest: str, target: Target | None) -> Turn:
    if target is None:
        return Turn(session.saying("There is nothing to leave out."))
    if target.kind in ON_FASTENER:
        return Turn(session._replace(dialogue=Dialogue("why-left", target.place)))
    from torquelog.work.session_state import left_key

    return Turn(session._replace(left=session.left | {left_key(target)}).saying("Left open for now."))


def _found(session: Session, rest: str, target: Target | None) -> Turn:
    if target is None or not target.group:
        return Turn(session.saying("torquelog found JOB GROUP:N WHAT records it."))
    group = group_of(session, target.group)
    item = item_number(rest) if rest else target.item
    if not 1 <= item <= group.count:
        return Turn(session.saying(f"{group.id} has {group.id}:1 to {group.id}:{group.count}."))
    return Turn(session._replace(dialogue=Dialogue("found", (group.id, item))))


def _wrench(session: Session, rest: str, _target: Target | None) -> Turn:
    if rest:
        return wrench_said(session, rest, "hand")
    return Turn(session._replace(dialogue=Dialogue("other-wrench")))


def _adapter(session: Session, rest: str, _target: Target | None) -> Turn:
    if rest:
        return adapters_said(session, rest)
    return Turn(session._replace(dialogue=Dialogue("adapters")))


def _run_on(session: Session, rest: str, target: Target | None) -> Turn:
    if target is None or target.kind != "reading":
        return Turn(session.saying("Run-on torque is measured at a fastener that is being tightened."))
    if rest:
        return wrench_said(session, rest, "run-on")
    group = group_of(session, target.group)
    if not demand.needs_run_on(group) and group.run_on is None:
        return Turn(session.saying("This card asks for no run-on torque here."))
    kind = "run-on" if session.gauge is not None else "gauge"
    return Turn(session._replace(dialogue=Dialogue(kind, target.place)))


def _hand_over(session: Session, rest: str, _target: Target | None) -> Turn:
    person, _, why = rest.partition(" ")
    if person:
        return Turn(session, (HandOver(person.upper(), why.strip()),))
    return Turn(session._replace(dialogue=Dialogue("hand-over")))


def hand_over_said(session: Session, line: str) -> Turn:
    """To whom the job goes, and what is to be said."""
    if not line:
        return Turn(session._replace(dialogue=None).saying("Not handed over."))
    return _hand_over(session, line, None)


_KEYS: Final[dict[str, Key]] = {
    "?": _help,
    "b": _back,
    "x": _wrong,
    "s": _leave,
    "f": _found,
    "w": _wrench,
    "a": _adapter,
    "r": _run_on,
    "o": _hand_over,
    "q": stop,
}


def look_up_gauge(session: Session, line: str) -> Turn:
    """What measures the run-on torque; `=` for the wrench in hand with its adapters."""
    if line == "=" and session.bench is not None:
        return Turn(session, (LookUp(session.bench.wrench.tool, session.bench.adapters, "run-on"),))
    return wrench_said(session, line, "run-on")
