"""The sentences of a judgement on a tool, in the user's words: absolute dates, and days relative to the use."""

from collections.abc import Sequence
from datetime import date
from fractions import Fraction

from torquelog.facts.calibrations import Calibration, Point
from torquelog.facts.conditions import Condition
from torquelog.facts.custody import Whereabouts
from torquelog.facts.tools import Scale, Tool
from torquelog.rules.coverage import Span
from torquelog.rules.days import day_before, day_name
from torquelog.torque.number import display
from torquelog.torque.units import Torque

ROUND = {"cw": "clockwise", "ccw": "counter-clockwise"}

_BEFELL = {
    "dropped": "was dropped",
    "overloaded": "was overloaded",
    "damaged": "was damaged",
    "repaired": "was repaired",
    "check-failed": "failed a check",
}


def own_confirmation(station: str, number: int) -> str:
    """That an entry waited for a second person, and that there was none."""
    return f"{station}-{number:06d} was confirmed by one who did it, as nobody else could."


def range_text(low: Torque, high: Torque) -> str:
    """A range: "20 to 100 lbf·ft"; one torque alone where both ends are the same."""
    if low.unit != high.unit:
        return f"{low} to {high}"
    return str(low) if low.value == high.value else f"{low.value} to {high}"


def percent(share: Fraction) -> str:
    """A share in percent: 1/25 is "4 %"."""
    return f"{display(share * 100, 6)} %"


def future(day: date) -> str:
    """The work is dated later than now."""
    return f"The work is dated {day_name(day)}, which is later than now."


def gone(tool: str, whereabouts: Whereabouts, moved: date, day: date) -> str:
    """It is away or retired."""
    if whereabouts.kind == "retired":
        return f"{tool} was retired {day_before(moved, day)}."
    to = f" to {whereabouts.place}" if whereabouts.place else " away"
    return f"{tool} was sent{to} {day_before(moved, day)}, and is not received back."


def condition(tool: str, fact: Condition, when: date, day: date) -> str:
    """What befell it, or why it lies in quarantine."""
    if fact.what == "quarantined":
        return f"{tool} has been in quarantine since {day_before(when, day)}: {fact.why}"
    if fact.what == "lost":
        return f"{tool} was reported lost {day_before(when, day)}."
    return f"{tool} {_BEFELL[fact.what]} {day_before(when, day)}, and was not calibrated since."


def indication_only(tool: str) -> str:
    """It may indicate, no more."""
    return f"{tool} is for indication only, not for a torque that a card demands."


def needs_check(tool: str) -> str:
    """It has to be checked on the day of use."""
    return f"{tool} has to be checked on a tester before use, and was not on that day."


def not_calibrated(tool: str, calibrations: Sequence[Calibration]) -> str:
    """No certificate counted at the use."""
    if not calibrations:
        return f"{tool} has no calibration on record."
    gone = [each for each in calibrations if each.withdrawn is not None]
    if gone:
        last = max(gone, key=lambda each: each.on)
        return f"Certificate {last.certificate} of {tool}, {day_name(last.on)}, was withdrawn."
    first = min(calibrations, key=lambda each: each.on)
    return f"{tool} had no calibration then: its first is {first.certificate} of {day_name(first.on)}."


def not_accepted(tool: str, calibration: Calibration) -> str:
    """A certificate waits for its acceptance."""
    return f"Certificate {calibration.certificate} of {tool}, {day_name(calibration.on)}, was not accepted here yet."


def as_left_failed(tool: str, accuracy: Fraction, calibration: Calibration, point: Point) -> str:
    """The certificate leaves it outside its accuracy."""
    return (
        f"Certificate {calibration.certificate} of {day_name(calibration.on)} leaves {tool} outside its "
        f"{percent(accuracy)}: {point.indicated} shown was {point.reference}."
    )


def as_left_missing(tool: str, calibration: Calibration) -> str:
    """The certificate says how it was found and no more."""
    return (
        f"Certificate {calibration.certificate} of {day_name(calibration.on)} says how {tool} was found, "
        "not how it was left."
    )


def past_due(tool: str, due: date, last: date, day: date) -> str:
    """Its due date has passed."""
    if last == due:
        return f"{tool} was due {day_before(due, day)}."
    return f"{tool} was due {day_name(due)} and could be used through {day_before(last, day)}."


def cycles_used(tool: str, limit: int) -> str:
    """Its cycle limit is reached."""
    return f"{tool} has used all of its {limit:,} cycles."


def direction(tool: str, calibration: Calibration, asked: str) -> str:
    """The certificate does not speak of this direction."""
    return (
        f"{tool} is not calibrated {ROUND[asked]}: certificate {calibration.certificate} does not cover it."
    )


def no_scale(tool: Tool, unit: str) -> str:
    """The reading is in a unit that the tool does not show."""
    units = " and ".join(scale.unit for scale in tool.scales)
    return f"{tool.tool} has no scale in {unit}; it shows {units}."


def outside_range(tool: str, indicated: Torque, scale: Scale) -> str:
    """The value lies outside the tool's own scale."""
    return f"{indicated} lies outside the range of {tool}, {range_text(scale.low, scale.high)}."


def outside_calibrated(indicated: Torque, calibration: Calibration, span: Span) -> str:
    """The value lies outside what was calibrated."""
    return (
        f"{indicated} lies outside what certificate {calibration.certificate} covers {ROUND[span.direction]}, "
        f"{range_text(span.first, span.last)}."
    )


def restricted(tool: str, fact: Condition) -> str:
    """A restriction excludes the use."""
    return f"{tool} is restricted to use {fact.detail}: {fact.why}"
