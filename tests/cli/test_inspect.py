"""`job inspect`, `job hand-over` and `job take-over` as they are typed and answered."""

import pytest

from tests.cli.technician import Technician

PASSPHRASE = "nine apples on the wing\n"
CARD = """
[card]
id = "MW-CHECK"
title = "Main wheel, two bolts"
document = "EX-MANUAL 32-40"
revision = "A"
date = 2026-11-02
[[group]]
id = "tie-bolt"
on = "wheel"
count = 2
torque = "68..76 N·m"
inspection = "independent"
"""


@pytest.fixture
def technician() -> Technician:
    """TK, alone at the station, with two bolts tightened that the card wants inspected."""
    found = Technician()
    with open("check.toml", "w", encoding="utf-8") as file:
        file.write(CARD)
    found.hangar.did("card load check.toml")
    found.hangar.did('card approve MW-CHECK --why "nobody else" --passphrase-stdin', PASSPHRASE)
    found.hangar.did("job open J-6 --card MW-CHECK --assembly WH-2231")
    for item in (1, 2):
        found.hangar.did(f"record tie-bolt:{item} 53 ft-lb -j J-6 -w W-0417")
    return found


def test_alone_an_inspection_takes_a_reason_and_says_so(technician: Technician) -> None:
    """Without the reason nothing is recorded; with it the answer bears the remark."""
    line = "job inspect J-6 --item tie-bolt --accept --wrench-seen W-0417 --passphrase-stdin"
    assert technician.hangar.refused(line, PASSPHRASE) == (2, ["why-missing"])
    told = technician.hangar.did(f"{line} --why 'nobody else tonight'", PASSPHRASE)
    assert "Tie bolts 1 to 2 accepted, by TK." in told
    assert "looked again at work of their own" in told
    assert technician.hangar.did("job close J-6")


def test_accepted_or_rejected_is_said(technician: Technician) -> None:
    """Neither or both is a question, not an answer; and no item without a terminal."""
    for more in ("", " --accept --reject"):
        line = f"job inspect J-6 --item tie-bolt{more} --passphrase-stdin"
        assert technician.hangar.refused(line, PASSPHRASE) == (2, ["needs-option"])
    line = "job inspect J-6 --accept --passphrase-stdin"
    assert technician.hangar.refused(line, PASSPHRASE) == (2, ["needs-option"])


def test_on_a_terminal_each_group_is_asked_for(technician: Technician) -> None:
    """The wrench is typed blind; a rejection says which and what was found."""
    status, screen = technician.hangar.talked(
        "job inspect J-6",
        "Accept, reject or leave for now: reject", "Which numbers: 2", "What was found: no washer",
    )  # fmt: skip
    assert status == 0
    assert "Tie bolts 1 to 2: 68..76 N·m. 2 finished." in screen
    assert "W-0417" not in screen
    assert "Tie bolt 2 rejected, by TK." in screen


def test_a_job_is_handed_over_and_taken_over(technician: Technician) -> None:
    """The key o does it from within the work; the taker accepts what is open."""
    technician.hangar.did("loosen J-6 tie-bolt:1")
    again = ("l", "y", "none", "w-0417 26.5", *[""] * 12)
    status, shown = technician.work(*again, "o TK end of shift", terminal=False)
    assert status == 0
    assert "J-5 is handed over" in shown
    data = technician.hangar.data("job take-over J-5")
    assert (data["from"], data["to"]) == ("TK", "TK")
    assert data["open"] == [
        {"group": "tie-bolt", "slot": "pass 2", "items": [str(number) for number in range(1, 13)]}
    ]


def test_a_hand_over_that_nobody_accepted_holds_the_closing(technician: Technician) -> None:
    """`job show` names it with the command that accepts it."""
    technician.hangar.did("job hand-over J-6 --to TK --why 'end of shift'")
    told = technician.hangar.did("job show J-6")
    assert "TK handed the job over to TK, who has not taken it over." in told
    assert "torquelog job take-over J-6" in told
