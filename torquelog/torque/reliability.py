"""How many tools of a family come back in tolerance, and what that says about their interval.

The exponential model takes the share in tolerance to fall as exp(−λ t). The share itself is an estimate
from few results, so it comes with exact binomial limits (Clopper and Pearson).
"""

from math import log
from typing import NamedTuple

from torquelog.torque.distributions import beta_quantile

__all__ = ["Limits", "binomial_limits", "exponential_interval"]


class Limits(NamedTuple):
    """The lower and the upper limit of a share in tolerance, 0 to 1."""

    low: float
    high: float


def exponential_interval(interval: float, observed: float, target: float) -> float | None:
    """Give the interval that would have reached the target: I · ln R_target / ln R_observed.

    `interval` is in days, or in cycles. Both shares lie between 0 and 1; an observed share of exactly 0 or
    1 has no answer, for its logarithm says nothing about a rate, and so has such a target: nothing then.
    """
    if not (0.0 < observed < 1.0 and 0.0 < target < 1.0):
        return None
    return interval * log(target) / log(observed)


def binomial_limits(good: int, tested: int, confidence: float) -> Limits:
    """Give the exact central limits of a share of which `good` of `tested` results kept the tolerance.

    `confidence` is what lies between them: 0.30 leaves 35 % on each side. With none good the lower limit is
    0, with all good the upper one is 1. At least one result is needed.
    """
    side = (1.0 - confidence) / 2
    low = 0.0 if good == 0 else beta_quantile(side, good, tested - good + 1)
    high = 1.0 if good == tested else beta_quantile(1.0 - side, good + 1, tested - good)
    return Limits(low, high)
