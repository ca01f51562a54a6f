"""How a wrench drifted, in the terminal: a line of signs, and the numbers beside it."""

import shlex
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.cli.hangar import Hangar
from tests.cli.terminal import play
from torquelog.cli.sparkline import STEPS, sparkline
from torquelog.cli.text import ascii_only

ADD = "wrench add W-0417 --type setting --range '20..100 N·m' --graduation 0.5 --every '12 months'"
HEAD = "state,direction,indicated,reference,unit\n"
YEARS = ((2022, "100.2"), (2023, "99.6"), (2024, "99.2"), (2025, "98.4"), (2026, "97.5"))
"""What the standard measured at 100 N·m as found, year by year; the deviations follow from it by ISO 6789."""


@pytest.fixture
def hangar() -> Hangar:
    return Hangar()


def calibrated(hangar: Hangar, years: int, accuracy: str = " --accuracy '4 %'") -> None:
    """Register the wrench and record so many certificates, one a year, each with results as found and as left."""
    hangar.did(ADD + accuracy)
    for year, reference in YEARS[:years]:
        Path("points.csv").write_text(
            f"{HEAD}as-found,cw,60,60.1,N.m\nas-found,cw,100,{reference},N.m\nas-left,cw,100,100.1,N.m\n"
        )
        hangar.did(
            f"wrench calibrate W-0417 --certificate C-{year} --on {year}-11-09 --points points.csv --accept"
        )


def shown(hangar: Hangar, encoding: str = "utf-8") -> list[str]:
    """What a person reads about the wrench, line by line."""
    played = play(shlex.split("wrench show W-0417"), terminal=True, encoding=encoding, now=hangar.now)
    return played.out.splitlines()


def drift_of(lines: list[str]) -> list[str]:
    """The lines about its drift."""
    first = next((number for number, line in enumerate(lines) if line.startswith("  Drift ")), len(lines))
    return lines[first : first + 3]


def test_a_drift_is_a_line_with_its_numbers(hangar: Hangar) -> None:
    """100 shown and 97.5 measured is (100 - 97.5) / 97.5 = +2.56 %: five steps of the eight from -4 to +4 %."""
    calibrated(hangar, 5)
    assert [line.strip() for line in drift_of(shown(hangar))] == [
        "Drift              ▄▅▅▆▇   as found at 100 N·m, clockwise",
        "-0.20, +0.40, +0.81, +1.63, +2.56 %, from Wed 9 Nov 2022 to",
        "Mon 9 Nov 2026",
    ]


def test_without_utf_8_the_line_is_of_other_signs(hangar: Hangar) -> None:
    """Each step has a sign of ASCII of its own."""
    calibrated(hangar, 3)
    (first, *_) = drift_of(shown(hangar, "ascii"))
    assert first == "  Drift              -==   as found at 100 N-m, clockwise"
    assert len(set(ascii_only(STEPS))) == len(STEPS)


@pytest.mark.parametrize("years", [1, 2])
def test_one_or_two_results_make_no_drift(hangar: Hangar, years: int) -> None:
    """They are told to programs all the same."""
    calibrated(hangar, years)
    assert drift_of(shown(hangar)) == []
    told = hangar.data("wrench show W-0417")["drift"]
    assert [each["certificate"] for each in told["found"]] == [f"C-{year}" for year, _ in YEARS[:years]]
    assert told["found"][0] == {
        "on": "2022-11-09",
        "certificate": "C-2022",
        "deviation": {"value": "-0.20", "unit": "%"},
    }
    assert (told["direction"], told["indicated"]) == ("cw", {"value": "100", "unit": "N·m"})


def test_a_wrench_that_was_never_found_has_none(hangar: Hangar) -> None:
    """Neither a line nor data."""
    hangar.did(ADD)
    assert drift_of(shown(hangar)) == []
    assert hangar.data("wrench show W-0417")["drift"] is None


def test_without_allowed_deviation_the_line_fits_what_was_found(hangar: Hangar) -> None:
    """The largest deviation either way is the end of the line, and no limit is told."""
    calibrated(hangar, 3, accuracy="")
    lines = drift_of(shown(hangar))
    assert "▄▆█" in lines[0]
    assert "papers allow" not in " ".join(lines)


@given(st.lists(st.fractions(-2, 2), min_size=1, max_size=20))
def test_a_larger_value_never_stands_lower(values: list[Fraction]) -> None:
    """One sign a value; beyond the ends it stays at the end."""
    line = sparkline(values, Fraction(-1), Fraction(1))
    assert len(line) == len(values)
    steps = [STEPS.index(sign) for sign in line]
    assert all(
        steps[one] <= steps[two]
        for one in range(len(values))
        for two in range(len(values))
        if values[one] <= values[two]
    )


def test_ends_that_are_one_put_everything_in_the_middle() -> None:
    """Where nothing was ever off, the line is level."""
    assert sparkline([Fraction(0)] * 3, Fraction(0), Fraction(0)) == "▅▅▅"
