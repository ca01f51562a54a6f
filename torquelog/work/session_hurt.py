"""A fastener that something has to be answered for: outside its limits, refused, broken. Enter alone never answers.

Also what else is told about a fastener in so many words: found broken, left out, a last entry that was wrong.
"""

from typing import Final

from torquelog.errors import TorquelogError
from torquelog.facts.card_form import Group
from torquelog.ledger.text import gate_text
from torquelog.rules.fastener import State, needs_rework, passed_over
from torquelog.work.plan import Place, loosens_first, tight_elsewhere
from torquelog.work.session_question import Question
from torquelog.work.session_reading import looks_like_torque, typed_torque
from torquelog.work.session_state import (
    Act,
    Dialogue,
    LeaveOut,
    Session,
    Strike,
    Turn,
    group_of,
    name_of,
    state_of,
)
from torquelog.work.session_words import NOTHING

FOUND: Final = {"s": "sheared", "l": "loose", "m": "missing", "d": "damaged"}

_ABOVE: Final = {
    "replace": "Your card says: above the limit, discard the hardware and fit new.",
    "loosen": "Your card says: above the limit, loosen it and tighten it again.",
    "engineering": "Your card says: above the limit, ask for a disposition.",
    "": "Your card does not say what to do above the limit: ask for a disposition, or fit new hardware.",
}


def hurt_keys(now: State, group: Group, job: str, *, can_strike: bool) -> tuple[tuple[str, str], ...]:
    """The keys that answer a fastener which is not to be tightened as it is, each with what it does."""
    keys = []
    if now.broken or now.over:
        keys.append(("p", "parts replaced: it is tightened again from the beginning"))
    if loosens_first(now, job) or (now.over and not now.broken):
        asked = " (you will be asked for the reason)" if now.over and group.above != "loosen" else ""
        only = "only " if now.over else ""
        keys.append(("l", f"{only}loosened: it is tightened again{asked}"))
    if can_strike and now.outside is not None:
        keys.append(("t", "typing mistake: I did not set that (it is struck, not erased)"))
    keys.append(("n", "leave it open for now, go on with the next"))
    return tuple(keys)


def why_hurt(session: Session, place: Place) -> tuple[str, ...]:
    """Why a fastener has to be answered for."""
    now, group, name = state_of(session, place), group_of(session, place[0]), name_of(session, place)
    if now.broken:
        return (f"{name} is broken, missing or worn: its hardware is to be replaced.",)
    if needs_rework(now) and now.rejected is not None:
        return (f"{name} was rejected by {now.rejected.by}: {now.rejected.why}",)
    if now.refused is not None:
        return (
            f"{name}: an attempt with {now.refused.wrench} was refused. Loosen it before it is tightened.",
        )
    if now.over:
        return (f"{name} got more than its limits allow and stays open.", _ABOVE.get(group.above, _ABOVE[""]))
    if now.outside is None and tight_elsewhere(now, session.job):
        return (
            f"{name} is tight already, from {now.tight_in}.",
            "A click on it shows nothing: loosen it first.",
        )
    if now.outside is None and passed_over(now, session.job):
        return (
            f"{name} has the torque of a later pass, and an earlier one is open.",
            "A click on it shows nothing: loosen it, then begin again.",
        )
    return (f"{name} is {now.outside.what if now.outside else 'outside'} its limits and stays open.",)


def can_strike(session: Session, place: Place) -> bool:
    """Whether the outside reading is one of this session, which its own technician may strike."""
    outside = state_of(session, place).outside
    return outside is not None and any(
        last.entry == f"{outside.station}-{outside.number:06d}" for last in session.history
    )


def hurt_answered(session: Session, line: str, asked: Question) -> Turn:
    """One of the keys that are named, and nothing else."""
    assert asked.target is not None  # noqa: S101  what is hurt is a fastener
    place = asked.target.place
    now, group = state_of(session, place), group_of(session, place[0])
    keys = hurt_keys(now, group, session.job, can_strike=can_strike(session, place))
    key = line.lower()
    if key not in {name for name, _ in keys}:
        return Turn(
            session.saying(f"Type one of {', '.join(name for name, _ in keys)}. Enter is no answer here.")
        )
    if key == "n":
        left = session.left | {(*place, "")}
        return Turn(
            session._replace(left=left, chosen=None).saying(f"{name_of(session, place)} is left open.")
        )
    if key == "p":
        return Turn(session._replace(dialogue=Dialogue("parts", place)))
    if key == "t":
        return Turn(_striking(session, place))
    if now.over and group.above != "loosen":
        return Turn(session._replace(dialogue=Dialogue("why-loosened", place)))
    return Turn(session, (Act(*place, "loosened"),))


def _striking(session: Session, place: Place) -> Session:
    outside = state_of(session, place).outside
    entry = f"{outside.station}-{outside.number:06d}" if outside else ""
    last = next(each for each in session.history if each.entry == entry)
    return session._replace(dialogue=Dialogue("really", place, last.indicated, entry))


def parts_said(session: Session, line: str) -> Turn:
    """The part number and lots of new hardware; Enter where the card asks for no lot and none is told."""
    dialogue = session.dialogue
    assert dialogue is not None  # noqa: S101
    words = line.replace(",", " ").split()
    lots_wanted = any(each.lot for each in group_of(session, dialogue.place[0]).hardware)
    if lots_wanted and len(words) < 2:
        return Turn(session.saying("Your card wants the lot on record: type part number and lot."))
    part, lots = (words[0], tuple(words[1:])) if words else ("", ())
    try:
        texts = [gate_text(word, "part or lot") for word in words]
    except TorquelogError as error:
        return Turn(session.saying(error.message))
    del texts
    return Turn(session, (Act(*dialogue.place, "replaced", part=part, lots=lots),))


def really_said(session: Session, line: str) -> Turn:
    """What was set or read instead; Enter where nothing was set at all."""
    dialogue = session.dialogue
    assert dialogue is not None  # noqa: S101
    if not line:
        return Turn(session._replace(dialogue=dialogue._replace(kind="why-struck", torque=None)))
    if not looks_like_torque(line):
        return Turn(session.saying("Type what you set or read, or Enter if there was no reading at all."))
    unit = dialogue.torque.unit if dialogue.torque else "N·m"
    try:
        typed = typed_torque(line, unit)
    except TorquelogError as error:
        return Turn(session.saying(f"{error.message} {error.hint}".strip()))
    return Turn(session._replace(dialogue=dialogue._replace(kind="why-struck", torque=typed)))


def why_said(session: Session, line: str) -> Turn:
    """A reason, which Enter alone does not give."""
    dialogue = session.dialogue
    assert dialogue is not None  # noqa: S101
    if not line:
        return Turn(session.saying(f"A reason is needed. {NOTHING}"))
    try:
        why = gate_text(line, "the reason", reason=True)
    except TorquelogError as error:
        return Turn(session.saying(f"{error.message} {error.hint}".strip()))
    if dialogue.kind == "why-loosened":
        return Turn(session, (Act(*dialogue.place, "loosened", why=why),))
    if dialogue.kind == "why-left":
        return Turn(session, (LeaveOut(*dialogue.place, why),))
    return Turn(session, (Strike(dialogue.entry, why, dialogue.torque),))


def found_said(session: Session, line: str) -> Turn:
    """In which state a fastener was found."""
    dialogue = session.dialogue
    assert dialogue is not None  # noqa: S101
    what = next((word for key, word in FOUND.items() if line.lower() in (key, word)), None)
    if what is None:
        keys = ", ".join(f"{key} {word}" for key, word in FOUND.items())
        return Turn(session.saying(f"Type one of: {keys}."))
    return Turn(session, (Act(*dialogue.place, "found", found=what),))
