"""What a reading is taken with: its tools judged, its limits, and on which side of them it lies."""

from fractions import Fraction
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from torquelog.book.asked import Asked
from torquelog.book.at_group import AtGroup
from torquelog.book.recent import Recent
from torquelog.book.used_tools import Bench, Moments, Span, ToolJudged, chain, through
from torquelog.clock import Moment
from torquelog.facts.card_form import Group
from torquelog.facts.rows import END_OF_TIME
from torquelog.kept import kept
from torquelog.rules import demand
from torquelog.rules.fastener import State
from torquelog.rules.grounds import Ground, Remark
from torquelog.torque.limits import Limits


class TakenWith(NamedTuple):
    """A reading as its tools make it.

    Attributes:
        holds: the times of use for which the same reading at any fastener of the group is judged the same.
        tools: the tools used, the wrench first.
        gain: torque at the fastener per torque indicated.
        run_on: the run-on torque at the fastener in N·m, or nothing.
        limits: at the fastener in N·m, run-on torque and pass included.
        applied: torque at the fastener in N·m: what was indicated, through the adapters.
        outcome: within, below, above or refused.
        beyond: above what the card allows at any pass.
        worn: the run-on torque lies outside the card's limits for it.
        grounds: of a refusal.
        remarks: on the tools.
    """

    holds: Span
    tools: tuple[ToolJudged, ...]
    gain: Fraction
    run_on: Fraction | None
    limits: Limits
    applied: Fraction
    outcome: str
    beyond: bool
    worn: bool
    grounds: tuple[Ground, ...]
    remarks: tuple[Remark, ...]


class Judging(NamedTuple):
    """By which record, whose rules and whose days a reading is judged, and when it was performed and recorded."""

    recent: Recent
    station: str
    zone: ZoneInfo
    when: Moments


def taken_with(by: Judging, asked: Asked, where: AtGroup, slot: demand.Slot, before: State) -> TakenWith:
    """Judge the tools of a reading, and by them the reading.

    What a run-on torque is added to depends on the single fastener, so only readings without one are kept.

    Args:
        by: what it is judged by.
        asked: the reading.
        where: where it belongs; slot: the step or pass it is for.
        before: how the fastener stood before it.

    Raises:
        TorquelogError: `tool-unknown`, `step-without-torque` or `needs-run-on`.
    """
    if asked.run_on is not None or demand.needs_run_on(where.group):
        return _taken_with(by, asked, where, slot, before)
    key = (
        taken_with, asked.job, asked.group, slot.step, slot.pass_, asked.reading, asked.wrench, asked.adapters,
        asked.performed_by,
    )  # fmt: skip
    found: TakenWith | None = by.recent.recall(*key)
    if found is None or not found.holds.covers(*by.when):
        found = _taken_with(by, asked, where, slot, before)
        by.recent.keep(found, *key)
    return found


def _taken_with(by: Judging, asked: Asked, where: AtGroup, slot: demand.Slot, before: State) -> TakenWith:
    group = where.group
    bench = bench_of(by, asked)
    found = _tools(bench, asked, group, before)
    limits = demand.demanded(group, slot, found.run_on_torque)
    tool = bench.tool(asked.wrench, "wrench")
    ratio, no_lever = chain(tool, found.adapters)
    wrench = bench.judged(
        tool, "wrench", indicated=asked.reading, direction=group.direction, width=_width(limits, ratio)
    )
    used = (wrench, *found.adapters, *found.run_on)
    grounds = (
        *(ground for each in used for ground in each.fitness.grounds), *no_lever, *found.run_on_grounds,
    )  # fmt: skip
    applied = through(asked.reading.newton_metres, ratio)
    top = demand.highest(group, found.run_on_torque)
    return TakenWith(
        holds=bench.holds, tools=used, gain=ratio, run_on=found.run_on_torque, limits=limits,
        applied=applied, outcome="refused" if grounds else limits.side(applied),
        beyond=bool(not grounds and top is not None and applied > top),
        worn=asked.run_on is not None and _worn(group, found.run_on_torque), grounds=grounds,
        remarks=tuple(remark for each in used for remark in each.fitness.remarks),
    )  # fmt: skip


def bench_of(by: Judging, asked: Asked) -> Bench:
    """What judges the tools of a reading."""
    return Bench(by.recent, by.station, by.zone, asked.performed_by, asked.job, by.when)


class Revived(NamedTuple):
    """Whether a ground holds at the time of the entry, and up to which time, not including it, this stays so."""

    any: bool
    until: Moment


NOT_REVIVED: Final = Revived(False, END_OF_TIME)
"""Where it is not asked: nothing lies between the work and the entry, or a ground held at the work already."""


def revived(by: Judging, asked: Asked, group: Group, used: tuple[ToolJudged, ...]) -> Revived:
    """Whether a ground holds now that did not hold at the claimed time, for any of the tools."""
    bench = bench_of(by, asked)
    run_on = asked.run_on.torque if asked.run_on else None
    for each in used:
        indicated = {"wrench": asked.reading, "run-on-wrench": run_on}.get(each.role)
        direction = group.direction if indicated else ""
        if bench.grounds_now(each, indicated, direction):
            return Revived(True, bench.now_until)
    return Revived(False, bench.now_until)


def _worn(group: Group, run_on: Fraction | None) -> bool:
    """Whether a nut's run-on torque lies outside the card's limits for it."""
    return group.run_on is not None and run_on is not None and group.run_on.limits.side(run_on) != "within"


class _Tools(NamedTuple):
    """The tools of a reading before its limits are known: adapters, and the run-on measurement."""

    adapters: tuple[ToolJudged, ...]
    run_on: tuple[ToolJudged, ...]
    run_on_torque: Fraction | None
    run_on_grounds: tuple[Ground, ...]


def _tools(bench: Bench, asked: Asked, group: Group, before: State) -> _Tools:
    adapters = bench.adapters(asked.adapters, "adapter")
    measured = asked.run_on
    if measured is None:
        stands = demand.needs_run_on(group) and not asked.loosened
        return _Tools(adapters, (), bench.run_on_before(before) if stands else None, ())
    wrench = bench.judged(
        bench.tool(measured.wrench, "wrench"),
        "run-on-wrench",
        indicated=measured.torque,
        direction=group.direction,
    )
    through = bench.adapters(measured.adapters, "run-on-adapter")
    ratio, no_lever = chain(wrench.tool, through)
    return _Tools(adapters, (wrench, *through), measured.torque.newton_metres * ratio, no_lever)


@kept
def _width(limits: Limits, ratio: Fraction) -> Fraction | None:
    if limits.low is None or limits.high is None:
        return None
    return (limits.high - limits.low) / ratio
