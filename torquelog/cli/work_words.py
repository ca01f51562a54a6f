"""What the guided session says at each question: a prompt, and the lines that stand beside the fasteners."""

from collections.abc import Callable, Iterator
from typing import Final, NamedTuple

from torquelog.cli import words
from torquelog.facts.card_form import Group
from torquelog.rules.demand import Slot, locking_steps, needs_run_on, slots
from torquelog.rules.names import fastener_name
from torquelog.rules.sayings import percent
from torquelog.work.bench import Aim, Bench
from torquelog.work.plan import Target, progress
from torquelog.work.session_hurt import FOUND, can_strike, hurt_keys, why_hurt
from torquelog.work.session_question import Question
from torquelog.work.session_state import Session, group_of, run_on_of, state_of
from torquelog.work.session_words import limits_words, line_words, shown


class Shown(NamedTuple):
    """What stands on the screen at a question.

    Attributes:
        large: the one thing to read first: "SET 26.5 lbf·ft"; may be empty.
        beside: lines below it.
        keys: what can be typed, as key and meaning.
        prompt: what stands before the cursor, with a blank at its end.
    """

    large: str
    beside: tuple[str, ...]
    keys: tuple[tuple[str, str], ...]
    prompt: str


def slot_words(group: Group, slot: Slot) -> str:
    """A slot with its place among the others: "pass 1 of 2, 50 %"."""
    if slot.step or slot.last_round:
        return slot.name
    passes = [each for each in slots(group) if not each.step and not each.last_round]
    if len(passes) == 1:
        return "one pass"
    return f"{slot.name} of {len(passes)}, {percent(slot.share)}"


def part_of(group: Group) -> str:
    """What the fastener is, in a word: "bolt" for a tie bolt."""
    return group.name.rpartition(" ")[2]


def place_words(session: Session, target: Target) -> str:
    """Which fastener, as people say it, with a capital."""
    if not target.item:
        return words.sentence(words.group(target.group))
    return words.sentence(fastener_name(target.group, target.item))


def say(session: Session, asked: Question) -> Shown:
    """What is shown at a question."""
    return _SAID[asked.kind](session, asked)


def _reading(session: Session, asked: Question) -> Shown:
    target, aimed, bench = _known(session, asked)
    group = group_of(session, target.group)
    assert target.slot is not None  # noqa: S101  a reading has a slot
    taken, all_of_them = progress(session.facts)
    beside = [
        *_gives(session, target, aimed, bench),
        "",
        f"{place_words(session, target)}, reading {min(taken + 1, all_of_them)} of {all_of_them}. "
        f"{words.sentence(line_words(bench))}.",
        *_last(session),
    ]
    keys = _reading_keys(session, aimed, bench, group)
    return Shown(_large(aimed, bench), tuple(beside), keys, f"{target.item:>2} > ")


def _known(session: Session, asked: Question) -> tuple[Target, Aim, Bench]:
    assert asked.target is not None and asked.aim is not None and session.bench is not None  # noqa: S101, PT018
    return asked.target, asked.aim, session.bench


def _large(aimed: Aim, bench: Bench) -> str:
    if bench.clicks:
        return f"SET {aimed.dial}" if aimed.dial else "NO MARK INSIDE THE LIMITS"
    return f"READ {aimed.limits.times(1 / bench.gain).words(aimed.scale_unit, 4)}"


def _gives(session: Session, target: Target, aimed: Aim, bench: Bench) -> Iterator[str]:
    group = group_of(session, target.group)
    part, limits = part_of(group), limits_words(aimed)
    if target.kind == "beside":
        yield "Check only: it is tight, and one beside it failed."
    if group.castellated:
        top = aimed.limits.high
        most = f", at most {shown(top / bench.gain, aimed.scale_unit)}" if top is not None else ""
        yield f"from there on until a slot meets the hole{most}"
        yield f"at the {part} {limits}"
    elif aimed.gives is not None:
        yield f"gives {shown(aimed.gives, aimed.unit)} at the {part}, limits {limits}"
    else:
        yield f"at the {part} {limits}"
    step = group.step(target.slot.step) if target.slot else None
    if step is not None and step.wheel_turning:
        yield "Turn the wheel while you tighten."
    run_on = run_on_of(session, target.place)
    if run_on is not None and needs_run_on(group):
        yield f"run-on torque {shown(run_on, group.run_on.unit if group.run_on else aimed.unit)} is in the limits"


def _last(session: Session) -> Iterator[str]:
    if session.history:
        last = session.history[-1]
        yield f"Last: {fastener_name(last.group, last.item)}, {last.applied}, {last.outcome}, {last.entry}"


def _reading_keys(session: Session, aimed: Aim, bench: Bench, group: Group) -> tuple[tuple[str, str], ...]:
    unit = aimed.scale_unit
    meets = " and a slot meets the hole" if group.castellated else ""
    typed = ("a number", f"that is what was set or read, in {unit}")
    other = ("?", "other keys")
    if not bench.clicks:
        return typed, other
    return ("Enter", f"it clicked at {session.setting}{meets}"), typed, other


def _setting(session: Session, asked: Question) -> Shown:
    target, aimed, bench = _known(session, asked)
    beside = (
        *_gives(session, target, aimed, bench),
        "",
        f"{place_words(session, target)} is next.",
    )
    return Shown(_large(aimed, bench), beside, (("q", "stop"),), "Setting you see on it: ")


def _slip(session: Session, asked: Question) -> Shown:
    if asked.aim is None:
        return Shown("", (), (), "> ")
    return _reading(session, asked)._replace(
        keys=(("a number", "what was set or read; the same again if it was so"),)
    )


def _hurt(session: Session, asked: Question) -> Shown:
    assert asked.target is not None  # noqa: S101  what is hurt is a fastener
    place = asked.target.place
    group = group_of(session, place[0])
    keys = hurt_keys(state_of(session, place), group, session.job, can_strike=can_strike(session, place))
    return Shown("", why_hurt(session, place), keys, f"{place[1]:>2} ! ")


def _step(session: Session, asked: Question) -> Shown:
    target = asked.target
    assert target is not None and target.slot is not None  # noqa: S101, PT018  a step is a slot
    step = group_of(session, target.group).step(target.slot.step)
    title = (step.title if step else "") or words.sentence(target.name.replace("-", " "))
    turn = f": {step.turn}" if step and step.turn else ""
    wheel = ("Turn the wheel meanwhile.",) if step and step.wheel_turning else ()
    return Shown(
        f"{title}{turn}", (place_words(session, target), *wheel), _YES_NO, f"{target.item:>2} done, y: "
    )


_YES_NO: Final = (("y", "it is done"), ("n", "leave it open for now"), ("q", "stop"))


def _locking(session: Session, asked: Question) -> Shown:
    assert asked.target is not None  # noqa: S101  a locking is of a group
    group = group_of(session, asked.target.group)
    what = words.sentence(locking_steps(group)[asked.target.name])
    name = place_words(session, asked.target)
    return Shown(f"LOCK {name.lower()}: {what.lower()}", (), _YES_NO, f"{what} fitted, y: ")


def _check(session: Session, asked: Question) -> Shown:
    assert asked.target is not None  # noqa: S101  it names a check
    check = session.facts.card.check(asked.target.name)
    title = check.title if check else asked.target.name
    return Shown(f"CHECK {title}", (), (("y", "it is so; y and what was seen"), *_YES_NO[1:]), "Checked, y: ")


def _condition(session: Session, asked: Question) -> Shown:
    assert asked.target is not None  # noqa: S101  it is asked for a group
    group = group_of(session, asked.target.group)
    return Shown(
        "",
        (f"Threads of the {words.plural(group.name)}: {group.condition}.",),
        (),
        f"{words.sentence(group.condition)}, y/n: ",
    )


def _lots(session: Session, asked: Question) -> Shown:
    assert asked.target is not None  # noqa: S101  it is asked for a group
    named = [each for each in group_of(session, asked.target.group).hardware if each.lot]
    what = words.listing([f"{each.name or 'part'} {each.part}" for each in named])
    return Shown("", (), (), f"Lot of {what} (none: used again): ")


def _wrench(session: Session, asked: Question) -> Shown:
    group = group_of(session, asked.target.group) if asked.target and asked.target.group else None
    beside = (f"{words.sentence(words.plural(group.name))} next.",) if group and session.bench else ()
    return Shown("", beside, (), "Wrench in your hand (scan, or type it with its adapters and setting): ")


def _gauge(session: Session, asked: Question) -> Shown:
    return Shown(
        "",
        ("Run-on torque is measured with the nut nearly down.",),
        (),
        "Measured with (= the wrench in hand): ",
    )


def _run_on(session: Session, asked: Question) -> Shown:
    assert asked.target is not None and session.gauge is not None  # noqa: S101, PT018  known before it is asked
    group = group_of(session, asked.target.group)
    wants = (f"The card asks for {group.run_on.limits.words(group.run_on.unit, 5)}.",) if group.run_on else ()
    name = place_words(session, asked.target)
    gauge = f"{session.gauge.wrench.tool}, {line_words(session.gauge)}"
    prompt = f"{asked.target.item:>2} run-on torque, {session.gauge.units[0]}: "
    return Shown(
        f"RUN-ON TORQUE of {name.lower()}", (f"Nut nearly down. Read on {gauge}.", *wants), (), prompt
    )


def _hold(session: Session, asked: Question) -> Shown:
    assert asked.target is not None  # noqa: S101  it names a group
    name = words.group(asked.target.group)
    told = (
        f"The {words.plural(name)} are inspected before anything covers them.",
        f"The inspector types: torquelog job inspect {session.job}",
    )
    return Shown(
        f"HOLD: inspection of the {words.plural(name)}", told, (("Enter", "look again"), ("q", "stop")), "> "
    )


def _waiting(session: Session, asked: Question) -> Shown:
    told = [f"{who} is at {fastener_name(*place)}." for place, who in sorted(session.others.items())]
    return Shown("WAIT", tuple(told), (("Enter", "look again"), ("q", "stop")), "> ")


def _end(session: Session, asked: Question) -> Shown:
    left = sorted(session.left)
    if not left:
        return Shown("", (), (("Enter", "finish"),), "> ")
    told = [
        words.sentence(f"{fastener_name(group, item) if item else words.group(group)} is left open.")
        for group, item, _ in left
    ]
    return Shown("", tuple(told), (("a number", "take that one now"), ("Enter", "finish")), "> ")


def _asks(prompt: str) -> Callable[[Session, Question], Shown]:
    return lambda session, asked: Shown("", _begun(session), ((".", "leave it as it was"),), prompt)


def _begun(session: Session) -> tuple[str, ...]:
    """What a dialogue is about: the entry with what stands in it, or the fastener."""
    begun = session.dialogue
    if begun is None:
        return ()
    if begun.entry:
        last = next((each for each in session.history if each.entry == begun.entry), None)
        if last is None:
            return (f"{begun.entry}.",)
        name = fastener_name(last.group, last.item)
        return (f"{begun.entry}: {name}, {last.slot}, {last.indicated} on the wrench.",)
    return (words.sentence(fastener_name(*begun.place)) + ".",) if begun.place[1] else ()


def _adapter(session: Session, asked: Question) -> Shown:
    added = session.dialogue.text if session.dialogue else ""
    return Shown("", (), (), f"Is {added} on the wrench? y/n: ")


_SAID: Final[dict[str, Callable[[Session, Question], Shown]]] = {
    "reading": _reading, "setting": _setting, "slip": _slip, "hurt": _hurt, "step": _step, "locking": _locking,
    "check": _check, "condition": _condition, "lots": _lots, "wrench": _wrench, "gauge": _gauge, "run-on": _run_on,
    "hold": _hold, "waiting": _waiting, "end": _end, "adapter": _adapter,
    "other-wrench": _asks("Wrench in your hand (adapters behind it): "),
    "adapters": _asks("Adapters in line, from the wrench outwards (none): "),
    "found": _asks(f"Found {words.listing([f'({key}) {word}' for key, word in FOUND.items()], 'or')}: "),
    "parts": _asks("Part number and lot of the new hardware: "),
    "really": _asks("What was set or read (Enter: nothing was): "),
    "why-struck": _asks("Why it is struck: "),
    "why-loosened": _asks("Why it is only loosened: "),
    "why-left": _asks("Why it is left out: "),
    "hand-over": _asks("Hand over to (initials, then what is to be said): "),
}  # fmt: skip
