"""Reading the range of a tool: `20..100 ft-lb`, its graduation apart or behind "by". A preset tool has one torque."""

import re
from fractions import Fraction

from torquelog.errors import TorquelogError
from torquelog.facts.tools import Scale
from torquelog.torque.number import parse_number, quoted
from torquelog.torque.units import Torque, parse_torque, split_amount


def parse_range(text: str) -> tuple[Torque, Torque]:
    """The ends of a range, kept as they are written: `20..100 N·m` or `20 N·m..100 N·m`; one torque is both ends.

    Raises:
        TorquelogError: range-form, and what `parse_torque` raises.
    """
    first, points, second = text.partition("..")
    if not points:
        if re.fullmatch(r"\s*[0-9.]+\s*[-–—]\s*[0-9.]+.*", text):
            raise _range_form(text, "A range is written with two points.")
        only = parse_torque(text)
        return _above_zero(only), only
    high = parse_torque(second)
    number, unit = split_amount(first)
    low = parse_torque(first) if unit else Torque(number, high.unit)
    parse_number(low.value, low.unit)
    if low.unit != high.unit:
        raise _range_form(text, "Both ends have to be in the unit of the scale.")
    if low.newton_metres > high.newton_metres:
        raise _range_form(text, "Its low end is above its high end.")
    _above_zero(high)
    return low, high


def parse_scale(text: str, graduation: str | None = None) -> Scale:
    """A scale with its graduation, `20..100 ft-lb by 0.5`; a graduation without a unit is in the scale's.

    Args:
        text: the range, and the graduation behind "by" if it is not given apart.
        graduation: the graduation given apart, or nothing.

    Raises:
        TorquelogError: range-form, graduation-zero, and what `parse_torque` raises.
    """
    span, _, behind = text.partition(" by ")
    low, high = parse_range(span)
    step = graduation or behind.strip()
    return Scale(low.unit, low, high, _graduation(step, low, high) if step else None)


def _graduation(text: str, low: Torque, high: Torque) -> Torque:
    number, unit = split_amount(text)
    found = parse_torque(text) if unit else Torque(number, low.unit)
    if parse_number(found.value, found.unit) == 0:
        raise TorquelogError(
            "graduation-zero", f"{quoted(text)} is no graduation.", hint="Type the smallest step, like 0.5"
        )
    if found.unit != low.unit:
        raise _range_form(text, f"The graduation has to be in the unit of the scale, {low.unit}.")
    span = high.newton_metres - low.newton_metres
    if span and found.newton_metres > span:
        raise _range_form(text, "The graduation is larger than the whole scale.")
    return found


def _above_zero(torque: Torque) -> Torque:
    if torque.newton_metres == Fraction(0):
        raise _range_form(str(torque), "A range ends above zero.")
    return torque


def _range_form(text: str, why: str) -> TorquelogError:
    return TorquelogError(
        "range-form",
        f"{quoted(text)} is not the range of a tool.",
        why=why,
        hint="Type it like 20..100 ft-lb",
    )
