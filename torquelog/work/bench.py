"""The wrench in somebody's hand, with what stands between it and the fastener: what to set, and what that gives.

Looked up once when it is named; after that everything is computed. What it says of the tools is said before the
work; the judgement that counts is made anew when a reading is recorded.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from torquelog.book.cases import case
from torquelog.book.opening import Book
from torquelog.book.toolbox import tool_named
from torquelog.book.used_tools import ToolJudged, chain
from torquelog.facts import custody
from torquelog.facts.card_form import Group
from torquelog.facts.custody import Whereabouts
from torquelog.facts.tools import Scale, Tool
from torquelog.kept import kept
from torquelog.rules import demand, fitness
from torquelog.rules.demand import Slot
from torquelog.rules.fitness import Fitness, Use
from torquelog.torque.limits import Limits
from torquelog.torque.setting import setting
from torquelog.torque.units import Torque, torque

DIGITS = 6


class Bench(NamedTuple):
    """A wrench in hand.

    Attributes:
        wrench: the wrench; adapters: the numbers in line, from the wrench outwards.
        gain: torque at the fastener per torque indicated.
        calibrated: what the certificate covers in N·m, in the direction of the work, or nothing.
        fitness: of the wrench, before the work.
        where: where the record has it.
        grounds: why it, or an adapter, may not be used now; each a sentence.
    """

    wrench: Tool
    adapters: tuple[str, ...]
    gain: Fraction
    calibrated: Limits | None
    fitness: Fitness
    where: Whereabouts
    grounds: tuple[str, ...]

    @property
    def clicks(self) -> bool:
        """Whether it clicks at a torque that is set, so that a click stands for the setting."""
        return self.wrench.type != "indicating"

    @property
    def units(self) -> tuple[str, ...]:
        """The units of its scales."""
        return tuple(scale.unit for scale in self.wrench.scales)

    def scale(self, unit: str) -> Scale | None:
        """Its scale in a unit."""
        return next((scale for scale in self.wrench.scales if scale.unit == unit), None)


class Aim(NamedTuple):
    """What a fastener asks of the wrench in hand.

    Attributes:
        limits: at the fastener in N·m, pass and run-on torque included.
        unit: the card's.
        dial: what to set or read, on the scale; nothing where no mark lies inside.
        scale_unit: the unit of the scale it is read on.
        gives: what the dial value gives at the fastener in N·m, or nothing.
        reaches: whether the wrench reaches into the limits at all.
    """

    limits: Limits
    unit: str
    dial: Torque | None
    scale_unit: str
    gives: Fraction | None
    reaches: bool


def look_up(
    book: Book, wrench: str, adapters: Sequence[str], *, person: str, job: str, direction: str, ahead: int = 0
) -> Bench:
    """Look a wrench and its adapters up, as they are now.

    Args:
        book: the record.
        wrench, adapters: their numbers, adapters from the wrench outwards.
        person: in whose hand; job: for which job.
        direction: in which direction it will turn, cw or ccw.
        ahead: how many more uses the job needs, for the remark that it runs out.

    Raises:
        TorquelogError: `tool-unknown`, and what a chain of adapters brings.
    """
    now = book.clock.now()
    use = Use(at=now, now=now, direction=direction, person=person, job=job, ahead=ahead)
    tool = tool_named(book.connection, wrench, "wrench")
    found = _fitness(book, tool, use)
    line = tuple(
        ToolJudged(each, "adapter", _fitness(book, each, use._replace(direction="")))
        for each in (tool_named(book.connection, name, "adapter") for name in adapters)
    )
    gain, no_lever = chain(tool, line)
    grounds = [*found.grounds, *(ground for each in line for ground in each.fitness.grounds), *no_lever]
    return Bench(
        tool, tuple(each.tool.tool for each in line), gain, Limits(*found.calibrated) if found.calibrated else None,
        found, custody.whereabouts(book.connection, tool.tool), tuple(ground.message for ground in grounds),
    )  # fmt: skip


def _fitness(book: Book, tool: Tool, use: Use) -> Fitness:
    return fitness.judge(case(book.connection, book.station, book.zone, tool, use.at), use)


@kept
def aim(bench: Bench, group: Group, slot: Slot, run_on: Fraction | None) -> Aim:
    """What to set or read for a fastener at a slot that asks for a torque.

    A castellated nut begins at its low limit, as it is turned on from there until a slot meets the hole.

    Args:
        bench: the wrench in hand.
        group, slot: the card's.
        run_on: the run-on torque at the fastener in N·m, or nothing.
    """
    assert slot.spec is not None  # noqa: S101  the caller asks for slots with a torque
    limits = demand.demanded(group, slot, run_on)
    target = _target(group, slot, limits, run_on)
    scales = sorted(
        bench.wrench.scales, key=lambda scale: scale.unit != slot.spec.unit if slot.spec else False
    )
    first: Aim | None = None
    for scale in scales:
        found = _on_scale(bench, scale, limits, target, slot.spec.unit)
        if found.dial is not None:
            return found
        first = first or found
    return first or Aim(limits, slot.spec.unit, None, slot.spec.unit, None, False)


def _on_scale(bench: Bench, scale: Scale, limits: Limits, target: Fraction, unit: str) -> Aim:
    reach = Limits(scale.low.newton_metres, scale.high.newton_metres)
    if bench.calibrated is not None:
        reach = reach.shared(bench.calibrated)
    step = scale.graduation.newton_metres if scale.graduation else None
    found = setting(limits, bench.gain, step, reach, scale.unit, target=target)
    inside = limits.times(1 / bench.gain).shared(reach)
    reaches = inside.low is None or inside.high is None or inside.low <= inside.high
    dial = _on_dial(found.dial, scale) if found.dial is not None else None
    return Aim(limits, unit, dial, scale.unit, found.at_fastener, reaches)


def _on_dial(newton_metres: Fraction, scale: Scale) -> Torque:
    """A torque as it stands on the scale, with as many decimals as the graduation has."""
    plain = torque(newton_metres, scale.unit, DIGITS)
    step = scale.graduation.value if scale.graduation else ""
    lacking = len(step.partition(".")[2]) - len(plain.value.partition(".")[2])
    if lacking <= 0:
        return plain
    point = "" if "." in plain.value else "."
    return plain._replace(value=f"{plain.value}{point}{'0' * lacking}")


def _target(group: Group, slot: Slot, limits: Limits, run_on: Fraction | None) -> Fraction:
    """Where to aim at the fastener, N·m: the nominal torque, the middle, or the one limit there is."""
    if group.castellated and limits.low is not None:
        return limits.low
    if slot.spec is not None and slot.spec.nominal is not None:
        return slot.spec.nominal * slot.share + demand.run_on_added(group, slot.spec, run_on)
    middle = limits.middle
    return middle if middle is not None else next(end for end in limits if end is not None)
