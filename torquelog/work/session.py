"""The guided session as a machine: a state and a line give a state and effects. Pure; it knows no clock and no record.

Whoever drives it asks `question` what to show, hands the typed line to `take`, carries out the effects, and tells
what became of them with the functions of `session_news`.
"""

from collections.abc import Callable
from typing import Final

from torquelog.clock import Moment
from torquelog.errors import TorquelogError
from torquelog.ledger.text import gate_text
from torquelog.rules.demand import CONDITION
from torquelog.work import session_hurt as hurt
from torquelog.work import session_keys as keys
from torquelog.work import session_reading as reading
from torquelog.work import session_tools as tools
from torquelog.work.plan import Target
from torquelog.work.scan import is_scan, item_number
from torquelog.work.session_question import Question, question
from torquelog.work.session_state import Do, Session, Turn, group_of, left_key
from torquelog.work.session_words import BACK, NOTHING

YES: Final = frozenset({"y", "yes"})
NO: Final = frozenset({"n", "no"})


def take(session: Session, line: str, now: Moment) -> Turn:
    """What a line brings.

    Args:
        session: as it stands.
        line: what was typed or scanned, without its end.
        now: when it was read, in milliseconds since 1970 UTC.
    """
    text = line.strip()
    asked = question(session)
    fresh = session._replace(said=(), looking=session.looking if text.lower() == "b" else 0)
    if "\0" in text:
        return Turn(fresh.saying(f"That line could not be read. {NOTHING}"))
    if is_scan(text):
        return tools.scanned(fresh, text, asked)
    if text.lower() == "q":
        return keys.stop(fresh)
    if fresh.dialogue is not None:
        return _in_dialogue(fresh, text, asked, now)
    pressed = keys.pressed(fresh, text, asked) if asked.kind in _WITH_KEYS else None
    if pressed is not None:
        return pressed
    if ":" in text and asked.kind in _WITH_KEYS:
        group, _, item = text.partition(":")
        return Turn(tools.select(fresh, group.strip().lower(), item_number(item.strip())))
    if not text and BACK in session.said:
        return Turn(fresh.saying(NOTHING))
    if asked.kind == "reading":
        return reading.at_fastener(fresh, text, asked, now)
    return _ANSWERS[asked.kind](fresh, text, asked)


_WITH_KEYS: Final = frozenset(
    {"reading", "step", "setting", "run-on", "locking", "check", "hold", "waiting", "end"}
)
"""Questions at which the keys count; a condition or a fastener to be answered for has keys of its own."""


def _in_dialogue(session: Session, line: str, asked: Question, now: Moment) -> Turn:
    """What was begun goes on; `.` or a blank answer to an adapter leaves it."""
    if line == ".":
        return Turn(session._replace(dialogue=None).saying("Nothing was changed."))
    if asked.kind == "slip":
        return _after_slip(session, line, asked, now)
    return _DIALOGUES[asked.kind](session, line, asked)


def _after_slip(session: Session, line: str, asked: Question, now: Moment) -> Turn:
    pressed = keys.pressed(session._replace(dialogue=None), line, asked)
    return pressed or reading.at_fastener(session, line, asked, now)


def _condition(session: Session, line: str, asked: Question) -> Turn:
    assert asked.target is not None  # noqa: S101  it is asked for a group
    group = group_of(session, asked.target.group)
    if line.lower() in YES:
        return Turn(session, (Do(group.id, 0, CONDITION, group.condition),))
    if line.lower() in NO:
        return Turn(session.saying(f"The card asks for {group.condition}. See to it, then type y; q stops."))
    return Turn(session.saying("Type y or n. Enter alone is no answer."))


def _lots(session: Session, line: str, asked: Question) -> Turn:
    assert asked.target is not None  # noqa: S101  it is asked for a group
    words = tuple(line.replace(",", " ").split())
    if not words:
        return Turn(session.saying("Type the lot on the bag, or none where they are used again."))
    lots = () if words[0].lower() == "none" else words
    try:
        for lot in lots:
            gate_text(lot, "lot")
    except TorquelogError as error:
        return Turn(session.saying(error.message))
    return Turn(session._replace(lots={**session.lots, asked.target.group: lots}))


def _done(session: Session, line: str, asked: Question) -> Turn:
    """A step without a torque, a locking or a check: y once it is done. Enter alone is no answer."""
    target = asked.target
    assert target is not None  # noqa: S101  it is asked for one of these
    first, _, value = line.partition(" ")
    if first.lower() in YES:
        seen = value.strip() or _turned(session, target)
        return Turn(session, (Do(target.group, target.item, target.name, seen),))
    if first.lower() in NO:
        return Turn(session._replace(left=session.left | {left_key(target)}).saying("Left open for now."))
    return Turn(
        session.saying("Type y once it is done, n to leave it open for now. Enter alone is no answer.")
    )


def _turned(session: Session, target: Target) -> str:
    """By how much the card has it turned, as "2 flats", for a step that says so."""
    group = session.facts.card.group(target.group) if target.kind == "step" else None
    step = group.step(target.name) if group is not None else None
    return step.turn if step is not None else ""


def _waiting(session: Session, line: str, asked: Question) -> Turn:
    """Nothing to be typed here: it is looked again."""
    del line, asked
    return Turn(session)


def _end(session: Session, line: str, asked: Question) -> Turn:
    del asked
    if item_number(line):
        named = [place for place in session.left if place[1] == item_number(line) and place[2] == ""]
        if len(named) == 1:
            return Turn(tools.select(session, named[0][0], named[0][1]))
    return Turn(session._replace(ended="done"))


Answer = Callable[[Session, str, Question], Turn]

_ANSWERS: Final[dict[str, Answer]] = {
    "condition": _condition,
    "lots": _lots,
    "wrench": lambda session, line, _: tools.wrench_said(session, line, "hand"),
    "gauge": lambda session, line, _: keys.look_up_gauge(session, line),
    "run-on": reading.run_on_said,
    "setting": reading.setting_said,
    "hurt": hurt.hurt_answered,
    "step": _done,
    "locking": _done,
    "check": _done,
    "hold": _waiting,
    "waiting": _waiting,
    "end": _end,
}

_DIALOGUES: Final[dict[str, Answer]] = {
    "adapter": lambda session, line, _: tools.adapter_answered(session, line),
    "adapters": lambda session, line, _: tools.adapters_said(session, line),
    "other-wrench": lambda session, line, _: tools.wrench_said(session, line, "hand"),
    "gauge": lambda session, line, _: keys.look_up_gauge(session, line),
    "run-on": reading.run_on_said,
    "found": lambda session, line, _: hurt.found_said(session, line),
    "parts": lambda session, line, _: hurt.parts_said(session, line),
    "really": lambda session, line, _: hurt.really_said(session, line),
    "why-loosened": lambda session, line, _: hurt.why_said(session, line),
    "why-left": lambda session, line, _: hurt.why_said(session, line),
    "why-struck": lambda session, line, _: hurt.why_said(session, line),
    "hand-over": lambda session, line, _: keys.hand_over_said(session, line),
}
