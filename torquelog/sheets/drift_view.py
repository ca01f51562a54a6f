"""How a wrench drifts from one calibration to the next, and where it is likely to be on its next due date.

An interval counts where the certificate before it says how the wrench was left, and the one after it how it was
found, at one indicated torque. The torque with the most such intervals is shown, of several the highest.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from itertools import pairwise
from typing import Final, NamedTuple

from torquelog.errors import TorquelogError
from torquelog.facts.calibrations import Calibration, Point
from torquelog.sheets.error_plot import deviation_of
from torquelog.torque.distributions import student_quantile
from torquelog.torque.drift import Change, Drift, drift
from torquelog.torque.units import Torque

COVERED: Final = 0.95

Place = tuple[str, Fraction]


class Interval(NamedTuple):
    """From one calibration to the next, at one torque.

    Attributes:
        begun, ended: the certificates; on, until: their days.
        left, found: the deviations as left at its beginning and as found at its end.
    """

    begun: Calibration
    ended: Calibration
    on: date
    until: date
    left: Fraction
    found: Fraction

    @property
    def days(self) -> int:
        """How long it was."""
        return (self.until - self.on).days

    @property
    def change(self) -> Fraction:
        """By how much the deviation changed."""
        return self.found - self.left


class Prediction(NamedTuple):
    """Where the deviation is likely to be on a day: the value, and the band that holds one result in 95 of 100 cases."""

    day: date
    value: float
    low: float
    high: float


class DriftView(NamedTuple):
    """The drift of a wrench.

    Attributes:
        direction, indicated: where it was looked at; nothing where no interval counts.
        intervals: oldest first.
        path: the prediction over the days from the newest calibration to the due date; empty where there is none.
        why_not: why nothing is predicted, a sentence, or "".
        left: the newest deviation as left, with its day, or nothing.
    """

    direction: str
    indicated: Torque | None
    intervals: tuple[Interval, ...]
    path: tuple[Prediction, ...]
    why_not: str
    left: tuple[date, Fraction] | None

    @property
    def prediction(self) -> Prediction | None:
        """Where it is likely to be on the due date."""
        return self.path[-1] if self.path else None


def drift_view(certificates: Sequence[Calibration], due: date | None) -> DriftView:
    """Look at the drift over a wrench's certificates.

    Args:
        certificates: all that stand and were not withdrawn, in any order, with their results.
        due: the due date of the newest one, or nothing.
    """
    ordered = sorted((each for each in certificates if each.points and each.withdrawn is None), key=_by_day)
    found = _intervals(ordered)
    if not found:
        few = f"{len(ordered)} certificate{'' if len(ordered) == 1 else 's'} with results"
        return DriftView(
            "",
            None,
            (),
            (),
            f"No drift is known yet: {few}, and none after another that says how it was found.",
            None,
        )
    place = max(found, key=lambda each: (len(found[each]), each[0] == "cw", each[1]))
    intervals = tuple(found[place])
    shown = next(
        point.indicated
        for point in intervals[-1].ended.points
        if (point.direction, point.indicated.newton_metres) == place
    )
    newest = ordered[-1]
    left = _mean(newest, place, "as-left")
    path, why_not = _predicted(intervals, newest, left, due)
    return DriftView(
        place[0], shown, intervals, path, why_not, (newest.on, left) if left is not None else None
    )


def _by_day(calibration: Calibration) -> tuple[date, int, str, int]:
    return calibration.on, calibration.recorded, calibration.station, calibration.number


def _intervals(ordered: Sequence[Calibration]) -> Mapping[Place, list[Interval]]:
    found: dict[Place, list[Interval]] = {}
    for before, after in pairwise(ordered):
        for place in sorted(_places(before, "as-left") & _places(after, "as-found")):
            left, as_found = _mean(before, place, "as-left"), _mean(after, place, "as-found")
            until = after.found_on or after.on
            if left is not None and as_found is not None and until > before.on:
                found.setdefault(place, []).append(Interval(before, after, before.on, until, left, as_found))
    return found


def _place(point: Point) -> Place:
    return point.direction, point.indicated.newton_metres


def _places(calibration: Calibration, state: str) -> set[Place]:
    return {_place(point) for point in calibration.points if point.state in (state, "unchanged")}


def _mean(calibration: Calibration, place: Place, state: str) -> Fraction | None:
    found = [
        deviation_of(point)
        for point in calibration.points
        if point.state in (state, "unchanged") and _place(point) == place
    ]
    return sum(found, Fraction(0)) / len(found) if found else None


def _predicted(
    intervals: Sequence[Interval], newest: Calibration, left: Fraction | None, due: date | None
) -> tuple[tuple[Prediction, ...], str]:
    if left is None:
        return (), "Nothing is predicted: the newest certificate does not say how it was left at this torque."
    if due is None or due <= newest.on:
        return (), "Nothing is predicted: it has no due date to predict for."
    try:
        known = drift([Change(each.days, each.change) for each in intervals], powers=(1,))
    except TorquelogError as error:
        told = "1 interval is" if len(intervals) == 1 else f"{len(intervals)} intervals are"
        return (), f"Nothing is predicted: {told} not enough. {error.what}"
    return tuple(_path(known, newest.on, due, left)), ""


def _path(known: Drift, start: date, due: date, left: Fraction) -> Iterator[Prediction]:
    """The prediction on thirteen days, the last of them the due date."""
    days = (due - start).days
    factor = student_quantile((1 + COVERED) / 2, known.fit.freedom)
    for part in range(13):
        after = days * part // 12
        estimate = known.at(Fraction(after))
        value = float(left + estimate.value)
        spread = factor * estimate.standard_of_one
        yield Prediction(date.fromordinal(start.toordinal() + after), value, value - spread, value + spread)
