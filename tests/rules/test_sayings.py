"""The sentences of a judgement on a tool, letter by letter."""

from collections.abc import Callable
from datetime import date
from fractions import Fraction
from typing import Any

import pytest

from tests.support.tools import certificate, condition, scale, wrench
from torquelog.facts.custody import Whereabouts
from torquelog.rules import sayings
from torquelog.rules.coverage import Span
from torquelog.torque.units import Torque

USED = date(2026, 11, 25)
SPAN = Span("ccw", Torque("20", "lbf·ft"), Torque("100", "lbf·ft"), Fraction(27), Fraction(136))


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (lambda: sayings.future(USED), "The work is dated Wed 25 Nov 2026, which is later than now."),
        (
            lambda: sayings.gone("W-1", Whereabouts("retired", ""), date(2026, 11, 24), USED),
            "W-1 was retired Tue 24 Nov 2026, the day before.",
        ),
        (
            lambda: sayings.gone(
                "W-1", Whereabouts("away", "", place="the laboratory"), date(2026, 11, 23), USED
            ),
            "W-1 was sent to the laboratory Mon 23 Nov 2026, 2 days before, and is not received back.",
        ),
        (
            lambda: sayings.gone("W-1", Whereabouts("away", ""), date(2026, 11, 23), USED),
            "W-1 was sent away Mon 23 Nov 2026, 2 days before, and is not received back.",
        ),
        (
            lambda: sayings.condition(
                "W-1", condition("quarantined", "2026-11-24", why="It slipped."), USED, USED
            ),
            "W-1 has been in quarantine since Wed 25 Nov 2026, the same day: It slipped.",
        ),
        (
            lambda: sayings.condition("W-1", condition("lost", "2026-11-24"), date(2026, 11, 24), USED),
            "W-1 was reported lost Tue 24 Nov 2026, the day before.",
        ),
        (
            lambda: sayings.indication_only("W-1"),
            "W-1 is for indication only, not for a torque that a card demands.",
        ),
        (
            lambda: sayings.needs_check("W-1"),
            "W-1 has to be checked on a tester before use, and was not on that day.",
        ),
        (lambda: sayings.not_calibrated("W-1", ()), "W-1 has no calibration on record."),
        (
            lambda: sayings.not_calibrated(
                "W-1", (certificate("2026-01-12"), certificate("2025-01-12", number=9, withdrawn=1))
            ),
            "Certificate C-9 of W-1, Sun 12 Jan 2025, was withdrawn.",
        ),
        (
            lambda: sayings.not_calibrated(
                "W-1",
                (
                    certificate("2025-01-12", number=9, withdrawn=1),
                    certificate("2026-01-12", number=10, withdrawn=1),
                ),
            ),
            "Certificate C-10 of W-1, Mon 12 Jan 2026, was withdrawn.",
        ),
        (
            lambda: sayings.not_calibrated(
                "W-1", (certificate("2026-01-12"), certificate("2025-01-12", number=9))
            ),
            "W-1 had no calibration then: its first is C-9 of Sun 12 Jan 2025.",
        ),
        (
            lambda: sayings.not_accepted("W-1", certificate()),
            "Certificate C-10 of W-1, Mon 12 Jan 2026, was not accepted here yet.",
        ),
        (
            lambda: sayings.as_left_failed("W-1", Fraction(1, 25), certificate(), certificate().points[0]),
            "Certificate C-10 of Mon 12 Jan 2026 leaves W-1 outside its 4 %: 20 lbf·ft shown was 20.1 lbf·ft.",
        ),
        (
            lambda: sayings.as_left_missing("W-1", certificate()),
            "Certificate C-10 of Mon 12 Jan 2026 says how W-1 was found, not how it was left.",
        ),
        (
            lambda: sayings.past_due("W-1", date(2026, 11, 24), date(2026, 11, 24), USED),
            "W-1 was due Tue 24 Nov 2026, the day before.",
        ),
        (
            lambda: sayings.past_due("W-1", date(2026, 10, 12), date(2026, 10, 31), USED),
            "W-1 was due Mon 12 Oct 2026 and could be used through Sat 31 Oct 2026, 25 days before.",
        ),
        (lambda: sayings.cycles_used("W-1", 5000), "W-1 has used all of its 5,000 cycles."),
        (
            lambda: sayings.direction("W-1", certificate(), "ccw"),
            "W-1 is not calibrated counter-clockwise: certificate C-10 does not cover it.",
        ),
        (
            lambda: sayings.direction("W-1", certificate(), "cw"),
            "W-1 is not calibrated clockwise: certificate C-10 does not cover it.",
        ),
        (
            lambda: sayings.no_scale(
                wrench(scales=(scale("20", "100", "lbf·ft"), scale("30", "140", "N·m"))), "kgf·m"
            ),
            "W-0402 has no scale in kgf·m; it shows lbf·ft and N·m.",
        ),
        (
            lambda: sayings.outside_range("W-1", Torque("10", "lbf·ft"), scale("20", "100", "lbf·ft")),
            "10 lbf·ft lies outside the range of W-1, 20 to 100 lbf·ft.",
        ),
        (
            lambda: sayings.outside_calibrated(Torque("10", "lbf·ft"), certificate(), SPAN),
            "10 lbf·ft lies outside what certificate C-10 covers counter-clockwise, 20 to 100 lbf·ft.",
        ),
        (
            lambda: sayings.restricted(
                "W-1", condition("restricted", "2026-11-24", detail="below 50 N·m", why="Worn.")
            ),
            "W-1 is restricted to use below 50 N·m: Worn.",
        ),
    ],
)
def test_a_judgement_is_said_in_these_words(said: Callable[[], str], words: str) -> None:
    """With absolute dates, the tool's number, and what counts."""
    assert said() == words


@pytest.mark.parametrize(
    ("what", "words"),
    [
        ("dropped", "was dropped"),
        ("overloaded", "was overloaded"),
        ("damaged", "was damaged"),
        ("repaired", "was repaired"),
        ("check-failed", "failed a check"),
    ],
)
def test_what_befell_a_tool_is_said_in_these_words(what: str, words: str) -> None:
    """And that it was not calibrated since."""
    told = sayings.condition("W-1", condition(what, "2026-11-24"), date(2026, 11, 24), USED)
    assert told == f"W-1 {words} Tue 24 Nov 2026, the day before, and was not calibrated since."


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (("20", "lbf·ft"), ("100", "lbf·ft"), "20 to 100 lbf·ft"),
        (("20", "lbf·ft"), ("20", "lbf·ft"), "20 lbf·ft"),
        (("20", "lbf·ft"), ("140", "N·m"), "20 lbf·ft to 140 N·m"),
        (("20", "lbf·ft"), ("20", "N·m"), "20 lbf·ft to 20 N·m"),
    ],
)
def test_a_range_is_said_once_with_its_unit(low: Any, high: Any, words: str) -> None:
    """With both where they differ, and as one torque where there is one."""
    assert sayings.range_text(Torque(*low), Torque(*high)) == words


def test_a_share_is_said_in_per_cent_with_six_digits() -> None:
    """A third does not come out even."""
    assert sayings.percent(Fraction(1, 25)) == "4 %"
    assert sayings.percent(Fraction(1, 3)) == "33.3333 %"


def test_who_confirmed_what_they_did_themselves_is_told_by_the_entry() -> None:
    """Six digits, as every entry is named."""
    assert sayings.own_confirmation("QHR", 41) == (
        "QHR-000041 was confirmed by one who did it, as nobody else could."
    )
