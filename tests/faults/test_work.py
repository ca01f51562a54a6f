"""Power lost in the middle of a guided job: nothing acknowledged is missing, and it goes on at the right fastener."""

import re
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from tests.faults import technician
from tests.faults.killing import Kills, kill_loop
from tests.support.measure import measured
from torquelog.book.opening import open_book
from torquelog.clock import SystemClock
from torquelog.facts import readings

SHOWN = re.compile(r"tie bolt +(\d+) .* (QHR-\d+) ")


class Expected:
    """What a record holds after a round, and which fastener the next round has to begin with."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.before = 0
        self.told: list[str] = []

    def check(self, lines: Sequence[str]) -> None:
        """Hold what a round showed against the record."""
        shown = [(int(found[1]), found[2]) for line in lines if (found := SHOWN.match(line))]
        with open_book(self.path, "read", SystemClock()) as book:
            held = list(readings.of_job(book.connection, technician.JOB))
        entries = [f"{each.station}-{each.number:06d}" for each in held]
        assert {entry for _, entry in shown} <= set(entries)
        assert [each.item for each in held] == [number % technician.COUNT + 1 for number in range(len(held))]
        if shown:
            assert shown[0][0] == self.before % technician.COUNT + 1
        self.before = len(held)
        self.told += [entry for _, entry in shown]


def kills(folder: Path, rounds: int) -> Kills:
    """Switch a technician's machine off so often."""
    technician.prepare(folder)
    expected = Expected(folder / "qhr.db")
    result = kill_loop(
        lambda _: [sys.executable, "-m", "tests.faults.technician", str(folder)],
        expected.check, rounds=rounds, seed=7, span=0.25,
    )  # fmt: skip
    assert expected.told
    return result


def test_a_job_goes_on_where_the_power_was_lost(
    tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """Killed at a random moment, each round goes on at the first open bolt, with everything that was shown."""
    result = kills(tmp_path, 6)
    record_property("count", str(result))
    assert result.killed == 6


@pytest.mark.long
def test_a_job_goes_on_after_two_hundred_losses(
    tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """The same 200 times; the chain of entries is whole at the end."""
    result = kills(tmp_path, measured(200))
    record_property("count", str(result))
    assert result.killed >= measured(200) * 9 // 10
