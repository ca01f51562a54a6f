"""The normal, Student's t and beta distributions, as far as decisions about torque and intervals need them.

Written with the standard library alone: the normal distribution from the error function, the others from the
regularised incomplete beta function by its continued fraction (Abramowitz and Stegun 26.5.8), evaluated
by Lentz's method.
"""

from collections.abc import Callable
from functools import lru_cache
from math import erfc, exp, inf, isinf, lgamma, log, log1p, pi, sqrt
from typing import Final

__all__ = ["beta_quantile", "incomplete_beta", "normal_cdf", "student_cdf", "student_quantile"]

_SMALLEST: Final = 1e-300  # stands for a zero divisor in Lentz's method
_PRECISION: Final = 1e-16
_MOST_TERMS: Final = 20_000
_MANY: Final = 1e5
_HALVINGS: Final = 200


def normal_cdf(z: float) -> float:
    """Give the probability that a standard normal value is at most `z`."""
    return 0.5 * erfc(-z / sqrt(2.0))


def student_cdf(t: float, freedom: float) -> float:
    """Give the probability that Student's t is at most `t`.

    `freedom` is the number of degrees of freedom, above zero, whole or not; infinite means the normal
    distribution.
    """
    square = t * t
    if isinf(freedom) or isinf(t):
        return normal_cdf(t)
    if freedom > _MANY:  # the first term of the expansion about the normal; the fraction would lose digits
        return normal_cdf(t) - exp(-square / 2) * (square + 1) * t / (4 * freedom * sqrt(2 * pi))
    tail = 0.5 * _beta_tail(freedom / 2, 0.5, freedom / (freedom + square), square / (freedom + square))
    return tail if t < 0 else 1.0 - tail


@lru_cache(maxsize=512)
def student_quantile(probability: float, freedom: float) -> float:
    """Give the value that Student's t stays below with this probability; infinite at 0 and 1."""
    if probability <= 0.0 or probability >= 1.0:
        return -inf if probability <= 0.0 else inf
    if probability < 0.5:
        return -student_quantile(1.0 - probability, freedom)
    top = 1.0
    while student_cdf(top, freedom) < probability:
        top *= 2.0
    return _crossing(lambda t: student_cdf(t, freedom) - probability, 0.0, top)


def incomplete_beta(x: float, a: float, b: float) -> float:
    """Give the regularised incomplete beta function of `x` (0 to 1) with `a` and `b` above zero."""
    return _beta_tail(a, b, x, 1.0 - x)


def beta_quantile(probability: float, a: float, b: float) -> float:
    """Give the `x` at which the regularised incomplete beta function reaches this probability."""
    return _crossing(lambda x: incomplete_beta(x, a, b) - probability, 0.0, 1.0)


def _beta_tail(a: float, b: float, x: float, rest: float) -> float:
    """Give the incomplete beta function of `x`; `rest` is 1 − x, given apart for its digits near 1."""
    if x <= 0.0 or rest <= 0.0:
        return 0.0 if x <= 0.0 else 1.0
    if x > (a + 1.0) / (a + b + 2.0):  # beyond it the fraction converges on the other side only
        return 1.0 - _leading(b, a, rest, x) * _fraction(b, a, rest) / b
    return _leading(a, b, x, rest) * _fraction(a, b, x) / a


def _leading(a: float, b: float, x: float, rest: float) -> float:
    """Give xᵃ(1−x)ᵇ / B(a, b), each logarithm taken from whichever of x and 1−x is the small one."""
    log_x = log(x) if x < 0.5 else log1p(-rest)
    log_rest = log(rest) if rest < 0.5 else log1p(-x)
    return exp(a * log_x + b * log_rest - _log_beta(a, b))


def _log_beta(a: float, b: float) -> float:
    """Give the logarithm of the beta function; a large argument beside a half by its series.

    The difference of two large `lgamma` would lose the digits that matter.
    """
    small, large = min(a, b), max(a, b)
    if small == 0.5 and large > 100.0:
        ratio = 0.5 * log(large) - 1 / (8 * large) + 1 / (192 * large**3) - 1 / (640 * large**5)
        return lgamma(0.5) - ratio
    return lgamma(a) + lgamma(b) - lgamma(a + b)


def _fraction(a: float, b: float, x: float) -> float:
    """Evaluate the continued fraction of the incomplete beta function by Lentz's method."""
    upper, lower = 1.0, 1.0 / _kept(1.0 - (a + b) * x / (a + 1.0))
    value = lower
    for m in range(1, _MOST_TERMS):
        before = value
        even = m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0))
        for term in (even, odd):
            lower = 1.0 / _kept(1.0 + term * lower)
            upper = _kept(1.0 + term / upper)
            value *= lower * upper
        if abs(value - before) <= _PRECISION * abs(value):
            break
    return value


def _kept(divisor: float) -> float:
    return divisor if abs(divisor) > _SMALLEST else _SMALLEST


def _crossing(rising: Callable[[float], float], low: float, high: float) -> float:
    """Halve the interval until the rising function's change of sign lies between two neighbouring floats."""
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if rising(middle) < 0.0:
            low = middle
        else:
            high = middle
    return (low + high) / 2
