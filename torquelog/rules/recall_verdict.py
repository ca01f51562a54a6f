"""The verdict on one reading of a recall: what the fastener got, by the results as found and as left.

The as-found results decide, for they are the nearest to what the tool did. Nothing is extrapolated: where
they say nothing the answer is indeterminate, with its reason.
"""

from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from torquelog.torque.curve import ROUNDED_CONVERSION, Applied, Curve, Indeterminate, actual
from torquelog.torque.limits import Limits, Side
from torquelog.torque.pair import Pair
from torquelog.torque.uncertainty import Gain, of_reading
from torquelog.torque.units import Torque
from torquelog.torque.verdict import Answer, at_fastener


class Basis(NamedTuple):
    """What is known of a wrench at the time of a reading.

    Attributes:
        found: its error curve as found, or why there is none.
        left: its error curve as left, or why there is none.
        by: which of the two decides: `as-found`, or `as-left` where the wrench itself is not in doubt.
        found_unit, left_unit: the unit of each certificate; a reading in another one may lie a rounding
            outside its ends.
        graduation: the smallest step of the scale that was read, N·m, or nothing.
        accuracy: the wrench's, which tells good points from bad ones, or nothing.
    """

    found: Curve | Indeterminate
    left: Curve | Indeterminate
    by: str = "as-found"
    found_unit: str = ""
    left_unit: str = ""
    graduation: Fraction | None = None
    accuracy: Fraction | None = None


class Question(NamedTuple):
    """One reading as it is judged again.

    Attributes:
        indicated: what was set or read.
        gain: torque at the fastener per torque indicated, as it was taken at the time.
        limits: at the fastener as they were taken at the time, N·m.
        true_gain: the gain by the adapters as they really were.
        true_limits: the limits with the run-on torque as it really was.
        highest: above this the bolt may have yielded, N·m; nothing where the card sets no such end.
        doubt: why the limits or the gain are not known, or "".
        fault: what else puts the fastener outside what the card allows, or "".
    """

    indicated: Torque
    gain: Fraction
    limits: Limits
    true_gain: Fraction
    true_limits: Limits
    highest: Fraction | None = None
    doubt: str = ""
    fault: str = ""


class Judged(NamedTuple):
    """What a reading really did.

    Attributes:
        answer: within, outside or indeterminate.
        reasons: why it is indeterminate, or what a definite answer rests on.
        found, left: the torque at the fastener in N·m, by what decides and by the results as left, or nothing.
        expanded: the expanded uncertainty of `found`, N·m, or nothing.
        probability: that it lay within the limits, 0 to 1, or nothing.
        side: where `found` lies by itself, or nothing.
        limits: those it was judged against, N·m.
        beyond: how far outside the nearer limit `found` lies, as a share of that limit; negative inside.
        over: `certain` where the bolt got more than the card allows anywhere, `possible` where nobody can
            exclude it, else "".
        by: `as-found` or `as-left`, whichever decided.
    """

    answer: Answer
    reasons: tuple[str, ...]
    found: Fraction | None
    left: Fraction | None
    expanded: Fraction | None
    probability: float | None
    side: Side | None
    limits: Limits
    beyond: Fraction | None
    over: str
    by: str


def judge(basis: Basis, asked: Question) -> Judged:
    """Judge one reading again by what is known of its tools now."""
    left = _applied(basis.left, asked.indicated, basis.left_unit)
    found = _applied(basis.found, asked.indicated, basis.found_unit) if basis.by == "as-found" else left
    known = None
    if isinstance(found, Applied):
        known = of_reading(found, through=Gain(asked.true_gain, ()), graduation=basis.graduation)
    verdict = at_fastener(
        found, asked.true_limits, gain=asked.true_gain, known=known, accuracy=basis.accuracy
    )
    answer, reasons = verdict.answer, verdict.reasons
    if asked.doubt:
        answer, reasons = "indeterminate", (*reasons, asked.doubt)
    if asked.fault:
        answer, reasons = "outside", (*reasons, asked.fault)
    return Judged(
        answer=answer, reasons=reasons, found=verdict.torque,
        left=left.torque * asked.gain if isinstance(left, Applied) else None,
        expanded=verdict.expanded, probability=None if asked.doubt else verdict.probability, side=verdict.side,
        limits=asked.true_limits, beyond=beyond(verdict.torque, asked.true_limits),
        over=_over(verdict.torque, verdict.expanded, asked.highest), by=basis.by,
    )  # fmt: skip


def _applied(curve: Curve | Indeterminate, indicated: Torque, unit: str) -> Applied | Indeterminate:
    rounding = ROUNDED_CONVERSION if unit and unit != indicated.unit else Fraction(0)
    return actual(curve, indicated.newton_metres, rounding)


def beyond(torque: Fraction | None, limits: Limits) -> Fraction | None:
    """How far outside the nearer limit a torque lies, as a share of that limit; negative inside."""
    if torque is None:
        return None
    shares = [(limits.low - torque) / limits.low] if limits.low else []
    shares += [(torque - limits.high) / limits.high] if limits.high else []
    return max(shares, default=None)


def _over(torque: Fraction | None, expanded: Fraction | None, highest: Fraction | None) -> str:
    if torque is None or highest is None:
        return ""
    spread = expanded or Fraction(0)
    if torque - spread > highest:
        return "certain"
    return "possible" if torque + spread > highest else ""


def corrected(pairs: Iterable[Pair], tester: Curve | Indeterminate) -> tuple[Pair, ...]:
    """The results of a certificate with each reference as the tester really measured it.

    A result that the tester's own curve does not reach is left out: nothing is known of it.
    """
    found = []
    for pair in pairs:
        true = actual(tester, pair.reference)
        if isinstance(true, Applied):
            found.append(pair._replace(reference=true.torque))
    return tuple(found)
