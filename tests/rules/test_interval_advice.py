"""Changes between certificates at the torques at which a tool was left last, and what they leave of its accuracy."""

from fractions import Fraction

from tests.support.tools import certificate, points
from torquelog.rules.interval_advice import Place, own_advice, past, places


def at(*left: str, found: tuple[str, ...] = (), on: str = "2026-01-12", unit: str = "N·m"):
    """A certificate in N·m with results as left and as found."""
    results = points(*left, unit=unit) + points(*found, state="as-found", unit=unit)
    return certificate(on, points=results)


def test_a_change_is_as_found_less_as_left_before():
    """Left 1 % off and found 3 % off, by ISO 6789: it changed by 2 % of the reference."""
    first = at("100 99", "20 20")
    second = at("100 100", "20 20", found=("100 97", "20 20"), on="2027-01-12")
    (low, high) = places(second)
    found = past(first, second, 365, (low, high))
    assert found.changes[high] == Fraction(100, 97) - Fraction(100, 99)
    assert found.changes[low] == 0
    assert found.worst == found.changes[high]


def test_between_the_points_of_another_certificate_its_curve_is_asked():
    """Left at 20 and 100 before, found at 20 and 100 again, and left last at 60 as well."""
    first = at("20 20", "100 100")
    second = at("20 20", "60 60", "100 100", found=("20 20", "100 95"), on="2027-01-12")
    middle = next(place for place in places(second) if place.indicated == 60)
    assert past(first, second, 365, [middle]).changes[middle] == 60 / Fraction("57.5") - 1


def test_what_a_certificate_does_not_speak_of_is_no_change():
    """Another direction, or beyond its points."""
    first = at("20 20", "100 100")
    second = at("20 20", "120 120", found=("20 20", "120 120"), on="2027-01-12")
    assert [place.indicated for place in past(first, second, 365, places(second)).changes] == [20]
    other = Place("ccw", Fraction(50), Fraction(0), Fraction(0))
    assert past(first, second, 365, [other]).worst is None


def test_a_tool_left_near_its_limit_has_less_to_drift():
    """A drift of 0.3 % a year keeps 4 % from the middle, and not from 3.9 % off."""
    where = [Place("cw", Fraction(100), Fraction(left, 1000), Fraction(0)) for left in (0, 39)]
    start = at("100 100")
    for place, decision in zip(where, ("lengthen", "shorten"), strict=True):
        changes = [Fraction(3, 1000), Fraction(31, 10000), Fraction(29, 10000), Fraction(3, 1000)]
        history = [past(start, start, 365, [])._replace(changes={place: change}) for change in changes]
        advice = own_advice(history, [place], Fraction(1, 25), 0.95, 365)
        assert advice.decision == decision
    assert own_advice([], [], Fraction(1, 25), 0.95, 365).decision == "too-few"
