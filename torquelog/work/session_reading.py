"""What is typed at a fastener: Enter for the setting, a number for what was set or read, and slips of the finger."""

from fractions import Fraction
from functools import lru_cache

from torquelog.book.asked import Asked, RunOn
from torquelog.book.used_tools import through
from torquelog.clock import Moment
from torquelog.errors import TorquelogError
from torquelog.facts.tools import Scale
from torquelog.torque.beside import beside
from torquelog.torque.number import parse_number
from torquelog.torque.units import Torque, parse_torque
from torquelog.work.bench import Aim, Bench
from torquelog.work.plan import Target
from torquelog.work.session_question import Question
from torquelog.work.session_state import (
    TWICE,
    Dialogue,
    Read,
    Session,
    Turn,
    group_of,
    name_of,
)
from torquelog.work.session_words import NOTHING, limits_words, not_a_key

SLIPS = (10, 100)


@lru_cache(maxsize=256)
def typed_torque(text: str, unit: str) -> Torque:
    """A torque as it was typed, in this unit where none is typed.

    Raises:
        TorquelogError: what the parsers of numbers and torques bring.
    """
    if any(sign.isalpha() for sign in text):
        return parse_torque(text)
    number = text.strip()
    parse_number(number)
    return Torque(number, unit)


def looks_like_torque(line: str) -> bool:
    """Whether a line begins like a number, so that it is not taken for a key."""
    return line[:1].isdigit() or line[:1] in {"-", "+", "."}


def at_fastener(session: Session, line: str, asked: Question, now: Moment) -> Turn:
    """Enter or a torque at the fastener that is shown."""
    bench, aimed, target = session.bench, asked.aim, asked.target
    assert bench and aimed and target  # noqa: S101, PT018  a reading is asked for only when these are known
    if not line:
        return _entered(session, bench, target, now)
    if not looks_like_torque(line):
        return Turn(not_a_key(session, line))
    try:
        typed = typed_torque(line, aimed.scale_unit)
    except TorquelogError as error:
        return Turn(session.saying(f"{error.message} {error.hint}".strip(), NOTHING))
    again = session.dialogue is not None and session.dialogue.torque == typed
    doubt = "" if again else doubt_about(session, bench, aimed, typed)
    if doubt:
        asking = session._replace(dialogue=Dialogue("slip", target.place, typed))
        return Turn(asking.saying(doubt, f"{NOTHING} What did you set or read?"))
    kept = session._replace(dialogue=None, entered=None)
    if bench.clicks and session.setting and session.setting.newton_metres != typed.newton_metres:
        kept = kept._replace(setting=None, set_for=None)
    return Turn(kept, (Read(asked_of(session, target, typed)),))


def _entered(session: Session, bench: Bench, target: Target, now: Moment) -> Turn:
    """Enter alone: the setting of a wrench that clicks, once however often it is pressed."""
    if session.dialogue is not None:
        return Turn(session.saying(f"{NOTHING} Type what you set or read."))
    if not bench.clicks:
        return Turn(session.saying(f"{bench.wrench.tool} indicates, so type what you read. {NOTHING}"))
    if session.entered is not None and now - session.entered < TWICE:
        once = session._replace(entered=None)
        last = session.history[-1] if session.history else None
        taken = f", for {name_of(session, (last.group, last.item)).lower()}" if last else ""
        place = name_of(session, target.place).lower()
        return Turn(
            once.saying(
                f"Enter came twice within a second and was taken once{taken}.",
                f"If {place} has clicked as well, press Enter now.",
            )
        )
    assert session.setting is not None  # noqa: S101  else the setting would be asked for
    return Turn(session._replace(entered=now), (Read(asked_of(session, target, session.setting)),))


def doubt_about(session: Session, bench: Bench, aimed: Aim, typed: Torque) -> str:
    """Why a torque is asked about before it is recorded: a factor of ten, a unit or a range not the wrench's."""
    wrench = bench.wrench.tool
    scale = bench.scale(typed.unit)
    if scale is None:
        return f"{wrench} shows {' and '.join(bench.units)}, not {typed.unit}."
    applied = through(typed.newton_metres, bench.gain)
    slip = "" if aimed.limits.side(applied) == "within" else _slip(session, bench, aimed, typed)
    ends = _beyond(wrench, scale, typed)
    if slip and ends:
        return f"{slip}, and {ends}."
    return f"{slip or ends}." if slip or ends else ""


def _slip(session: Session, bench: Bench, aimed: Aim, typed: Torque) -> str:
    """A figure ten or a hundred times too large or too small, as a lost or doubled digit or point makes it."""
    names = {10: "ten times", 100: "a hundred times"}
    what = "the setting" if session.setting is not None else "what the limits ask for"
    for factor in SLIPS:
        smaller = typed.newton_metres / factor
        if _meant(session, bench, aimed, smaller):
            return f"{typed} is {names[factor]} {what}"
        if _meant(session, bench, aimed, typed.newton_metres * factor):
            part = "a tenth" if factor == SLIPS[0] else "a hundredth"
            return f"{typed} is {part} of {what}"
    return ""


def _meant(session: Session, bench: Bench, aimed: Aim, indicated: Fraction) -> bool:
    if session.setting is not None and indicated == session.setting.newton_metres:
        return True
    return aimed.limits.side(indicated * bench.gain) == "within"


def _beyond(wrench: str, scale: Scale, typed: Torque) -> str:
    value = typed.newton_metres
    if value > scale.high.newton_metres:
        return f"{wrench} ends at {scale.high}"
    if value < scale.low.newton_metres:
        return f"{wrench} begins at {scale.low}"
    return ""


def asked_of(session: Session, target: Target, reading: Torque) -> Asked:
    """The reading as it is to be recorded."""
    bench, slot = session.bench, target.slot
    assert bench is not None and slot is not None  # noqa: S101, PT018  known before a reading is taken
    measured, gauge = session.run_ons.get(target.place), session.gauge
    run_on = RunOn(measured, gauge.wrench.tool, gauge.adapters) if measured and gauge else None
    return Asked(
        job=session.job, group=target.group, item=target.item, reading=reading, wrench=bench.wrench.tool,
        adapters=bench.adapters, performed_by=session.person, step=slot.step or None,
        pass_=None if slot.step else slot.pass_, act="check" if target.kind == "beside" else None,
        run_on=run_on, lots=session.lots.get(target.group, ()),
    )  # fmt: skip


def setting_said(session: Session, line: str, asked: Question) -> Turn:
    """The setting somebody sees on the wrench; it has to lie inside the limits at the fastener."""
    bench, aimed, target = session.bench, asked.aim, asked.target
    assert bench and aimed and target and target.slot  # noqa: S101, PT018  known before a setting is asked for
    if not line:
        return Turn(session.saying("Type the setting that you see on the wrench; Enter alone is no answer."))
    if not looks_like_torque(line):
        return Turn(not_a_key(session, line))
    try:
        typed = typed_torque(line, aimed.scale_unit)
    except TorquelogError as error:
        return Turn(session.saying(f"{error.message} {error.hint}".strip()))
    scale = bench.scale(typed.unit)
    if scale is None:
        return Turn(
            session.saying(f"{bench.wrench.tool} shows {' and '.join(bench.units)}, not {typed.unit}.")
        )
    if aimed.limits.side(typed.newton_metres * bench.gain) != "within" or _beyond("", scale, typed):
        return Turn(session.saying(*_no_setting(session, bench, aimed, typed, scale, target)))
    said = f"Set to {typed}. Begin at {name_of(session, target.place).lower()}."
    known = session._replace(setting=typed, set_for=(target.group, target.slot.key), entered=None)
    return Turn(known.saying(said))


def _no_setting(
    session: Session, bench: Bench, aimed: Aim, typed: Torque, scale: Scale, target: Target
) -> tuple[str, ...]:
    slip = _slip(session._replace(setting=None), bench, aimed, typed)
    ends = _beyond(bench.wrench.tool, scale, typed)
    if slip or ends:
        return (f"{', and '.join(part for part in (slip, ends) if part)}. Type the setting again.",)
    gives = beside(typed.newton_metres * bench.gain, aimed.unit, aimed.limits)
    name = group_of(session, target.group).name
    return (
        f"{typed} would give the {name} {gives}; its limits are {limits_words(aimed)}.",
        f"Set it to {aimed.dial} and type what you see."
        if aimed.dial
        else "Set it again and type what you see.",
    )


def run_on_said(session: Session, line: str, asked: Question) -> Turn:
    """The run-on torque of the fastener that is shown, as it was read."""
    gauge, target = session.gauge, asked.target
    assert gauge and target  # noqa: S101, PT018  a gauge is known before it is read
    if not looks_like_torque(line):
        return Turn(session.saying("Type the run-on torque that you read with the nut nearly down."))
    try:
        typed = typed_torque(line, gauge.units[0])
    except TorquelogError as error:
        return Turn(session.saying(f"{error.message} {error.hint}".strip()))
    if gauge.scale(typed.unit) is None:
        return Turn(
            session.saying(f"{gauge.wrench.tool} shows {' and '.join(gauge.units)}, not {typed.unit}.")
        )
    group = group_of(session, target.group)
    at_nut = typed.newton_metres * gauge.gain
    unit = group.run_on.unit if group.run_on else typed.unit
    said = f"Run-on torque {typed}" + (f", {beside_unit(at_nut, unit)} at the nut" if gauge.adapters else "")
    kept = session._replace(run_ons={**session.run_ons, target.place: typed}, dialogue=None, entered=None)
    if group.run_on is None:
        return Turn(kept.saying(f"{said}."))
    words = group.run_on.limits.words(group.run_on.unit, 5)
    if group.run_on.limits.side(at_nut) == "within":
        return Turn(kept.saying(f"{said}. The card asks for {words}."))
    return Turn(
        kept.saying(f"{said}: outside {words}. The nut is worn: replace it; a reading says so on record.")
    )


def beside_unit(newton_metres: Fraction, unit: str) -> str:
    """A torque in a unit, for reading."""
    from torquelog.work.session_words import shown

    return shown(newton_metres, unit)
