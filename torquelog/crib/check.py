"""May this tool be used, now and for this fastener? Asked before the work; writes nothing."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Final, NamedTuple

from torquelog.book.at_group import place
from torquelog.book.cases import case, link
from torquelog.book.fasteners import fastener_state
from torquelog.book.opening import Book
from torquelog.book.toolbox import fitness_at, tool_named
from torquelog.clock import Moment
from torquelog.facts import custody, jobs
from torquelog.facts.custody import Whereabouts
from torquelog.facts.tools import Scale, Tool
from torquelog.rules import demand, fitness
from torquelog.rules.fastener import next_slot
from torquelog.rules.fitness import Fitness, Use
from torquelog.rules.grounds import Ground
from torquelog.torque.adapter import Extension, gain
from torquelog.torque.limits import Limits
from torquelog.torque.setting import Setting, setting
from torquelog.torque.units import torque

SHOWN: Final = 6
"""Digits of a setting that no mark of the scale meets."""


class Demanded(NamedTuple):
    """What a fastener asks for next.

    Attributes:
        group, item: which.
        slot: the step or pass.
        limits: at the fastener in N·m; run-on torque, where the card wants it, is not in them.
        unit: the unit of the card.
        run_on: whether run-on torque comes on top.
        setting: what the wrench would be set to; nothing for a step without torque.
    """

    group: str
    item: int
    slot: str
    limits: Limits
    unit: str
    run_on: bool
    setting: Setting | None


class Checked(NamedTuple):
    """The answer before the work: the tool, where it is, how fit, the adapters', and what is asked for."""

    tool: Tool
    where: Whereabouts
    fitness: Fitness
    adapters: tuple[tuple[Tool, Fitness], ...]
    demanded: Demanded | None
    now: Moment

    @property
    def grounds(self) -> tuple[Ground, ...]:
        """Every ground against the tool and its adapters."""
        return (*self.fitness.grounds, *(ground for _, found in self.adapters for ground in found.grounds))


def check(
    book: Book,
    name: str,
    *,
    sort: str = "",
    person: str = "",
    job: str = "",
    fastener: tuple[str, int] | None = None,
    adapters: Sequence[str] = (),
) -> Checked:
    """Judge a tool as if it were used now.

    Args:
        book: the record.
        name: the tool's number.
        sort: which sort of tool is meant, "" for any.
        person: who would use it, or "".
        job: for which job, or "".
        fastener: group and number in that job; then its setting is judged as well.
        adapters: adapters in line, from the wrench outwards.

    Raises:
        TorquelogError: `tool-unknown`, `job-unknown`, `job-closed`, `group-unknown`, `fastener-unknown`.
    """
    now = book.clock.now()
    tool = tool_named(book.connection, name, sort)
    line = tuple(_adapter(book, adapter, now) for adapter in adapters)
    demanded = _demanded(book, tool, line, job, fastener) if job and fastener else None
    scale = _scale_of(tool, demanded)
    dial = demanded.setting.dial if demanded and demanded.setting else None
    aim = dial if dial is not None else demanded.setting.target if demanded and demanded.setting else None
    use = Use(
        at=now, now=now, person=person, job=job,
        indicated=torque(aim, scale.unit, SHOWN) if aim is not None and scale else None,
        direction=_direction(book, job, fastener) if demanded else "",
        width=_width(demanded),
    )  # fmt: skip
    known = case(book.connection, book.station, book.zone, tool, now)
    found = fitness.judge(known, use)
    if tool.lever is None and any(isinstance(link(*each), Extension) for each in line):
        ground = Ground(
            "no-lever", tool.tool, f"{tool.tool} has no lever on record, and an adapter needs one."
        )
        found = found._replace(grounds=(*found.grounds, ground))
    where = custody.whereabouts(book.connection, tool.tool)
    return Checked(tool, where, found, line, demanded, now)


def _adapter(book: Book, name: str, now: Moment) -> tuple[Tool, Fitness]:
    tool = tool_named(book.connection, name, "adapter")
    return tool, fitness_at(book.connection, book, tool, now)


def _direction(book: Book, job: str, fastener: tuple[str, int] | None) -> str:
    if fastener is None:
        return ""
    _, _, group = place(book.connection, job, *fastener)
    return group.direction


def _demanded(
    book: Book, tool: Tool, line: Sequence[tuple[Tool, Fitness]], name: str, fastener: tuple[str, int]
) -> Demanded:
    job, _, group = place(book.connection, name, *fastener)
    owner = jobs.owner_of(job, group)
    state = fastener_state(book.connection, job.job, owner, group, fastener[1])
    slot = next_slot(state, demand.slots(group), loosened=False)
    if slot.spec is None:
        return Demanded(group.id, fastener[1], slot.name, Limits(None, None), "N·m", False, None)
    limits = slot.spec.limits.scaled(slot.share)
    return Demanded(
        group.id, fastener[1], slot.name, limits, slot.spec.unit, demand.needs_run_on(group),
        _setting(tool, line, limits, slot.spec.unit),
    )  # fmt: skip


def _setting(tool: Tool, line: Sequence[tuple[Tool, Fitness]], limits: Limits, unit: str) -> Setting | None:
    """What to set on the first scale that can be set inside the limits, else on the first one."""
    links = [link(*each) for each in line]
    if tool.lever is None and any(isinstance(each, Extension) for each in links):
        return None
    ratio = gain(tool.lever.metres if tool.lever else None, links)
    found = [_on_scale(scale, limits, ratio, unit) for scale in tool.scales]
    return next((each for each in found if each.dial is not None), found[0] if found else None)


def _on_scale(scale: Scale, limits: Limits, ratio: Fraction, unit: str) -> Setting:
    reach = Limits(scale.low.newton_metres, scale.high.newton_metres)
    step = scale.graduation.newton_metres if scale.graduation else None
    return setting(limits, ratio, step, reach, scale.unit, fastener_unit=unit)


def _scale_of(tool: Tool, demanded: Demanded | None) -> Scale | None:
    if demanded is None or demanded.setting is None:
        return None
    return next((scale for scale in tool.scales if scale.unit == demanded.setting.dial_unit), None)


def _width(demanded: Demanded | None) -> Fraction | None:
    if demanded is None or demanded.setting is None:
        return None
    low, high = demanded.setting.low, demanded.setting.high
    return None if low is None or high is None else high - low
