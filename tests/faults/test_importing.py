"""Power lost in the middle of an import: what was told is on record, and the same command ends where none was lost."""

import shutil
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

from tests.faults import importer
from tests.faults.killing import Kills, kill_loop
from tests.support.measure import measured
from torquelog.book.opening import open_book
from torquelog.book.verification import verify_file
from torquelog.clock import SystemClock

TIMES = frozenset({"number", "recorded", "known"})
"""Columns that tell when a row was written, and as which entry."""


def command(folder: Path, *ways: str) -> list[str]:
    """The words that bring the file in."""
    return [sys.executable, "-m", "tests.faults.importer", str(folder), *ways]


def facts(folder: Path) -> list[tuple[Any, ...]]:
    """The readings on record, without when they were written."""
    with open_book(folder / importer.RECORD, "read", SystemClock()) as book:
        columns = [
            row[1] for row in book.connection.execute("PRAGMA table_info(reading)") if row[1] not in TIMES
        ]
        rows = book.connection.execute(f"SELECT {', '.join(columns)} FROM reading ORDER BY at, number")
        return [tuple(row) for row in rows]


def kills(folder: Path, rounds: int, *ways: str, seed: int = 11) -> Kills:
    """Bring one file in whole, and the same into a copy of the record that is killed so often on the way."""
    whole, hurt = folder / "whole", folder / "hurt"
    whole.mkdir()
    importer.prepare(whole)
    shutil.copytree(whole, hurt)

    def check(lines: Sequence[str]) -> None:
        assert len(facts(hurt)) >= sum(map(int, lines[-1:]))

    result = kill_loop(lambda _: command(hurt, *ways), check, rounds=rounds, seed=seed, span=0.08)
    for place in (whole, hurt):
        kill_loop(
            lambda _, place=place: command(place, *ways),
            lambda _: None,
            rounds=1,
            seed=1,
            span=600.0,
            warm=False,
        )
    assert facts(hurt) == facts(whole)
    assert len(facts(whole)) == importer.ROWS + 2
    report, _, _ = verify_file(str(hurt / importer.RECORD))
    assert report.findings == ()
    return result


def test_a_killed_import_given_again_ends_as_one_that_was_not(
    tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """Killed at random moments, it goes on each time; at the end the readings are those of one run."""
    result = kills(tmp_path, 4)
    record_property("count", str(result))
    assert result.killed


@pytest.mark.long
def test_an_import_killed_again_and_again(
    tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """The same, many times over, every other time with a process beside it."""
    for number in range(measured(10)):
        place = tmp_path / str(number)
        place.mkdir()
        record_property("count", str(kills(place, 6, *("beside",) * (number % 2), seed=number)))
