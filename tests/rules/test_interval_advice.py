"""Changes between certificates at the torques at which a tool was left last, and what they leave of its accuracy."""

from fractions import Fraction

import pytest

from tests.support.tools import certificate, points
from torquelog.rules.interval_advice import Past, Place, own_advice, past, places, together
from torquelog.torque.interval import Advice
from torquelog.torque.units import Torque


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


def test_a_place_is_a_direction_a_torque_and_how_the_tool_was_left_there():
    """Clockwise first; the expanded uncertainty of 2 N·m with k = 2 is a standard one of 1 % at 100 N·m."""
    clockwise = points("50 50", "102 100", unit="N·m")
    last = certificate(
        points=(
            *points("50 51", direction="ccw", unit="N·m"),
            clockwise[0],
            clockwise[1]._replace(uncertainty=Torque("2", "N·m"), k="2"),
        )
    )
    assert places(last) == (
        Place("cw", Fraction(50), Fraction(0), Fraction(0)),
        Place("cw", Fraction(102), Fraction(2, 100), Fraction(1, 100)),
        Place("ccw", Fraction(50), Fraction(-1, 51), Fraction(0)),
    )


def test_only_what_both_certificates_speak_of_can_be_compared():
    """Left at 100 N·m and not found there, or found and not left: neither is a change."""
    where = [Place("cw", Fraction(100), Fraction(0), Fraction(0))]
    high, low = (
        at("60 60", "100 100", found=("60 60", "100 100")),
        at("20 20", "60 60", found=("20 20", "60 60")),
    )
    assert past(high, low, 365, where).changes == {}
    assert past(low, high, 365, where).changes == {}
    assert past(high, high, 365, where).changes == {where[0]: 0}


def test_a_rounded_conversion_reaches_a_little_beyond_the_last_point():
    """By half a per cent where the two certificates have two units, and not at all where they have one."""
    where = [Place("cw", Fraction(201, 2), Fraction(0), Fraction(0))]
    beyond = [Place("cw", Fraction(1006, 10), Fraction(0), Fraction(0))]
    left, found = at("50 50", "100 100"), at("60 60", "100 100", found=("50 50", "100 100"))
    assert past(left, found, 365, where).changes == {}
    other = found._replace(points=(*found.points, *points("10 10", direction="ccw", unit="lbf·ft")))
    assert past(left, other, 365, where).changes == {where[0]: 0}
    assert past(other, found, 365, where).changes == {where[0]: 0}
    assert past(left, other, 365, beyond).changes == {}


MIDDLE = Place("cw", Fraction(60), Fraction(0), Fraction(0))
HIGH = Place("cw", Fraction(100), Fraction(0), Fraction(0))


def years(*changes: dict[Place, str]) -> list[Past]:
    """Years of a tool, with the change at each place in per cent."""
    it = at("100 100")
    return [
        Past(it, it, 365, {place: Fraction(text) / 100 for place, text in each.items()}) for each in changes
    ]


def advised(history: list[Past], *where: Place) -> Advice:
    """What a tool's own drift speaks for, at 4 % and 95 %."""
    return own_advice(history, where, Fraction(1, 25), 0.95, 365)


def test_a_place_counts_by_the_years_that_speak_of_it():
    """Four years at the middle speak for more days; two at the end are too few, and say nothing against it."""
    history = years(
        {MIDDLE: "0.3", HIGH: "3"}, {MIDDLE: "0.31", HIGH: "3"}, {MIDDLE: "0.29"}, {MIDDLE: "0.3"}
    )
    assert advised(history, MIDDLE).decision == "lengthen"
    assert advised(history, HIGH, MIDDLE) == advised(history, MIDDLE)
    assert advised(history, HIGH) == Advice("too-few", None, "There are 2 results; a drift needs at least 3.")


def test_the_worst_of_its_places_decides_for_a_tool():
    """Where it drifts 0.3 % a year it could wait longer, where it drifts 5 % not even a year, whichever is told first."""
    history = years({MIDDLE: "0.3", HIGH: "5"}, {MIDDLE: "0.31", HIGH: "5.1"}, {MIDDLE: "0.29", HIGH: "4.9"})
    shorter = advised(history, HIGH)
    assert shorter.decision == "shorten"
    assert advised(history, MIDDLE, HIGH) == advised(history, HIGH, MIDDLE) == shorter


def test_the_uncertainty_of_the_calibration_leaves_less_to_drift():
    """A tool that drifts 0.3 % a year within 4 %: with a standard uncertainty of 2 % nobody can say that it does."""
    history = years(
        *[
            {MIDDLE: text, MIDDLE._replace(standard=Fraction(2, 100)): text}
            for text in ("0.3", "0.31", "0.29")
        ]
    )
    assert advised(history, MIDDLE).decision == "lengthen"
    assert advised(history, MIDDLE._replace(standard=Fraction(2, 100))).decision == "shorten"


def test_without_a_certificate_there_is_nothing_to_say():
    """It says why."""
    assert advised([]) == Advice("too-few", None, "No certificate says how it was left.")


def advice(decision, days: int | None = None) -> Advice:
    """An advice without its reason."""
    return Advice(decision, days, "")


@pytest.mark.parametrize(
    ("cautious", "other"),
    [
        (advice("shorten", 364), advice("keep", 365)),
        (advice("shorten", 300), advice("lengthen", 456)),
        (advice("shorten", 100), advice("too-few")),
        (advice("keep", 365), advice("lengthen", 456)),
        (advice("keep", 365), advice("too-few")),
        (advice("lengthen", 547), advice("too-few")),
        (advice("shorten", 299), advice("shorten", 300)),
        (advice("shorten"), advice("shorten", 1)),
        (advice("lengthen", 456), advice("lengthen", 547)),
    ],
)
def test_the_more_cautious_of_two_wins(cautious: Advice, other: Advice):
    """Of the tool's own and its family's: to shorten before to keep, to keep before to lengthen, and of two that say
    the same the fewer days, none at all before one; results too few speak against nothing.
    """
    assert together(cautious, other) == cautious
    assert together(other, cautious) == cautious


def test_of_two_alike_the_tools_own_is_told():
    """With its own reason, also where neither has results enough."""
    own = Advice("too-few", None, "There are 2 results; a drift needs at least 3.")
    family = Advice("too-few", None, "There are 4 results; a family needs at least 5.")
    assert together(own, family) is own
    assert together(family, own) is family
