"""Whether a torque tool kept its accuracy: every single reading of a calibration, by a named decision rule.

The mean does not decide, each reading does (ISO 6789-1, from memory). Limits and answers are exact: a
reading on the limit is inside. Three rules (ILAC-G8:09/2019 clause 4.2, read), with a guard band w inside
(and, for the third, outside) each tolerance limit TL:

* `simple-acceptance`: pass up to TL, fail beyond it;
* `guard-band`: pass up to TL − w, fail beyond it;
* `four-way`: pass up to TL − w, conditional pass up to TL, conditional fail up to TL + w, fail beyond it.

w is the certificate's expanded uncertainty of the reading. At the limit of such a band, for one limit and k
= 2, the probability of conforming is 97.7 %.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Final, Literal, NamedTuple

from torquelog.errors import TorquelogError
from torquelog.torque.curve import Point
from torquelog.torque.deviation import Convention, band, within
from torquelog.torque.pair import Pair

__all__ = ["ANSWERS", "RULES", "Answer", "Conformity", "Rule", "conformity", "is_good", "judged", "rule"]

Rule = Literal["simple-acceptance", "guard-band", "four-way"]
RULES: Final[tuple[Rule, ...]] = ("simple-acceptance", "guard-band", "four-way")

Answer = Literal["pass", "conditional-pass", "conditional-fail", "fail"]
ANSWERS: Final[tuple[Answer, ...]] = ("pass", "conditional-pass", "conditional-fail", "fail")
"""From the best to the worst."""


class Conformity(NamedTuple):
    """The answer for each reading, in the order given, and the worst of them, which is the tool's."""

    answers: tuple[Answer, ...]
    worst: Answer

    @property
    def conforms(self) -> bool:
        """Whether the tool keeps its accuracy: passed, if only conditionally."""
        return self.worst in ("pass", "conditional-pass")


def rule(text: str) -> Rule:
    """Read the name of a decision rule.

    Raises:
        TorquelogError: `rule-unknown`.
    """
    for known in RULES:
        if text == known:
            return known
    raise TorquelogError(
        "rule-unknown",
        f"{text!r} is not a decision rule.",
        hint=f"Name one of {', '.join(RULES)}.",
    )


def judged(
    pair: Pair, accuracy: Fraction, by: Convention = "iso-6789", deciding: Rule = "simple-acceptance"
) -> Answer:
    """Judge one reading of a calibration against the tool's accuracy (1/25 is 4 %).

    Raises:
        TorquelogError: `uncertainty-missing`, where the rule needs an uncertainty and the certificate gives
            none.
    """
    limits = band(pair.indicated, accuracy, by)
    inside = min(pair.reference - limits.low, limits.high - pair.reference)
    if deciding == "simple-acceptance":
        return "pass" if inside >= 0 else "fail"
    guard = _guard(pair, deciding)
    if deciding == "guard-band":
        return "pass" if inside >= guard else "fail"
    return _four_way(inside, guard)


def _four_way(inside: Fraction, guard: Fraction) -> Answer:
    """Answer by how far inside the nearer limit the reading lies; negative is outside."""
    if inside >= guard:
        return "pass"
    if inside >= 0:
        return "conditional-pass"
    return "conditional-fail" if inside >= -guard else "fail"


def _guard(pair: Pair, deciding: Rule) -> Fraction:
    if pair.uncertainty is None:
        raise TorquelogError(
            "uncertainty-missing",
            f"The decision rule {deciding} needs the uncertainty of every result.",
            hint="Add the certificate's uncertainty and k to the results, or decide by simple-acceptance.",
        )
    return pair.uncertainty


def conformity(
    pairs: Sequence[Pair],
    accuracy: Fraction,
    by: Convention = "iso-6789",
    deciding: Rule = "simple-acceptance",
) -> Conformity:
    """Judge every reading; the worst one is the tool's answer. At least one reading is needed.

    Raises:
        TorquelogError: `uncertainty-missing`.
    """
    answers = tuple(judged(pair, accuracy, by, deciding) for pair in pairs)
    return Conformity(answers, worst(answers))


def worst(answers: Iterable[Answer]) -> Answer:
    """Give the worst of the answers."""
    return max(answers, key=ANSWERS.index)


def is_good(point: Point, accuracy: Fraction, by: Convention = "iso-6789") -> bool:
    """Tell whether every reading behind a point of an error curve keeps the accuracy."""
    return all(within(pair.indicated, pair.reference, accuracy, by) for pair in point.readings)
