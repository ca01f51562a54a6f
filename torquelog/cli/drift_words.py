"""How a tool was found from one calibration to the next: a line of signs with its numbers, and the same for programs."""

from collections.abc import Iterator, Sequence
from datetime import date
from fractions import Fraction
from typing import Final, NamedTuple

from torquelog.cli import words
from torquelog.cli.answer import Json
from torquelog.cli.sparkline import sparkline
from torquelog.cli.tool_calibrate import signed_percent
from torquelog.facts.calibrations import Calibration, Point
from torquelog.facts.tools import Tool
from torquelog.rules.sayings import ROUND, percent
from torquelog.torque.deviation import deviation
from torquelog.torque.units import Torque

FEWEST: Final = 3
"""Results that make a drift; one or two make none."""

MOST: Final = 8
"""Results that are shown, the newest."""

FOUND: Final = ("as-found", "unchanged")

Place = tuple[str, Fraction]


class Found(NamedTuple):
    """One result as found: the day, the certificate, and the mean deviation of its repetitions."""

    on: date
    certificate: str
    deviation: Fraction


class Drifted(NamedTuple):
    """A tool's results as found, oldest first, where it has the most of them: a direction and an indicated torque."""

    direction: str
    indicated: Torque
    results: tuple[Found, ...]


def drifted(certificates: Sequence[Calibration]) -> Drifted | None:
    """The results as found of certificates that were not withdrawn; of several torques with as many, the highest."""
    found: dict[Place, list[Found]] = {}
    shown: dict[Place, Torque] = {}
    for each in sorted(certificates, key=lambda each: (each.found_on or each.on, each.recorded)):
        for place, points in _places(each).items():
            mean = sum(map(_deviation, points), Fraction(0)) / len(points)
            found.setdefault(place, []).append(Found(each.found_on or each.on, each.certificate, mean))
            shown[place] = points[0].indicated
    if not found:
        return None
    best = max(found, key=lambda place: (len(found[place]), place[0] == "cw", place[1]))
    return Drifted(best[0], shown[best], tuple(found[best]))


def _places(certificate: Calibration) -> dict[Place, list[Point]]:
    places: dict[Place, list[Point]] = {}
    for point in certificate.points if certificate.withdrawn is None else ():
        if point.state in FOUND and point.reference.newton_metres > 0:
            places.setdefault((point.direction, point.indicated.newton_metres), []).append(point)
    return places


def _deviation(point: Point) -> Fraction:
    return deviation(point.indicated.newton_metres, point.reference.newton_metres)


def drift_facts(tool: Tool, found: Drifted | None) -> Iterator[tuple[str, str]]:
    """The line with its numbers; nothing where there are too few results to speak of a drift."""
    if found is None or len(found.results) < FEWEST:
        return
    results = found.results[-MOST:]
    values = [each.deviation for each in results]
    limit = tool.accuracy or max(map(abs, values))
    where = f"as found at {found.indicated}, {ROUND[found.direction]}"
    since = f"{words.day(results[0].on)} to {words.day(results[-1].on)}"
    yield "Drift", f"{sparkline(values, -limit, limit)}   {where}"
    yield "", f"{', '.join(map(_number, values))} %, from {since}"
    if tool.accuracy is not None:
        yield "", f"the line reaches from -{percent(limit)} to +{percent(limit)}, what its papers allow"


def _number(value: Fraction) -> str:
    return signed_percent(value).removesuffix(" %")


def drift_data(found: Drifted | None) -> Json:
    """Every result as found, for programs; null where there is none."""
    if found is None:
        return None
    return {
        "direction": found.direction,
        "indicated": {"value": found.indicated.value, "unit": found.indicated.unit},
        "found": [
            {
                "on": str(each.on),
                "certificate": each.certificate,
                "deviation": {"value": _number(each.deviation), "unit": "%"},
            }
            for each in found.results
        ],
    }
