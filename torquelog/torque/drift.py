"""How a tool's error grows with the days since its calibration, from its own as-found results.

The model is a sum of powers of the days without an intercept: on the day of the calibration the change is
zero by definition (the regression of NASA-HDBK-8739.19-5 chapter 7, read where another document reproduces
it; re-derived). A prediction for one later result carries the covariance of the coefficients **and** the
variance of the residuals, and with few results Student's t, not the normal distribution. Changes are in
whatever unit the results are (a deviation as a fraction, or newton metres).
"""

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from math import sqrt
from typing import Final, NamedTuple

from torquelog.torque.distributions import student_cdf
from torquelog.torque.regression import Estimate, Fit, fit

__all__ = ["HORIZON", "Change", "Drift", "days_until_uncertainty", "days_within", "drift"]

HORIZON: Final = 7305
"""The days looked ahead: twenty years."""


class Change(NamedTuple):
    """One interval of a tool: days from the calibration to the next, and as found minus as left before it."""

    days: int
    change: Fraction


class Drift(NamedTuple):
    """A fitted drift: its powers of the days, the fit, and the longest interval that it rests on."""

    powers: tuple[int, ...]
    fit: Fit
    longest: int

    def at(self, days: Fraction) -> Estimate:
        """Predict the change after so many days."""
        return self.fit.at([days**power for power in self.powers])


def drift(changes: Sequence[Change], powers: tuple[int, ...] = (1, 2)) -> Drift:
    """Fit the drift to the changes of past intervals.

    Raises:
        TorquelogError: `results-too-few`.
    """
    rows = [[Fraction(change.days) ** power for power in powers] for change in changes]
    found = fit(rows, [change.change for change in changes])
    return Drift(powers, found, max(change.days for change in changes))


class _Floats(NamedTuple):
    """The fit in floats, for looking through thousands of days."""

    powers: tuple[int, ...]
    coefficients: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    fixed: float

    def value(self, days: float) -> float:
        return sum(b * days**power for b, power in zip(self.coefficients, self.powers, strict=True))

    def standard(self, days: float) -> float:
        row = [days**power for power in self.powers]
        variance = sum(
            one * two * cell
            for one, line in zip(row, self.covariance, strict=True)
            for two, cell in zip(row, line, strict=True)
        )
        return sqrt(max(0.0, variance + self.fixed))


def _floats(known: Drift, initial: float) -> _Floats:
    found = known.fit
    return _Floats(
        known.powers,
        tuple(float(b) for b in found.coefficients),
        tuple(tuple(float(cell) for cell in line) for line in found.covariance),
        float(found.scatter) + initial**2,
    )


def days_until_uncertainty(
    known: Drift, initial: float, limit: float, horizon: int = HORIZON
) -> float | None:
    """Give the days until the standard uncertainty of a tool's error has grown from `initial` to `limit`.

    It holds the initial uncertainty, the covariance of the drift, and the variance of the residuals: all
    three inside the root. Nothing when it does not get there within the horizon.
    """
    curve = _floats(known, initial)
    if curve.standard(0.0) >= limit:
        return 0.0
    for before, after in pairwise(range(horizon + 1)):
        if curve.standard(float(after)) >= limit:
            return _crossing(curve, limit, float(before), float(after))
    return None


def _crossing(curve: _Floats, limit: float, low: float, high: float) -> float:
    for _ in range(60):
        middle = (low + high) / 2
        if curve.standard(middle) < limit:
            low = middle
        else:
            high = middle
    return high


def days_within(
    known: Drift, tolerance: float, reliability: float, *, initial: float = 0.0, horizon: int = HORIZON
) -> int:
    """Give the whole days for which a tool stays within ± `tolerance` with this reliability (0 to 1).

    By Student's t with the degrees of freedom of the fit; `initial` is the standard uncertainty at the
    calibration. At most the horizon.
    """
    curve = _floats(known, initial)
    for days in range(1, horizon + 1):
        if _inside(curve.value(days), curve.standard(days), tolerance, known.fit.freedom) < reliability:
            return days - 1
    return horizon


def _inside(value: float, standard: float, tolerance: float, freedom: float) -> float:
    if standard <= 0.0:
        return float(abs(value) <= tolerance)
    below = student_cdf((-tolerance - value) / standard, freedom)
    return max(0.0, 1.0 - below - student_cdf((value - tolerance) / standard, freedom))
