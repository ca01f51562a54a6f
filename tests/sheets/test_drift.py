"""The drift of a wrench: which intervals count, and that a prediction is a straight line through zero."""

from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from torquelog.facts.calibrations import Calibration, Point
from torquelog.sheets.drift_view import drift_view
from torquelog.torque.number import display
from torquelog.torque.units import Torque

START = date(2020, 1, 1)


def point(state: str, permille: Fraction, nominal: str = "100", direction: str = "cw") -> Point:
    """A result whose deviation by ISO 6789 is so many thousandths."""
    reference = Fraction(nominal) / (1 + permille / 1000)
    return Point(state, direction, Torque(nominal, "N·m"), Torque(display(reference, 12), "N·m"))


def certificate(number: int, day: date, *points: Point, withdrawn: bool = False) -> Calibration:
    """A certificate of a day."""
    return Calibration(
        "QHR",
        number,
        "W-1",
        f"C-{number}",
        "Lab",
        day,
        None,
        points,
        number,
        withdrawn=1 if withdrawn else None,
    )


def yearly(changes: list[int]) -> list[Calibration]:
    """A wrench left without deviation each year, found so many thousandths off the next."""
    made = [certificate(1, START, point("as-left", Fraction(0)))]
    for number, change in enumerate(changes, 1):
        day = START + timedelta(days=365 * number)
        found = (point("as-found", Fraction(change)), point("as-left", Fraction(0)))
        made.append(certificate(number + 1, day, *found))
    return made


def test_a_wrench_that_drifts_evenly_is_expected_to_go_on_so() -> None:
    """Found 10 thousandths off each year: after half a year 5, with next to no band."""
    made = yearly([10, 10, 10])
    view = drift_view(made, made[-1].on + timedelta(days=146))
    assert [each.days for each in view.intervals] == [365, 365, 365]
    assert view.prediction is not None
    assert view.prediction.value == pytest.approx(0.004, abs=1e-6)
    assert view.prediction.low == pytest.approx(0.004, abs=1e-6)


@pytest.mark.parametrize(
    ("changes", "reason"), [([], "No drift is known yet"), ([10], "1 interval is not enough")]
)
def test_too_few_intervals_predict_nothing(changes: list[int], reason: str) -> None:
    """And say so."""
    made = yearly(changes)
    view = drift_view(made, made[-1].on + timedelta(days=365))
    assert view.path == ()
    assert reason in view.why_not


def test_without_a_due_date_nothing_is_predicted() -> None:
    """There is no day to predict for."""
    assert "no due date" in drift_view(yearly([10, 12, 9]), None).why_not


def test_a_withdrawn_certificate_does_not_count() -> None:
    """Its results are in doubt: the interval goes from the one before it to the one after."""
    made = yearly([10, 12, 9])
    made[1] = made[1]._replace(withdrawn=1)
    assert [each.days for each in drift_view(made, None).intervals] == [730, 365]


def test_results_found_and_left_unchanged_count_as_both() -> None:
    """They end one interval and begin the next."""
    made = [
        certificate(1, START, point("as-left", Fraction(1))),
        certificate(2, START + timedelta(days=300), point("unchanged", Fraction(3))),
        certificate(3, START + timedelta(days=700), point("as-found", Fraction(7))),
    ]
    view = drift_view(made, None)
    assert [(each.days, round(each.change * 1000)) for each in view.intervals] == [(300, 2), (400, 4)]


def test_the_torque_with_the_most_intervals_is_shown_and_of_several_the_highest() -> None:
    """A torque that was measured once only says less."""
    made = yearly([10, 12])
    more = [point(state, Fraction(5), "150") for state in ("as-found", "as-left")]
    made[1] = made[1]._replace(points=(*made[1].points, more[1]))
    made[2] = made[2]._replace(points=(*made[2].points, more[0]))
    assert str(drift_view(made, None).indicated) == "100 N·m"
    made[0] = made[0]._replace(points=(*made[0].points, more[1]))
    made[1] = made[1]._replace(points=(*made[1].points, more[0]))
    assert str(drift_view(made, None).indicated) == "150 N·m"


@settings(max_examples=40)
@given(st.lists(st.integers(-30, 30), min_size=2, max_size=6), st.integers(30, 900))
def test_a_prediction_begins_as_left_and_its_band_never_narrows(changes: list[int], ahead: int) -> None:
    """The expected value is at zero change on the first day, the band holds it, and grows with the days."""
    made = yearly(changes)
    view = drift_view(made, made[-1].on + timedelta(days=ahead))
    assert view.path[0].value == pytest.approx(0.0, abs=1e-9)
    widths = [each.high - each.low for each in view.path]
    assert all(each.low <= each.value <= each.high for each in view.path)
    assert all(later >= earlier - 1e-12 for earlier, later in pairwise(widths))
    assert view.path[-1].day == made[-1].on + timedelta(days=ahead)
