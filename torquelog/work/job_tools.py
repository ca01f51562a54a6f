"""What to draw for a job: the wrenches that reach every setting it asks for, where they are, and how long they last."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from torquelog.book.cases import link
from torquelog.book.jobview import JobState, job_state
from torquelog.book.opening import Book
from torquelog.book.toolbox import fitness_at
from torquelog.crib.alternatives import Alternative, alternatives
from torquelog.errors import TorquelogError
from torquelog.facts import tools
from torquelog.facts.card_form import Group
from torquelog.facts.tools import Tool
from torquelog.rules.demand import Slot, slots
from torquelog.torque.adapter import Extension, Multiplier, gain
from torquelog.torque.limits import Limits
from torquelog.torque.setting import setting
from torquelog.torque.units import Torque, torque


class Wanted(NamedTuple):
    """One torque that a job asks for: group, slot, limits at the fastener in N·m (run-on torque not yet added)."""

    group: str
    slot: Slot
    limits: Limits


class Setting(NamedTuple):
    """What a wrench would be set to for one torque: the group, the slot's name, and the dial or nothing."""

    group: str
    slot: str
    dial: Torque | None


class Draw(NamedTuple):
    """A wrench to draw: which, where, how fit, and what it would be set to."""

    able: Alternative
    settings: tuple[Setting, ...]


class JobTools(NamedTuple):
    """What to draw for a job, group by group: group id, how many readings are open, wrenches that reach all of it."""

    state: JobState
    groups: tuple[tuple[str, int, tuple[Draw, ...]], ...]
    adapters: tuple[str, ...]


def job_tools(book: Book, name: str, *, adapters: Sequence[str] = (), person: str = "") -> JobTools:
    """Look for wrenches that reach every setting of a job.

    Args:
        book: the record.
        name: the job.
        adapters: adapters in line, from the wrench outwards.
        person: who does the work, whose own tools come first.

    Raises:
        TorquelogError: `job-unknown`, `tool-unknown`.
    """
    state = job_state(book.connection, name)
    chain = tuple(_link(book, adapter) for adapter in adapters)
    groups = tuple(_of_group(book, state, group, chain, person) for group in state.card.groups)
    return JobTools(state, groups, tuple(adapters))


def _link(book: Book, name: str) -> Extension | Multiplier:
    found = tools.tool(book.connection, name)
    if found is None or found.sort != "adapter":
        raise TorquelogError(
            "tool-unknown", f"No adapter {name} is registered.", hint="torquelog adapter list"
        )
    return link(found, fitness_at(book.connection, book, found, book.clock.now()))


def _of_group(
    book: Book, state: JobState, group: Group, chain: Sequence[Extension | Multiplier], person: str
) -> tuple[str, int, tuple[Draw, ...]]:
    wanted = [
        Wanted(group.id, slot, slot.spec.limits.scaled(slot.share)) for slot in slots(group) if slot.spec
    ]
    left = sum(
        slot.spec is not None and slot.key not in state.view.states[group.id, item].done
        for item in range(1, group.count + 1)
        for slot in slots(group)
    )
    able = alternatives(
        book, lambda tool: _targets(tool, wanted, chain), person=person, direction=group.direction,
        uses=max(1, left), most=20,
    )  # fmt: skip
    draws = tuple(Draw(each, tuple(_setting(each.tool, one, chain) for one in wanted)) for each in able)
    return group.id, left, draws


def _gain(tool: Tool, chain: Sequence[Extension | Multiplier]) -> Fraction | None:
    """Torque at the fastener per torque indicated; None for a wrench without a lever behind an adapter."""
    if tool.lever is None and any(isinstance(each, Extension) for each in chain):
        return None
    return gain(tool.lever.metres if tool.lever else None, chain)


def _middle(limits: Limits) -> Fraction:
    """Where to aim: halfway, or at the one limit there is."""
    middle = limits.middle
    if middle is not None:
        return middle
    return next(end for end in limits if end is not None)


def _targets(
    tool: Tool, wanted: Sequence[Wanted], chain: Sequence[Extension | Multiplier]
) -> tuple[Fraction, ...]:
    ratio = _gain(tool, chain)
    if ratio is None:
        return (Fraction(-1),)  # no scale reaches it, so the tool is left out
    return tuple(_middle(each.limits) / ratio for each in wanted)


def _setting(tool: Tool, wanted: Wanted, chain: Sequence[Extension | Multiplier]) -> Setting:
    ratio = _gain(tool, chain) or Fraction(1)
    target = _middle(wanted.limits)
    for scale in tool.scales:
        reach = Limits(scale.low.newton_metres, scale.high.newton_metres)
        step = scale.graduation.newton_metres if scale.graduation else None
        found = setting(wanted.limits, ratio, step, reach, scale.unit, target=target)
        if found.dial is not None:
            return Setting(wanted.group, wanted.slot.name, torque(found.dial, scale.unit, 6))
    return Setting(wanted.group, wanted.slot.name, None)
