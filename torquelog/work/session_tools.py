"""Wrench, adapters and what measures run-on torque: named, scanned, changed. A scan selects and confirms nothing."""

import re
from typing import Final

from torquelog.errors import TorquelogError
from torquelog.facts.card_form import Group
from torquelog.work.bench import Bench, aim
from torquelog.work.scan import Scan, fastener_scanned, parse_scan
from torquelog.work.session_question import Question, question
from torquelog.work.session_reading import setting_said
from torquelog.work.session_state import Dialogue, LookUp, Session, Turn, group_of, name_of
from torquelog.work.session_words import NOTHING, line_words

NONE: Final = frozenset({"none", "no", "-"})

_NUMBER: Final = re.compile(r"[0-9]+([.][0-9]+)?")


def wrench_said(session: Session, line: str, purpose: str) -> Turn:
    """A wrench, typed, with its adapters behind it from the wrench outwards, and last what is set on it if told."""
    words = line.replace(",", " ").split()
    if not words:
        return Turn(session.saying("Type the number on the label of what you hold, or scan it."))
    told = words[-1] if len(words) > 1 and _NUMBER.fullmatch(words[-1]) else ""
    adapters = _adapters(words[1:-1] if told else words[1:])
    return Turn(session, (LookUp(words[0].upper(), adapters, purpose, told),))


def adapters_said(session: Session, line: str) -> Turn:
    """The adapters that are on the wrench in hand now; `none` for none of them."""
    if session.bench is None:
        return Turn(session.saying("Name the wrench first."))
    words = line.replace(",", " ").split()
    if not words:
        return Turn(session.saying("Type the adapters in line, from the wrench outwards, or none."))
    kept = session._replace(dialogue=None)
    return Turn(kept, (LookUp(session.bench.wrench.tool, _adapters(words), "hand"),))


def _adapters(words: list[str]) -> tuple[str, ...]:
    return tuple(word.upper() for word in words if word.lower() not in NONE)


def scanned(session: Session, line: str, asked: Question) -> Turn:
    """A label was scanned: it selects a wrench, an adapter or a fastener, and answers no question."""
    try:
        scan = parse_scan(line)
    except TorquelogError as error:
        return Turn(session.saying(f"{error.message} {error.hint}".strip()))
    if scan.kind == "wrench":
        return _wrench_scanned(session, scan, asked)
    if scan.kind == "adapter":
        return _adapter_scanned(session, scan)
    if scan.kind == "fastener":
        place = fastener_scanned(scan.name)
        return Turn(select(session, *place) if place else session.saying(f"{scan.name} names no fastener."))
    if scan.kind == "job" and scan.name != session.job:
        return Turn(session.saying(f"That is job {scan.name}; you are at {session.job}. q stops here."))
    return Turn(session.saying(f"That is {scan.kind} {scan.name}. A scan confirms nothing."))


def _wrench_scanned(session: Session, scan: Scan, asked: Question) -> Turn:
    if asked.kind in ("gauge", "run-on"):
        return Turn(session, (LookUp(scan.name, (), "run-on"),))
    if session.bench is not None and session.bench.wrench.tool == scan.name and asked.kind != "wrench":
        return Turn(session.saying(f"That is {scan.name}, which you hold: {line_words(session.bench)}."))
    return Turn(session._replace(dialogue=None), (LookUp(scan.name, (), "hand"),))


def _adapter_scanned(session: Session, scan: Scan) -> Turn:
    if session.bench is None:
        return Turn(session.saying(f"That is adapter {scan.name}. Name the wrench first."))
    if scan.name in session.bench.adapters:
        return Turn(session.saying(f"That is adapter {scan.name}, which is on {session.bench.wrench.tool}."))
    line = (*session.bench.adapters, scan.name)
    return Turn(session._replace(dialogue=None), (LookUp(session.bench.wrench.tool, line, "try"),))


def select(session: Session, group_id: str, item: int) -> Session:
    """Go to a fastener, out of order where somebody wants it so."""
    group = session.facts.card.group(group_id)
    if group is None or not 1 <= item <= group.count:
        names = ", ".join(f"{each.id}:1 to {each.id}:{each.count}" for each in session.facts.card.groups)
        return session.saying(f"{session.job} has no {group_id}:{item}. It has {names}.")
    place, name = (group_id, item), name_of(session, (group_id, item))
    if place in session.others:
        return session.saying(f"{session.others[place]} is at {name.lower()}.")
    left = frozenset(each for each in session.left if each[:2] != place)
    going = session._replace(chosen=place, left=left, dialogue=None, looking=0)
    from torquelog.work.session_state import next_target

    target = next_target(going)
    if target is None or target.place != place:
        return session.saying(f"{name} is done: nothing is open there.")
    before = next_target(session)
    if group.ordered and before is not None and before.place != place:
        return going.saying(f"{name} is not the next in the card's order.")
    return going.saying(f"Going to {name.lower()}.")


# What became of looking it up


def in_hand(session: Session, bench: Bench, asked: Question, setting: str = "") -> Session:
    """A wrench was looked up as the one in hand; one that may not be used, or does not reach, is not taken."""
    trouble = _unusable(session, bench, asked)
    if trouble:
        return session.saying(*trouble, f"{NOTHING} Take another one.")
    target = asked.target
    group = target.group if target else ""
    kept = session._replace(
        bench=bench, bench_group=group or session.bench_group, setting=None, set_for=None, dialogue=None
    )
    told = session.told | {remark.code for remark in bench.fitness.remarks}
    known = kept._replace(told=told).saying(*(remark.message for remark in bench.fitness.remarks))
    following = question(known)
    if not setting or following.kind != "setting":
        return known
    said = setting_said(known, setting, following).session
    return said.saying(*known.said, *said.said)


def _unusable(session: Session, bench: Bench, asked: Question) -> list[str]:
    if bench.grounds:
        return list(bench.grounds)
    target = asked.target
    if (
        target is None
        or target.kind not in ("reading", "beside")
        or target.slot is None
        or target.slot.spec is None
    ):
        return []
    group = group_of(session, target.group)
    return _out_of_reach(bench, group, target)


def _out_of_reach(bench: Bench, group: Group, target: object) -> list[str]:
    from torquelog.rules.demand import needs_run_on
    from torquelog.work.plan import Target

    assert isinstance(target, Target) and target.slot is not None  # noqa: S101, PT018  as its caller has seen
    if needs_run_on(group):
        return []  # the limits are known only once the run-on torque is
    aimed = aim(bench, group, target.slot, None)
    if aimed.reaches and (aimed.dial is not None or not bench.clicks):
        return []
    wanted = aimed.limits.times(1 / bench.gain).words(aimed.scale_unit, 4)
    scales = " and ".join(f"{scale.low} to {scale.high}" for scale in bench.wrench.scales)
    if not aimed.reaches:
        return [
            f"{bench.wrench.tool} shows {scales}; {group.name} {target.slot.name} asks for {wanted} on it."
        ]
    return [f"{bench.wrench.tool} has no mark between the limits, {wanted}."]


def tried(session: Session, bench: Bench, asked: Question) -> Session:
    """An adapter was scanned: say what it would change, and ask whether it is on the wrench."""
    trouble = _unusable(session, bench, asked)
    if trouble:
        return session.saying(*trouble, "No change.")
    added = bench.adapters[-1]
    dialogue = Dialogue("adapter", bench=bench, text=added)
    target, now = asked.target, asked.aim
    if target is None or target.slot is None or target.slot.spec is None or now is None or now.dial is None:
        return session._replace(dialogue=dialogue).saying(f"Is {added} on the wrench?")
    from torquelog.work.session_state import run_on_of

    then = aim(bench, group_of(session, target.group), target.slot, run_on_of(session, target.place))
    said = f"With {added} in line the setting would be {then.dial or 'none'}, not {now.dial}."
    return session._replace(dialogue=dialogue).saying(said)


def adapter_answered(session: Session, line: str) -> Turn:
    """Whether the adapter that was scanned is on the wrench."""
    dialogue, bench = session.dialogue, session.bench
    assert dialogue is not None and dialogue.bench is not None and bench is not None  # noqa: S101, PT018
    if line.lower() in ("y", "yes"):
        kept = session._replace(bench=dialogue.bench, setting=None, set_for=None, dialogue=None)
        return Turn(kept.saying(f"{dialogue.bench.wrench.tool} with {line_words(dialogue.bench)}."))
    if line.lower() in ("n", "no"):
        kept = session._replace(dialogue=None)
        setting = f", {session.setting}" if session.setting else ""
        return Turn(kept.saying(f"No change. {bench.wrench.tool}, {line_words(bench)}{setting}."))
    return Turn(session.saying(f"Is {dialogue.text} on the wrench? Type y or n."))


def gauged(session: Session, bench: Bench) -> Session:
    """What measures run-on torque was looked up."""
    if bench.grounds:
        return session.saying(*bench.grounds, "Measure the run-on torque with another one.")
    return session._replace(gauge=bench, dialogue=None).saying(
        *(each.message for each in bench.fitness.remarks)
    )
