"""Whether a torque that was really applied lay within its limits, as far as anybody can tell.

The torque comes from an error curve and is uncertain, so there are three answers: within (with its whole
expanded uncertainty), outside (with its whole expanded uncertainty), and indeterminate. The limits are
closed and the comparison is exact; only the probability is a float. All torques are newton metres.
"""

from fractions import Fraction
from math import inf
from typing import Literal, NamedTuple

from torquelog.torque.conformity import is_good
from torquelog.torque.curve import Applied, Indeterminate
from torquelog.torque.deviation import Convention
from torquelog.torque.distributions import student_cdf
from torquelog.torque.limits import Limits, Side
from torquelog.torque.uncertainty import Uncertainty, from_certificate

__all__ = ["Answer", "Verdict", "at_fastener", "probability", "verdict"]

Answer = Literal["within", "outside", "indeterminate"]


class Verdict(NamedTuple):
    """What can be said about one applied torque.

    Attributes:
        answer: within, outside or indeterminate.
        reasons: for an indeterminate answer why: `uncertainty-spans-limit`, `between-good-and-bad`, or the
            reason of the curve's `Indeterminate`. For a definite one, `uncertainty-not-given` where it
            rests on the value alone.
        torque: the value judged, at the fastener, or nothing where the curve says nothing.
        side: where that value lies, by itself.
        expanded: its expanded uncertainty, N·m, or nothing.
        probability: that the torque lay within the limits, 0 to 1, or nothing where no uncertainty is known.
    """

    answer: Answer
    reasons: tuple[str, ...]
    torque: Fraction | None
    side: Side | None
    expanded: Fraction | None
    probability: float | None


def probability(
    torque: float, standard: float, low: float | None, high: float | None, freedom: float = inf
) -> float:
    """Give the probability that a torque known with this standard uncertainty lies within the limits.

    JCGM 106:2012 clause 7 (from memory, recomputed): Φ((TU − y)/u) − Φ((TL − y)/u), one term alone for a
    minimum or a maximum. With a finite `freedom`, Student's t stands for Φ (JCGM 100 annex G). Without
    uncertainty it is 1 or 0.
    """
    if standard <= 0.0:
        return float((low is None or torque >= low) and (high is None or torque <= high))
    below = 0.0 if low is None else student_cdf((low - torque) / standard, freedom)
    above = 0.0 if high is None else student_cdf((torque - high) / standard, freedom)
    return max(0.0, 1.0 - below - above)


def verdict(
    torque: Fraction,
    limits: Limits,
    known: Uncertainty | None = None,
    other: Fraction | None = None,
) -> Verdict:
    """Judge a torque against its limits.

    `other` is the torque by the other way to read the curve (linear in the deviation); it is given where
    the reading lies between a point that keeps the accuracy and one that does not. There nobody knows where
    the tool went wrong, so both ways must give the same answer.
    """
    expanded = None if known is None else known.expanded
    first = _answer(torque, limits, expanded)
    reasons = ["uncertainty-spans-limit"] if first == "indeterminate" else []
    if other is not None and (first == "indeterminate" or _answer(other, limits, expanded) != first):
        reasons.append("between-good-and-bad")
    likely = None if known is None else _likely(torque, limits, known)
    if reasons:
        return Verdict("indeterminate", tuple(reasons), torque, limits.side(torque), expanded, likely)
    basis = () if known is not None else ("uncertainty-not-given",)
    return Verdict(first, basis, torque, limits.side(torque), expanded, likely)


def _answer(torque: Fraction, limits: Limits, expanded: Fraction | None) -> Answer:
    spread = expanded or Fraction(0)
    least, most = limits.side(torque - spread), limits.side(torque + spread)
    if least != most:
        return "indeterminate"
    return "within" if least == "within" else "outside"


def _likely(torque: Fraction, limits: Limits, known: Uncertainty) -> float:
    low = None if limits.low is None else float(limits.low)
    high = None if limits.high is None else float(limits.high)
    return probability(float(torque), known.standard, low, high, known.freedom)


def at_fastener(
    applied: Applied | Indeterminate,
    limits: Limits,
    *,
    gain: Fraction = Fraction(1),
    known: Uncertainty | None = None,
    accuracy: Fraction | None = None,
    by: Convention = "iso-6789",
) -> Verdict:
    """Judge what a curve says about one reading against the limits at the fastener.

    Args:
        applied: what the tool applied, at its own square; where it is `Indeterminate`, so is the verdict.
        limits: at the fastener, with run-on torque and pass.
        gain: torque at the fastener per torque at the tool's square, through adapters and multipliers.
        known: the uncertainty **at the fastener**; when left out, the certificate's alone.
        accuracy: the tool's accuracy, which tells good points of the curve from bad ones; without it none
            is called bad.
        by: the convention of that accuracy.
    """
    if isinstance(applied, Indeterminate):
        return Verdict("indeterminate", (applied.reason,), None, None, None, None)
    if known is None:
        known = from_certificate(applied.expanded, applied.standard, gain)
    mixed = accuracy is not None and is_good(applied.low, accuracy, by) != is_good(applied.high, accuracy, by)
    other = applied.by_deviation * gain if mixed else None
    return verdict(applied.torque * gain, limits, known, other)
