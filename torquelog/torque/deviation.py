"""The deviation of a torque tool: what it indicated against what the reference measured.

A certificate's percentage means little without the rule it was made by, so results are kept as pairs and
the percentage is computed here, under the convention that the certificate names. All torques are in newton
metres, all deviations plain fractions (1/25 is 4 %).
"""

from fractions import Fraction
from typing import Final, Literal, NamedTuple

from torquelog.errors import TorquelogError

__all__ = ["CONVENTIONS", "Band", "Convention", "actual", "band", "convention", "deviation", "within"]

Convention = Literal["iso-6789", "by-indication"]
CONVENTIONS: Final[tuple[Convention, ...]] = ("iso-6789", "by-indication")


class Band(NamedTuple):
    """The reference torques that a deviation may lead to; both ends belong to it."""

    low: Fraction
    high: Fraction


def convention(text: str) -> Convention:
    """Read the name of a convention.

    Raises:
        TorquelogError: `convention-unknown`.
    """
    for known in CONVENTIONS:
        if text == known:
            return known
    raise TorquelogError(
        "convention-unknown",
        f"{text!r} is not a way of counting a deviation.",
        hint="Name iso-6789 (divided by the reference) or by-indication (divided by what the tool showed).",
    )


def deviation(indicated: Fraction, reference: Fraction, by: Convention = "iso-6789") -> Fraction:
    """Give the deviation of one reading.

    Under `iso-6789` it is (indicated − reference) / reference, so a positive one means that the fastener
    got less than shown (ISO 6789-1, from memory; the denominator confirmed in print). Under `by-indication`
    it is (reference − indicated) / indicated: the other denominator, and the other sign.
    """
    if by == "iso-6789":
        return (indicated - reference) / reference
    return (reference - indicated) / indicated


def actual(indicated: Fraction, error: Fraction, by: Convention = "iso-6789") -> Fraction:
    """Give the torque that a tool with this deviation applied: the inverse of `deviation`.

    `error` lies above −1 under both conventions; a deviation of −100 % is no torque at all.
    """
    if by == "iso-6789":
        return indicated / (1 + error)
    return indicated * (1 + error)


def band(indicated: Fraction, accuracy: Fraction, by: Convention = "iso-6789") -> Band:
    """Give the reference torques that keep a tool inside its accuracy (above 0, below 1) at this indication.

    Under `iso-6789` the band around X at 4 % is X/1.04 to X/0.96, under `by-indication` 0.96 X to 1.04 X.
    """
    if by == "iso-6789":
        return Band(indicated / (1 + accuracy), indicated / (1 - accuracy))
    return Band(indicated * (1 - accuracy), indicated * (1 + accuracy))


def within(indicated: Fraction, reference: Fraction, accuracy: Fraction, by: Convention = "iso-6789") -> bool:
    """Tell whether one reading keeps the accuracy; on the limit is inside."""
    return abs(deviation(indicated, reference, by)) <= accuracy
