"""Least squares in exact fractions, beside the worked line of JCGM 100."""

from fractions import Fraction
from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from torquelog.errors import TorquelogError
from torquelog.torque.regression import fit, straight_line

PLACES = [
    "21.521",
    "22.012",
    "22.512",
    "23.003",
    "23.507",
    "23.999",
    "24.513",
    "25.002",
    "25.503",
    "26.010",
    "26.511",
]
VALUES = ["-.171", "-.169", "-.166", "-.159", "-.164", "-.165", "-.156", "-.157", "-.159", "-.161", "-.160"]
small = st.fractions(-100, 100, max_denominator=100)


def thermometer():
    """The calibration line of JCGM 100:2008 annex H.3, with its origin at 20."""
    return straight_line([Fraction(t) for t in PLACES], [Fraction(b) for b in VALUES], Fraction(20))


def test_the_correction_line_of_the_guide():
    """JCGM 100 H.3 (read): y1 −0.1712(29), y2 0.00218(67), r −0.930, b(30) = −0.1494(41)."""
    line = thermometer()
    assert [round(float(line.coefficients[0]), 4), round(line.standard(0), 4)] == [-0.1712, 0.0029]
    assert [round(float(line.coefficients[1]), 5), round(line.standard(1), 5)] == [0.00218, 0.00067]
    assert round(line.correlation(0, 1), 3) == -0.930
    found = line.at((Fraction(1), Fraction(10)))
    assert [round(float(found.value), 4), round(found.standard, 4)] == [-0.1494, 0.0041]
    assert found.freedom == 9


def test_without_the_covariance_the_uncertainty_is_far_too_large():
    """JCGM 100 H.3: leaving out the covariance makes u(b(30)) 76 % too large."""
    line = thermometer()
    without = sqrt(line.covariance[0][0] + 100 * line.covariance[1][1])
    assert round(without / line.at((Fraction(1), Fraction(10))).standard, 2) == 1.76


@settings(max_examples=60)
@given(st.lists(st.tuples(small, small), min_size=3, max_size=12, unique_by=lambda row: row[0]))
def test_a_line_equals_the_reference(rows):
    """Slope, intercept and their standard errors equal the reference library's."""
    places, values = zip(*rows, strict=True)
    found = straight_line(places, values)
    reference = stats.linregress([float(x) for x in places], [float(y) for y in values])
    assert float(found.coefficients[1]) == pytest.approx(reference.slope, rel=1e-6, abs=1e-6)
    assert float(found.coefficients[0]) == pytest.approx(reference.intercept, rel=1e-6, abs=1e-6)
    assert found.standard(1) == pytest.approx(reference.stderr, rel=1e-5, abs=1e-6)
    assert found.standard(0) == pytest.approx(reference.intercept_stderr, rel=1e-5, abs=1e-6)


@given(st.lists(small, min_size=4, max_size=9, unique=True), small, small, small)
def test_what_lies_on_a_curve_is_found_exactly(places, one, two, three):
    """Values of a parabola give back its coefficients exactly, with no scatter at all."""
    rows = [(Fraction(1), place, place**2) for place in places]
    found = fit(rows, [one + two * place + three * place**2 for place in places])
    assert found.coefficients == (one, two, three)
    assert found.scatter == 0
    assert found.at((Fraction(1), Fraction(7), Fraction(49))).value == one + 7 * two + 49 * three


def test_elimination_meets_a_zero_on_the_diagonal():
    """Columns whose first product is zero after elimination still solve: the rows are exchanged."""
    rows = [(Fraction(0), Fraction(1)), (Fraction(1), Fraction(0)), (Fraction(1), Fraction(1))]
    assert fit(rows, [Fraction(2), Fraction(3), Fraction(5)]).coefficients == (3, 2)


def test_one_single_result_scatters_more_than_the_line():
    """A result to come carries the scatter of the results beside the uncertainty of the line."""
    found = thermometer().at((Fraction(1), Fraction(5)))
    assert found.standard_of_one == pytest.approx(sqrt(found.variance + found.scatter))
    assert found.standard_of_one > 2 * found.standard


@pytest.mark.parametrize(
    ("places", "values"),
    [((), ()), ((1, 2), (1, 2)), ((3, 3, 3), (1, 2, 3))],
)
def test_too_few_results_are_said_so(places, values):
    """No results, as many as coefficients, or all at one place: no line, and the reason."""
    with pytest.raises(TorquelogError) as caught:
        straight_line([Fraction(x) for x in places], [Fraction(y) for y in values])
    assert caught.value.code == "results-too-few"


def test_a_line_without_columns_is_none():
    """However many results there are."""
    with pytest.raises(TorquelogError) as caught:
        fit([(), ()], [Fraction(1), Fraction(2)])
    assert caught.value.code == "results-too-few"
