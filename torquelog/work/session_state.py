"""The guided session as it stands: what is known, what is in hand, what was said; and what it wants done.

Everything here is data. The machine turns a state and a line into a state and effects; effects are carried out by
whoever drives it, who tells the machine what became of them.
"""

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import NamedTuple

from torquelog.book.asked import Asked
from torquelog.clock import Moment
from torquelog.facts.card_form import Group
from torquelog.rules import demand
from torquelog.rules.fastener import State
from torquelog.rules.names import fastener_name
from torquelog.torque.units import Torque
from torquelog.work import plan
from torquelog.work.bench import Aim, Bench, aim
from torquelog.work.plan import Facts, Place, Target

TWICE: Moment = 1000
"""Milliseconds within which a second Enter is the same press."""


# What it wants done


class Read(NamedTuple):
    """Record this reading."""

    asked: Asked


class Act(NamedTuple):
    """Record what was done to a fastener: loosened, replaced (with part and lots), or found in a state."""

    group: str
    item: int
    what: str
    why: str = ""
    found: str = ""
    part: str = ""
    lots: tuple[str, ...] = ()


class Do(NamedTuple):
    """Record a step, a locking, the condition of the threads (item 0: the whole group), or a check (group "")."""

    group: str
    item: int
    step: str
    value: str = ""


class Strike(NamedTuple):
    """Strike an entry, and record the reading again where one is given."""

    entry: str
    why: str
    reading: Torque | None


class LookUp(NamedTuple):
    """Look a wrench and its adapters up, for `hand` (they are in hand), `try` (are they?) or `run-on`.

    `setting` is what was said to be set on it in the same line, "" where nothing was.
    """

    wrench: str
    adapters: tuple[str, ...]
    purpose: str
    setting: str = ""


class LeaveOut(NamedTuple):
    """Record that a fastener is left out for now, and why."""

    group: str
    item: int
    why: str


class HandOver(NamedTuple):
    """Hand the job over to a person, with what is to be said."""

    to: str
    why: str


Effect = Read | Act | Do | Strike | LookUp | LeaveOut | HandOver


# What is known


class Dialogue(NamedTuple):
    """Something that was begun and is not finished: its kind, and what it was begun with."""

    kind: str
    place: Place = ("", 0)
    torque: Torque | None = None
    entry: str = ""
    bench: Bench | None = None
    text: str = ""


class Last(NamedTuple):
    """A reading as the screen shows it: fastener, slot, torque at the fastener with its unit, outcome and entry."""

    group: str
    item: int
    slot: str
    indicated: Torque
    applied: str
    outcome: str
    act: str
    entry: str


class Session(NamedTuple):
    """A technician at a job.

    Attributes:
        job, person: which job, and who works.
        facts: the job as far as it was done.
        confirmed: groups of which the condition of the threads is confirmed.
        bench: the wrench in hand, or nothing; bench_group: the group it was named for.
        gauge: what run-on torque is measured with, or nothing.
        setting: what the wrench in hand was said to be set to; set_for: group and slot it was said for.
        run_ons: the run-on torques measured in this session.
        lots: lots of hardware, by group.
        left: what is left open for now.
        left_out: fasteners that are on record as left out.
        tolerated: above their limits, and tightened again all the same.
        others: fasteners that somebody else is at, each with who.
        chosen: the fastener somebody asked for, out of order, or nothing.
        dialogue: what was begun and is not finished.
        said: what is to be read about the last line, each a sentence.
        history: the readings of this session, the newest last.
        looking: how many fasteners back somebody looks; 0 for none.
        told: codes of remarks that were said already.
        entry: the last entry of this session that can be struck, and what it was.
        entered: when Enter was last taken for a reading, or nothing.
        ended: `stop`, `handed-over` or `done` once it has ended.
    """

    job: str
    person: str
    facts: Facts
    confirmed: frozenset[str] = frozenset()
    bench: Bench | None = None
    bench_group: str = ""
    gauge: Bench | None = None
    setting: Torque | None = None
    set_for: tuple[str, tuple[str, int]] | None = None
    run_ons: Mapping[Place, Torque] = MappingProxyType({})
    lots: Mapping[str, tuple[str, ...]] = MappingProxyType({})
    left: frozenset[tuple[str, int, str]] = frozenset()
    left_out: frozenset[Place] = frozenset()
    tolerated: frozenset[Place] = frozenset()
    others: Mapping[Place, str] = MappingProxyType({})
    chosen: Place | None = None
    dialogue: Dialogue | None = None
    said: tuple[str, ...] = ()
    history: tuple[Last, ...] = ()
    looking: int = 0
    told: frozenset[str] = frozenset()
    entry: tuple[str, str] | None = None
    entered: Moment | None = None
    ended: str = ""

    def saying(self, *sentences: str) -> "Session":
        """The same with other sentences to be read."""
        return self._replace(said=sentences)


class Turn(NamedTuple):
    """What a line brought: the session after it, and what it wants done."""

    session: Session
    effects: tuple[Effect, ...] = ()


# What can be asked of it


def group_of(session: Session, name: str) -> Group:
    """A group of the job's card."""
    found = session.facts.card.group(name)
    assert found is not None  # noqa: S101  targets name groups of this card
    return found


def state_of(session: Session, place: Place) -> State:
    """How a fastener stands."""
    return session.facts.states[place]


ON_FASTENER = ("reading", "step", "hurt", "beside")
"""The kinds of targets that one person is at."""


def next_target(session: Session) -> Target | None:
    """The next thing that is open, not left for now, and nobody else is at; nothing where there is none.

    A pass is finished before the next one begins, also where somebody else is at its last fastener.
    """
    found = plan.targets(session.facts, session.tolerated)
    if session.chosen is not None:
        every = list(found)
        named = next(
            (each for each in every if each.place == session.chosen and each.kind in ON_FASTENER), None
        )
        if named is not None:
            return named
        found = iter(every)
    waited_for: Target | None = None
    for target in found:
        if left_key(target) in session.left:
            continue
        if waited_for is not None and not _same_round(target, waited_for):
            return None
        if target.kind not in ON_FASTENER or target.place not in session.others:
            return target
        waited_for = target
    return None


def _same_round(one: Target, other: Target) -> bool:
    return one.group == other.group and one.slot == other.slot


def waits_for_others(session: Session) -> bool:
    """Whether what is left to do is what somebody else is at."""
    return any(
        target.place in session.others and left_key(target) not in session.left
        for target in plan.targets(session.facts, session.tolerated)
    )


def left_key(target: Target) -> tuple[str, int, str]:
    """What a target is left by: the fastener with all its passes; a locking or a check by its name."""
    return (
        target.group,
        target.item,
        "" if target.kind in ON_FASTENER else target.name or target.kind,
    )


def run_on_of(session: Session, place: Place) -> Fraction | None:
    """The run-on torque measured at a fastener in this session, in N·m there, or nothing."""
    measured = session.run_ons.get(place)
    if measured is None or session.gauge is None:
        return None
    return measured.newton_metres * session.gauge.gain


def aim_of(session: Session, target: Target) -> Aim | None:
    """What a fastener asks of the wrench in hand; nothing before both wrench and run-on torque are known."""
    group = group_of(session, target.group) if target.group else None
    if session.bench is None or group is None or target.slot is None or target.slot.spec is None:
        return None
    run_on = run_on_of(session, target.place)
    if run_on is None and demand.needs_run_on(group):
        return None
    return aim(session.bench, group, target.slot, run_on)


def setting_holds(session: Session, target: Target, aimed: Aim) -> bool:
    """Whether the setting that was said is for this slot and still lies inside the limits."""
    if session.setting is None or session.bench is None or target.slot is None:
        return False
    if session.set_for != (target.group, target.slot.key):
        return False
    return aimed.limits.side(session.setting.newton_metres * session.bench.gain) == "within"


def name_of(session: Session, place: Place) -> str:
    """A fastener as people say it, with a capital: "Tie bolt 7"; number 0 is the group."""
    name = fastener_name(place[0], place[1]) if place[1] else place[0].replace("-", " ")
    return name[:1].upper() + name[1:]
