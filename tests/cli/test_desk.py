"""`torquelog desk` as it is typed: a crib's morning."""

import json

import pytest

from tests.cli.technician import WRENCH, Technician, compare
from torquelog.work.scan import code


@pytest.fixture
def technician() -> Technician:
    """A crib with a good wrench out with TK, one in, and one that has no calibration."""
    found = Technician()
    found.hangar.did(WRENCH.replace("W-0417", "W-0391"))
    found.hangar.did(
        "wrench calibrate W-0391 --certificate C-7 --on 2026-03-18 --points sample_data/wrench-results.csv --accept"
    )
    found.hangar.did(WRENCH.replace("W-0417", "W-0402"))
    return found


MORNING = (
    code("person", "TK"), code("wrench", "W-0402"), code("wrench", "W-0391"), "", code("wrench", "W-0417"),
    code("wrench", "W-0417"), "", "n", "w-0417", "TQ1WW-0391", "W-9999", "w-0391", "y", "d", "w-0391", "", "q",
)  # fmt: skip


def test_a_morning_at_the_counter(technician: Technician) -> None:
    """Issued, not issued with the reason and what could be taken instead, back, dropped, what is out."""
    status, shown = technician.work(*MORNING, command="desk")
    assert status == 0
    compare("desk", shown)
    assert technician.hangar.data("wrench show W-0391")["fit"] is False


def test_in_a_pipe_the_worst_line_is_the_exit(technician: Technician) -> None:
    """A tool that was not issued is a refusal; with --json every line has its envelope."""
    status, shown = technician.work("TK", "W-0402", command="desk --json", terminal=False)
    lines = [json.loads(line) for line in shown.split("\n") if line]
    assert (status, [line["exit"] for line in lines]) == (3, [0, 3])
    assert "W-0402 is NOT issued: no calibration." in lines[1]["data"]["said"]
