"""What a closing leaves to be checked again, and what a new job takes over, as it is said."""

import pytest

from tests.cli.technician import Technician

CARD = """
[card]
id = "MW-AGAIN"
title = "Main wheel, two bolts"
document = "EX-MANUAL 32-40"
revision = "A"
date = 2026-11-02
[[group]]
id = "tie-bolt"
on = "wheel"
count = 2
torque = "68..76 N·m"
above = "replace"
recheck = "after first flight"
"""


@pytest.fixture
def technician() -> Technician:
    """TK with a job whose card asks for a recheck."""
    found = Technician()
    with open("again.toml", "w", encoding="utf-8") as file:
        file.write(CARD)
    found.hangar.did("card load again.toml")
    found.hangar.did(
        'card approve MW-AGAIN --why "nobody else" --passphrase-stdin', "nine apples on the wing\n"
    )
    found.hangar.did("assembly add WH-2240 --part EX-4410-1 --kind wheel")
    found.hangar.did("job open J-6 --card MW-AGAIN --assembly WH-2240")
    return found


def test_a_closing_says_what_is_to_be_checked_again(technician: Technician) -> None:
    """The list names the wheel, and where it is; the next job on it is told."""
    assert "0 open rechecks." in technician.hangar.did("job rechecks")
    for item in (1, 2):
        technician.hangar.did(f"record tie-bolt:{item} 53 ft-lb -j J-6 -w W-0417")
    assert "To be checked again after first flight: tie bolts 1 to 2." in technician.hangar.did(
        "job close J-6"
    )
    told = technician.hangar.did("job rechecks")
    assert "1 open recheck." in told
    assert "Tie bolts 1 to 2" in told
    assert "WH-2240" in told
    opened = technician.hangar.did("job open J-7 --card MW-AGAIN --assembly WH-2240")
    assert (
        "Recheck open: tie bolts 1 to 2, after first flight, since J-6 was closed Wed 25 Nov 2026." in opened
    )


def test_a_new_job_is_told_what_an_earlier_one_left_open(technician: Technician) -> None:
    """An over-torqued bolt stays so from job to job."""
    assert technician.hangar.type("record tie-bolt:1 80 ft-lb -j J-6 -w W-0417").exit == 4
    opened = technician.hangar.did("job open J-7 --card MW-AGAIN --assembly WH-2240")
    assert "Open from an earlier job: Tie bolt 1 is above the limits." in opened
