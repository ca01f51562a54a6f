"""Torques and limits for people and for programs."""

from collections.abc import Mapping
from fractions import Fraction

from torquelog.cli.answer import Json
from torquelog.torque.beside import SHOWN
from torquelog.torque.limits import Limits
from torquelog.torque.units import Torque, torque


def shown(newton_metres: Fraction, unit: str, digits: int = SHOWN) -> str:
    """A torque with its unit, to so many significant digits: "35.93 N·m"."""
    return str(torque(newton_metres, unit, digits))


def limits_data(limits: Limits, unit: str) -> Mapping[str, Json]:
    """Limits for a program: low and high as text, null where open, with their unit."""
    low, high = limits.shown(unit)
    return {"low": low, "high": high, "unit": unit}


def torque_data(newton_metres: Fraction, unit: str) -> Mapping[str, Json]:
    """A computed torque for a program, to 16 digits."""
    return read_data(torque(newton_metres, unit))


def read_data(torque: Torque) -> Mapping[str, Json]:
    """A torque as it was read, for a program."""
    return {"value": torque.value, "unit": torque.unit}
