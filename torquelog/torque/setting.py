"""What to set on the wrench so that the fastener gets its torque, and what a setting gives there.

Everything is computed in exact fractions of a newton metre and rounded once, for showing.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import ceil, floor
from typing import NamedTuple

from torquelog.errors import TorquelogError
from torquelog.torque.adapter import Extension, Multiplier, gain
from torquelog.torque.limits import Basis, Limits, Spec, corrected
from torquelog.torque.number import display
from torquelog.torque.units import Length, Torque, torque

__all__ = ["Applied", "Remark", "Setting", "Shown", "applied", "nearest_mark", "setting", "work_out"]


class Remark(NamedTuple):
    """Something to know about a setting: a stable code, and words."""

    code: str
    message: str


class Shown(NamedTuple):
    """A setting as it is shown; what there is not is None.

    Attributes:
        low: lowest torque to indicate.
        high: highest torque to indicate.
        target: torque to aim at.
        dial: what to set on the scale.
        at_fastener: what the dial value gives at the fastener.
        ratio: torque indicated per torque at the fastener.
    """

    low: Torque | None
    high: Torque | None
    target: Torque | None
    dial: Torque | None
    at_fastener: Torque | None
    ratio: str


class Setting(NamedTuple):
    """What the wrench must indicate; torques in N·m, exactly.

    Attributes:
        low: lowest torque to indicate, None where the specification has no low limit.
        high: highest torque to indicate, None where it has no high limit.
        target: torque to aim at, None where one limit is missing.
        dial: the mark of the scale nearest the target inside the limits and the range, or None.
        at_fastener: what the dial value gives at the fastener, or None.
        ratio: torque indicated per torque at the fastener.
        unit: the unit that low, high and target are shown in.
        dial_unit: the unit of the scale.
        fastener_unit: the unit that the torque at the fastener is shown in.
        remarks: `one-limit`, `outside-range`, `range-cuts-limits`, `no-graduation`, where they apply.
    """

    low: Fraction | None
    high: Fraction | None
    target: Fraction | None
    dial: Fraction | None
    at_fastener: Fraction | None
    ratio: Fraction
    unit: str
    dial_unit: str
    fastener_unit: str
    remarks: tuple[Remark, ...]

    def shown(self, digits: int = 16) -> Shown:
        """The same in its units, rounded once, half to even."""
        return Shown(
            _torque(self.low, self.unit, digits),
            _torque(self.high, self.unit, digits),
            _torque(self.target, self.unit, digits),
            _torque(self.dial, self.dial_unit, digits),
            _torque(self.at_fastener, self.fastener_unit, digits),
            display(self.ratio, digits),
        )


class Applied(NamedTuple):
    """What an indicated torque gives at the fastener.

    Attributes:
        newton_metres: the torque at the fastener, N·m, exactly.
        torque: the same in the unit of the reading, rounded for showing.
        ratio: torque indicated per torque at the fastener, exactly.
    """

    newton_metres: Fraction
    torque: Torque
    ratio: Fraction


def setting(
    limits: Limits,
    gain: Fraction = Fraction(1),
    graduation: Fraction | None = None,
    reach: Limits | None = None,
    unit: str = "N·m",
    *,
    target: Fraction | None = None,
    dial_unit: str | None = None,
    fastener_unit: str | None = None,
) -> Setting:
    """Give the setting for limits at the fastener.

    Args:
        limits: at the fastener, run-on torque included, N·m.
        gain: torque at the fastener per torque indicated.
        graduation: the step of the wrench's scale, N·m; where it is None any value can be set.
        reach: the range that the indicated value must lie in, N·m; None where it is not known.
        unit: the unit to show the setting in.
        target: the torque to aim at, at the fastener, N·m; the middle of the limits where it is None.
        dial_unit: the unit of the scale, else `unit`.
        fastener_unit: the unit to show the torque at the fastener in, else `unit`.

    Raises:
        TorquelogError: graduation-zero.
    """
    if graduation is not None and graduation <= 0:
        raise TorquelogError(
            "graduation-zero",
            "A graduation of zero cannot be set.",
            why="It is the step between two marks of the scale.",
            hint="Type it like 0.5 Nm",
        )
    indicated = limits.times(1 / gain)
    aim = indicated.middle if target is None else target / gain
    settable = indicated if reach is None else indicated.shared(reach)
    dial = None if aim is None else nearest_mark(aim, settable, graduation)
    scale_unit = dial_unit or unit
    remarks = list(_range_remarks(indicated, reach, scale_unit))
    if aim is None:
        remarks.append(Remark("one-limit", "There is one limit only, so there is no middle to aim at."))
    elif dial is None and not any(remark.code == "outside-range" for remark in remarks):
        step = _torque(graduation, scale_unit, 6)
        words = f"No mark of a scale by {step} lies in {settable.words(scale_unit)}."
        remarks.append(Remark("no-graduation", words))
    return Setting(
        indicated.low,
        indicated.high,
        aim,
        dial,
        None if dial is None else dial * gain,
        1 / gain,
        unit,
        scale_unit,
        fastener_unit or unit,
        tuple(remarks),
    )


def nearest_mark(target: Fraction, limits: Limits, graduation: Fraction | None) -> Fraction | None:
    """Give the mark of a scale that is nearest a target inside limits; None where none is inside.

    Marks are the multiples of the graduation above zero; of two equally near ones the lower is taken. Without
    a graduation every torque is a mark.
    """
    low, high = limits
    if low is not None and high is not None and low > high:
        return None
    if graduation is None:
        raised = target if low is None else max(target, low)
        return raised if high is None else min(raised, high)
    first = 1 if low is None else max(1, ceil(low / graduation))
    number = max(first, ceil(target / graduation - Fraction(1, 2)))
    if high is not None:
        number = min(number, floor(high / graduation))
    return number * graduation if number >= first else None


def work_out(
    spec: Spec,
    chain: Sequence[Extension | Multiplier] = (),
    *,
    lever: Length | None = None,
    run_on: Torque | None = None,
    basis: Basis = "total",
    from_share: Fraction | None = None,
    graduation: Torque | None = None,
    reach: Spec | None = None,
    unit: str | None = None,
) -> Setting:
    """Give the setting for a specification, from values as they were typed.

    Args:
        spec: the torque specified.
        chain: adapters and multipliers, in order from the wrench.
        lever: the wrench's.
        run_on: the run-on torque measured.
        basis: what the specified torque is counted from.
        from_share: the share of the low limit from which run-on torque is added.
        graduation: the step of the scale; its unit is the scale's.
        reach: the wrench's range.
        unit: the unit to show the setting in; else the scale's, the range's or the specification's.

    Raises:
        TorquelogError: what `gain`, `corrected` and `setting` raise.
    """
    measured = None if run_on is None else run_on.newton_metres
    limits = corrected(spec.limits, basis, measured, from_share)
    added = measured if measured is not None and limits != spec.limits else Fraction(0)
    scale_unit = (graduation.unit if graduation else None) or unit or (reach.unit if reach else spec.unit)
    return setting(
        limits,
        gain(None if lever is None else lever.metres, chain),
        None if graduation is None else graduation.newton_metres,
        None if reach is None else reach.limits,
        unit or scale_unit,
        target=None if spec.nominal is None else spec.nominal + added,
        dial_unit=scale_unit,
        fastener_unit=spec.unit,
    )


def applied(
    reading: Torque, chain: Sequence[Extension | Multiplier] = (), lever: Length | None = None
) -> Applied:
    """Give what an indicated torque gives at the fastener, through adapters and multipliers.

    Raises:
        TorquelogError: what `gain` raises.
    """
    factor = gain(None if lever is None else lever.metres, chain)
    value = reading.newton_metres * factor
    return Applied(value, torque(value, reading.unit), 1 / factor)


def _torque(value: Fraction | None, unit: str, digits: int) -> Torque | None:
    return None if value is None else torque(value, unit, digits)


def _range_remarks(indicated: Limits, reach: Limits | None, unit: str) -> Iterator[Remark]:
    """Whether the range holds the whole setting, a part of it, or nothing."""
    if reach is None or indicated.shared(reach) == indicated:
        return
    low, high = shared = indicated.shared(reach)
    words = f"The setting, {indicated.words(unit)}, and the wrench's range, {reach.words(unit)},"
    if low is not None and high is not None and low > high:
        yield Remark("outside-range", f"{words} have nothing in common.")
    else:
        yield Remark("range-cuts-limits", f"{words} share only {shared.words(unit)}.")
