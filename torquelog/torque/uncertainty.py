"""The uncertainty of one reading at the fastener: calibration, resolution, lever, adapters, multipliers.

The lever stands in the numerator and in the denominator of an adapter's correction. Treating the two as
independent would count it twice, so each quantity's sensitivity is the derivative of the whole expression
(JCGM 100:2008 clause 5.1.3). Torques are newton metres, lengths metres, angles degrees; every uncertainty
given here is a standard one.
"""

from collections.abc import Sequence
from fractions import Fraction
from math import inf, prod, radians
from typing import Final, NamedTuple

from torquelog.torque import adapter
from torquelog.torque.budget import (
    Contribution,
    Correlations,
    Uncertainty,
    combined,
    freedom_of,
    rectangular,
)  # fmt: skip
from torquelog.torque.curve import Applied

__all__ = [
    "Arm", "Gain", "Quantity", "Ratio", "Uncertainty",
    "from_certificate", "gain", "of_applied", "of_reading", "of_setting",
]  # fmt: skip


class Quantity(NamedTuple):
    """A measured value, its standard uncertainty in the same unit, and the degrees of freedom of that."""

    value: Fraction | float
    standard: float = 0.0
    freedom: float = inf


class Arm(NamedTuple):
    """A lever adapter: length from square to square (m), and the angle out of the wrench's line (degrees)."""

    length: Quantity
    angle: Quantity = Quantity(Fraction(0))


class Ratio(NamedTuple):
    """A torque multiplier: output torque per input torque."""

    ratio: Quantity


class Gain(NamedTuple):
    """Torque at the fastener per torque at the tool's square, exact, and where its uncertainty comes from."""

    value: Fraction
    contributions: tuple[Contribution, ...]


DIRECT: Final = Gain(Fraction(1), ())
"""No adapter: the fastener gets what the tool gives."""


def gain(lever: Quantity | None, chain: Sequence[Arm | Ratio]) -> Gain:
    """Give the gain of a chain of adapters and multipliers (`adapter.gain`) with its contributions.

    Names of the contributions: `lever`, and `adapter`, `angle` or `multiplier` with the place in the chain,
    from 1.

    Raises:
        TorquelogError: as `adapter.gain`.
    """
    length = None if lever is None else Fraction(lever.value)
    value = adapter.gain(length, [_part(part) for part in chain])
    multiplied = _multiplied(chain)
    parts: list[Contribution] = []
    if lever is not None and length is not None and any(isinstance(part, Arm) for part in chain):
        slope = (multiplied - value) / length  # the derivative of (L + ΣE·cos θ) / L, times the multipliers
        parts.append(Contribution("lever", lever.standard, float(slope), lever.freedom))
    for place, part in enumerate(chain, 1):
        if isinstance(part, Ratio):
            slope = value / Fraction(part.ratio.value)
            parts.append(
                Contribution(f"multiplier {place}", part.ratio.standard, float(slope), part.ratio.freedom)
            )
        elif length is not None:
            parts.extend(_of_arm(part, place, multiplied / length))
    return Gain(value, tuple(parts))


def _part(part: Arm | Ratio) -> adapter.Extension | adapter.Multiplier:
    if isinstance(part, Ratio):
        return adapter.Multiplier(Fraction(part.ratio.value))
    return adapter.Extension(Fraction(part.length.value), Fraction(part.angle.value))


def _multiplied(chain: Sequence[Arm | Ratio]) -> Fraction:
    return prod((Fraction(part.ratio.value) for part in chain if isinstance(part, Ratio)), start=Fraction(1))


def _of_arm(arm: Arm, place: int, scale: Fraction) -> tuple[Contribution, Contribution]:
    angle = Fraction(arm.angle.value)
    along = scale * adapter.cosine(angle)
    across = -scale * Fraction(arm.length.value) * adapter.cosine(90 - angle)  # the sine; per radian
    return (
        Contribution(f"adapter {place}", arm.length.standard, float(along), arm.length.freedom),
        Contribution(f"angle {place}", arm.angle.standard, float(across) * radians(1.0), arm.angle.freedom),
    )


def of_applied(indicated: Quantity, through: Gain, correlations: Correlations | None = None) -> Uncertainty:
    """Give the uncertainty of the torque at the fastener, indicated × gain."""
    parts = [Contribution("torque", indicated.standard, float(through.value), indicated.freedom)]
    parts += [part.times(float(indicated.value)) for part in through.contributions]
    return combined(parts, correlations)


def of_setting(torque: Quantity, through: Gain, correlations: Correlations | None = None) -> Uncertainty:
    """Give the uncertainty of the setting that a torque at the fastener needs, torque / gain."""
    per_gain = -float(torque.value) / float(through.value) ** 2
    parts = [Contribution("torque", torque.standard, 1.0 / float(through.value), torque.freedom)]
    parts += [part.times(per_gain) for part in through.contributions]
    return combined(parts, correlations)


def from_certificate(
    expanded: Fraction | None, standard: Fraction | None, through: Fraction = Fraction(1)
) -> Uncertainty | None:
    """Give the certificate's uncertainty alone, at the fastener: its own expansion is kept, exactly.

    `through` is the gain. Without an uncertainty on the certificate there is none: unknown is not zero.
    """
    if expanded is None or standard is None:
        return None
    freedom = freedom_of(expanded / standard)
    part = Contribution("calibration", float(standard), float(through), freedom)
    return Uncertainty(expanded * through, part.share, freedom, (part,))


def of_reading(
    applied: Applied,
    *,
    through: Gain = DIRECT,
    graduation: Fraction | None = None,
    repeatability: Contribution | None = None,
    others: Sequence[Contribution] = (),
    correlations: Correlations | None = None,
) -> Uncertainty | None:
    """Give the uncertainty of one reading at the fastener.

    Nothing else being known but the certificate's uncertainty, that is the answer; a budget without the
    calibration would be too small, so without it there is none.

    Args:
        applied: what the tool applied, from its error curve.
        through: the adapters between tool and fastener, with their uncertainties (`gain`).
        graduation: the step of the scale, N·m at the tool.
        repeatability: from `budget.scatter`, N·m at the tool; leave it out where the certificate's
            uncertainty holds it.
        others: further sources with their sensitivities at the fastener (a measured run-on torque).
        correlations: between any of them, by name.
    """
    alone = from_certificate(applied.expanded, applied.standard, through.value)
    if alone is None:
        return None
    parts = list(alone.contributions)
    if graduation is not None:
        parts.append(Contribution("resolution", rectangular(graduation), float(through.value)))
    if repeatability is not None:
        parts.append(repeatability.times(float(through.value)))
    parts += [part.times(float(applied.torque)) for part in through.contributions if part.standard]
    parts += others
    return alone if len(parts) == 1 else combined(parts, correlations)
