"""What adapters and multipliers between wrench and fastener do to the torque.

An adapter that lengthens or shortens the lever changes the torque by its length along the line of the wrench:

    torque at the fastener = torque indicated × (lever + extension × cos angle) / lever

The lever runs from the centre of the wrench's square to where the hand pulls. An extension is negative where
it points back to the hand. At a right angle nothing changes.
"""

from collections.abc import Sequence
from decimal import ROUND_HALF_EVEN, Context, Decimal, localcontext
from fractions import Fraction
from typing import Final, NamedTuple

from torquelog.errors import TorquelogError

__all__ = ["Extension", "Multiplier", "cosine", "gain"]

DIGITS: Final = 30
_PI: Final = "3.14159265358979323846264338327950288419716939937511"


class Extension(NamedTuple):
    """An adapter that changes the lever: a crowfoot, an offset or extension piece.

    Attributes:
        length: from the wrench's square to the fastener's centre, metres; negative where it is turned back.
        angle: between the line of the wrench and the adapter, degrees.
    """

    length: Fraction
    angle: Fraction = Fraction(0)


class Multiplier(NamedTuple):
    """A gearbox that multiplies the torque.

    Attributes:
        ratio: torque out per torque in, as certified.
    """

    ratio: Fraction


def cosine(degrees: Fraction) -> Fraction:
    """Give the cosine of an angle in degrees, exact at multiples of 90° and of 60°, else to 30 decimals.

    It is the same on every machine, which the mathematical library's is not.
    """
    around = degrees % 360
    half = min(around, 360 - around)
    quarter = min(half, 180 - half)
    sign = 1 if half <= 90 else -1
    if quarter in (0, 60, 90):
        return sign * Fraction({0: 2, 60: 1, 90: 0}[int(quarter)], 2)
    return sign * _series(quarter)


def gain(lever: Fraction | None, chain: Sequence[Extension | Multiplier]) -> Fraction:
    """Give the torque at the fastener per torque indicated.

    Args:
        lever: the wrench's, metres, or None for a tool without one (screwdriver, T-handle).
        chain: what stands between wrench and fastener, in order from the wrench. All angles are taken from
            the line of the wrench, so extensions in a row add up.

    Raises:
        TorquelogError: adapter-no-lever, adapter-length, adapter-order, adapter-reversed, multiplier-ratio.
    """
    if lever is not None and lever <= 0:
        raise TorquelogError(
            "adapter-length",
            "The wrench's lever has no length.",
            why="It runs from the centre of the square to where the hand pulls.",
            hint="Measure it, and type it like 400 mm",
        )
    extensions = [part for part in chain if isinstance(part, Extension)]
    multipliers = [part for part in chain if isinstance(part, Multiplier)]
    if list(chain) != [*extensions, *multipliers]:
        raise TorquelogError(
            "adapter-order",
            "An adapter stands behind a multiplier.",
            why="What it adds there depends on where the multiplier is held, so it cannot be computed.",
            hint="Put the adapter between the wrench and the multiplier, or leave it out",
        )
    return _lever_gain(lever, extensions) * _product(multipliers)


def _lever_gain(lever: Fraction | None, extensions: Sequence[Extension]) -> Fraction:
    """The part of the gain that comes from a longer or shorter lever."""
    if not extensions:
        return Fraction(1)
    if lever is None:
        raise TorquelogError(
            "adapter-no-lever",
            "This wrench has no lever, so it takes no adapter that changes one.",
            why="The torque at the fastener would depend on how it is held.",
            hint="Use a wrench with a lever, or give its length with --lever",
        )
    arm = lever + sum(part.length * cosine(part.angle) for part in extensions)
    if arm <= 0:
        raise TorquelogError(
            "adapter-reversed",
            "The adapter reaches back to the hand or beyond it.",
            why="Lever and adapter together must leave an arm between hand and fastener.",
            hint="Look at its length, its sign and its angle; turned back it must be shorter than the lever",
        )
    return arm / lever


def _product(multipliers: Sequence[Multiplier]) -> Fraction:
    """The part of the gain that comes from gears."""
    product = Fraction(1)
    for part in multipliers:
        if part.ratio <= 0:
            raise TorquelogError(
                "multiplier-ratio",
                "The multiplier's ratio is zero or negative.",
                why="It is the torque it gives for each torque it gets.",
                hint="Type the ratio from its certificate, like 3.8",
            )
        product *= part.ratio
    return product


def _series(degrees: Fraction) -> Fraction:
    """The cosine of an angle between 0° and 90°, from the alternating series, rounded once."""
    with localcontext(Context(prec=DIGITS + 15, rounding=ROUND_HALF_EVEN)):
        radians = Decimal(_PI) * degrees.numerator / (180 * degrees.denominator)
        square, term, total, step = radians * radians, Decimal(1), Decimal(0), 0
        while total + term != total:
            total += term
            step += 2
            term *= -square / (step * (step - 1))
        return Fraction(total.quantize(Decimal(10) ** -DIGITS))
