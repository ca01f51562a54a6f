"""An uncertainty budget: contributions combined, with correlations, degrees of freedom and expansion.

After the Guide to the expression of uncertainty in measurement (JCGM 100:2008): clause 5.2.2 for the sum
with correlations, annex G.4 for the effective degrees of freedom. Uncertainties are floats; what a limit is
compared with is a `Fraction`.
"""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from math import floor, inf, isinf, sqrt
from typing import Final, NamedTuple

from torquelog.torque.distributions import student_cdf, student_quantile

__all__ = [
    "LEVEL", "Contribution", "Correlations", "Uncertainty",
    "combined", "coverage", "freedom_of", "rectangular", "scatter",
]  # fmt: skip

LEVEL: Final = 0.9545
"""The coverage probability of k = 2 under a normal distribution; certificates are expanded to it."""

_UPPER: Final = (1.0 + LEVEL) / 2

Correlations = Mapping[tuple[str, str], float]


class Contribution(NamedTuple):
    """One source of uncertainty.

    Attributes:
        name: what it comes from; unique within a budget.
        standard: its standard uncertainty, in its own unit.
        sensitivity: the change of the result per change of the source, with its sign.
        freedom: degrees of freedom; infinite where the uncertainty is taken as known.
    """

    name: str
    standard: float
    sensitivity: float = 1.0
    freedom: float = inf

    @property
    def share(self) -> float:
        """What it alone does to the result, with the sign of its sensitivity."""
        return self.sensitivity * self.standard

    def times(self, factor: float) -> "Contribution":
        """Give the same source for a result that is multiplied by a factor."""
        return self._replace(sensitivity=self.sensitivity * factor)


class Uncertainty(NamedTuple):
    """The uncertainty of one torque.

    Attributes:
        expanded: at about 95 %, N·m, exact so that limits can be compared with it.
        standard: the combined standard uncertainty, N·m.
        freedom: the effective degrees of freedom.
        contributions: where it comes from.
    """

    expanded: Fraction
    standard: float
    freedom: float
    contributions: tuple[Contribution, ...]


def combined(contributions: Sequence[Contribution], correlations: Correlations | None = None) -> Uncertainty:
    """Combine the contributions of a budget and expand the sum to about 95 %.

    `correlations` gives the correlation coefficient (−1 to 1) of sources by their names, each couple once;
    the others are independent. Effective degrees of freedom by the Welch–Satterthwaite formula (G.2b),
    which wants independent
    sources: where correlated ones have finite degrees of freedom, the fewest of the budget stand for all.
    """
    linked = correlations or {}
    by_name = {part.name: part for part in contributions}
    variance = sum(part.share**2 for part in contributions)
    variance += sum(2 * r * by_name[one].share * by_name[two].share for (one, two), r in linked.items())
    standard = sqrt(max(0.0, variance))
    freedom = _effective(contributions, standard, {name for couple in linked for name in couple})
    expanded = Fraction(standard) * Fraction(round(coverage(freedom), 6))
    return Uncertainty(expanded, standard, freedom, tuple(contributions))


def _effective(contributions: Sequence[Contribution], standard: float, linked: set[str]) -> float:
    finite = [part for part in contributions if not isinf(part.freedom)]
    if any(part.name in linked for part in finite):
        return min(part.freedom for part in finite)
    fourths = sum(part.share**4 / part.freedom for part in finite)
    return standard**4 / fourths if fourths > 0.0 else inf


def coverage(freedom: float) -> float:
    """Give the coverage factor for about 95 %: 2 for infinite degrees of freedom, else Student's t (G.3.4).

    A broken number of degrees of freedom is cut to the whole number below (G.4.1), never below one.
    """
    return 2.0 if isinf(freedom) else student_quantile(_UPPER, max(1.0, floor(freedom)))


def freedom_of(k: Fraction) -> float:
    """Give the degrees of freedom that a certificate's coverage factor tells of: infinite for 2 or less.

    Three decimals of k are looked at; certificates print two.
    """
    return _freedom(round(float(k), 3))


@lru_cache(maxsize=256)
def _freedom(k: float) -> float:
    if k <= 2.0:
        return inf
    low, high = 0.0, 1.0  # one over the degrees of freedom: the fewest taken is one degree
    for _ in range(50):
        middle = (low + high) / 2
        if student_cdf(k, 1.0 / middle) > _UPPER:
            low = middle
        else:
            high = middle
    return 1.0 / high


def rectangular(width: Fraction) -> float:
    """Give the standard uncertainty of a value that lies anywhere within a full width: width / (2√3).

    JCGM 100 clause 4.3.7 (from memory). The step of a scale is such a full width.
    """
    return float(width) / (2 * sqrt(3.0))


def scatter(readings: Sequence[Fraction], name: str = "repeatability") -> Contribution | None:
    """Give what repetitions tell about a single later reading, in their unit; nothing for fewer than two.

    It is the standard deviation of one reading, not of the mean: a fastener gets one.
    """
    count = len(readings)
    if count < 2:
        return None
    mean = sum(readings, Fraction(0)) / count
    variance = sum(((reading - mean) ** 2 for reading in readings), Fraction(0)) / (count - 1)
    return Contribution(name, sqrt(variance), freedom=count - 1)
