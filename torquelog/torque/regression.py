"""Least squares in exact fractions: a line, or any sum of given columns, with covariances and predictions.

The normal equations are solved without rounding, so that an ill-conditioned table of days costs no digits.
Results become floats only where a square root is taken. After JCGM 100:2008 annex H.3 and clause 5.2.
"""

from collections.abc import Sequence
from fractions import Fraction
from math import sqrt
from typing import NamedTuple

from torquelog.errors import TorquelogError

__all__ = ["Estimate", "Fit", "fit", "straight_line"]

Row = Sequence[Fraction]


class Estimate(NamedTuple):
    """A fitted value with its variances.

    Attributes:
        value: the fitted value.
        variance: the variance of the fitted value itself.
        scatter: the variance of one single result about the fitted values.
        freedom: degrees of freedom of both.
    """

    value: Fraction
    variance: Fraction
    scatter: Fraction
    freedom: int

    @property
    def standard(self) -> float:
        """The standard uncertainty of the fitted value."""
        return sqrt(self.variance)

    @property
    def standard_of_one(self) -> float:
        """The standard uncertainty of one single result to come."""
        return sqrt(self.variance + self.scatter)


class Fit(NamedTuple):
    """Coefficients, their covariance matrix, the variance of the residuals, and its degrees of freedom."""

    coefficients: tuple[Fraction, ...]
    covariance: tuple[tuple[Fraction, ...], ...]
    scatter: Fraction
    freedom: int

    def standard(self, place: int) -> float:
        """Give the standard uncertainty of one coefficient."""
        return sqrt(self.covariance[place][place])

    def correlation(self, one: int, two: int) -> float:
        """Give the correlation coefficient of two coefficients."""
        return float(self.covariance[one][two]) / (self.standard(one) * self.standard(two))

    def at(self, row: Row) -> Estimate:
        """Predict for a row of the columns, the covariance of the coefficients included."""
        value = _product(self.coefficients, row)
        variance = _product(row, [_product(line, row) for line in self.covariance])
        return Estimate(value, variance, self.scatter, self.freedom)


def fit(rows: Sequence[Row], values: Sequence[Fraction]) -> Fit:
    """Fit values as a sum of columns with coefficients to be found; each row holds the columns of one value.

    Raises:
        TorquelogError: `results-too-few`, where there is no result beyond the number of coefficients, or
            the rows do not differ enough to tell the coefficients apart.
    """
    columns = list(zip(*rows, strict=True))
    freedom = len(values) - len(columns)
    normal = [[_product(one, two) for two in columns] for one in columns]
    inverse = _inverse(normal) if columns and freedom > 0 else None
    if inverse is None:
        raise TorquelogError(
            "results-too-few",
            "There are too few results for this line, or all of them lie at one place.",
            hint="Wait for more calibrations, or fit a simpler line.",
        )
    right = [_product(column, values) for column in columns]
    coefficients = [_product(line, right) for line in inverse]
    residuals = [value - _product(coefficients, row) for row, value in zip(rows, values, strict=True)]
    scatter = _product(residuals, residuals) / freedom
    covariance = tuple(tuple(scatter * cell for cell in line) for line in inverse)
    return Fit(tuple(coefficients), covariance, scatter, freedom)


def straight_line(places: Row, values: Row, origin: Fraction = Fraction(0)) -> Fit:
    """Fit intercept and slope; the intercept is the value at `origin`.

    Raises:
        TorquelogError: `results-too-few`.
    """
    return fit([(Fraction(1), place - origin) for place in places], values)


def _product(one: Row, two: Row) -> Fraction:
    return sum((a * b for a, b in zip(one, two, strict=True)), Fraction(0))


def _inverse(matrix: Sequence[Row]) -> list[list[Fraction]] | None:
    """Invert by elimination; nothing where the matrix is singular."""
    size = len(matrix)
    work = [[*line, *(Fraction(i == j) for j in range(size))] for i, line in enumerate(matrix)]
    for place in range(size):
        pivot = next((i for i in range(place, size) if work[i][place] != 0), None)
        if pivot is None:
            return None
        work[place], work[pivot] = work[pivot], work[place]
        lead = work[place][place]
        work[place] = [cell / lead for cell in work[place]]
        for i in range(size):
            if i != place and work[i][place] != 0:
                factor = work[i][place]
                work[i] = [cell - factor * own for cell, own in zip(work[i], work[place], strict=True)]
    return [line[size:] for line in work]
