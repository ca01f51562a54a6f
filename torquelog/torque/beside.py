"""A computed torque beside its limits: rounded for reading, but never across them."""

from fractions import Fraction
from typing import Final

from torquelog.torque.limits import Limits
from torquelog.torque.number import exact
from torquelog.torque.units import TORQUE_UNITS, shown

SHOWN: Final = 4
MOST: Final = 16

LAST: Final = Fraction(1, 10 ** (MOST - 1))
"""What the last of the most digits stands for, at most, as a share of the whole."""


def beside(newton_metres: Fraction, unit: str, limits: Limits | None = None) -> str:
    """A torque with its unit, "35.93 N·m", to as many digits as keep it visibly on its side of the limits.

    Where it lies on a limit that no decimal number meets, or as good as, its last digit leans to its own side.

    Args:
        newton_metres: the torque.
        unit: the unit that it is shown in.
        limits: in N·m; nothing where it stands beside none.
    """
    if limits is None:
        return f"{shown(newton_metres, unit, SHOWN)} {unit}"
    side, in_unit = limits.side(newton_metres), TORQUE_UNITS[unit].newton_metres
    for digits in range(SHOWN, MOST + 1):
        text = shown(newton_metres, unit, digits)
        if limits.side(exact(text) * in_unit) == side:
            return f"{text} {unit}"
    for leaning in (1 + LAST, 1 - LAST):
        text = shown(newton_metres * leaning, unit, MOST)
        if limits.side(exact(text) * in_unit) == side:
            break
    return f"{text} {unit}"
