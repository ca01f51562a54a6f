"""One result of a calibration: what the tool indicated beside what the reference measured.

Results are kept as such pairs, never as a percentage, for a percentage hides the rule that it was made by.
"""

from fractions import Fraction
from typing import Final, NamedTuple

from torquelog.errors import TorquelogError

__all__ = ["DIRECTIONS", "STATES", "Pair", "checked"]

DIRECTIONS: Final = ("cw", "ccw")
STATES: Final = ("as-found", "as-left", "unchanged")


class Pair(NamedTuple):
    """One reading of a calibration.

    Attributes:
        indicated: what the tool showed or was set to, N·m, above zero.
        reference: what the standard measured, N·m, above zero.
        direction: `cw` or `ccw`.
        state: `as-found`, `as-left`, or `unchanged` (found and left as it was: it counts as both).
        repeat: which repetition, from 1.
        uncertainty: the certificate's expanded uncertainty of the reference, N·m, or nothing.
        k: the coverage factor it was expanded by, at least 1; demanded with an uncertainty.
    """

    indicated: Fraction
    reference: Fraction
    direction: str = "cw"
    state: str = "as-found"
    repeat: int = 1
    uncertainty: Fraction | None = None
    k: Fraction | None = None


def checked(pair: Pair) -> Pair:
    """Give the pair back when it can be a calibration result.

    Raises:
        TorquelogError: `calibration-pair`.
    """
    wrong = _complaint(pair)
    if wrong:
        raise TorquelogError("calibration-pair", wrong[0], hint=wrong[1])
    return pair


def _complaint(pair: Pair) -> tuple[str, str] | None:
    if pair.indicated <= 0 or pair.reference <= 0:
        return (
            "A calibration result needs an indicated and a reference torque above zero.",
            "Leave out readings at zero; write counter-clockwise results with direction ccw and no sign.",
        )
    if pair.direction not in DIRECTIONS:
        return f"{pair.direction!r} is not a direction.", "Write cw or ccw."
    if pair.state not in STATES:
        return f"{pair.state!r} is not a state of a result.", "Write as-found, as-left or unchanged."
    if pair.uncertainty is None:
        return None
    if pair.uncertainty <= 0:
        return "An uncertainty must be above zero.", "Leave it out where the certificate gives none."
    if pair.k is None:
        return (
            "An uncertainty without its coverage factor cannot be used.",
            "Give the certificate's k with it.",
        )
    if pair.k < 1:
        return (
            "A coverage factor k is at least 1.",
            "Look for k beside the uncertainty; most certificates say 2.",
        )
    return None
