"""A computed torque beside its limits: rounded for reading, but never across them."""

from fractions import Fraction
from typing import Final

from torquelog.torque.limits import Limits
from torquelog.torque.units import torque

SHOWN: Final = 4
MOST: Final = 16


def beside(newton_metres: Fraction, unit: str, limits: Limits | None = None) -> str:
    """A torque with its unit, "35.93 N·m", to as many digits as keep it visibly on its side of the limits.

    Args:
        newton_metres: the torque.
        unit: the unit that it is shown in.
        limits: in N·m; nothing where it stands beside none.
    """
    side = limits.side(newton_metres) if limits else ""
    for digits in range(SHOWN, MOST):
        rounded = torque(newton_metres, unit, digits)
        if limits is None or limits.side(rounded.newton_metres) == side:
            return str(rounded)
    return str(torque(newton_metres, unit, MOST))
