"""The wheel of `tests/work/test_session_wheel.py`, typed as `record` commands on a terminal: keys for each reading."""

from collections.abc import Callable
from pathlib import Path

from tests.cli.hangar import Hangar
from torquelog.torque.sequence import order

CARD = f"""\
[card]
id = "WHEEL"
title = "Main wheel"
document = "CMM 32-40-EX"
revision = "B"
date = 2026-11-02

[[group]]
id = "tie-bolt"
on = "wheel"
count = 16
torque = "68..76 N·m"
order = {list(order(16))}
passes = ["50 %", "100 %"]
last-round = true
condition = "clean and dry"

[[group]]
id = "axle-nut"
on = "wheel"
count = 1
steps = [
  {{ id = "seat", torque = "120..140 N·m", wheel-turning = true }},
  {{ id = "back-off" }},
  {{ id = "final", torque = "68..82 N·m", wheel-turning = true }},
]

[[group]]
id = "brake-nut"
on = "wheel"
count = 4
torque = "40..48 N·m"
order = [1, 3, 2, 4]
"""
POINTS = "state,direction,indicated,reference,unit\nas-left,cw,20,20,N·m\nas-left,cw,150,150,N·m\n"
MOST = 40
BETWEEN = (
    "torquelog job hand-over J-1 --to IK",
    "torquelog job take-over J-1",
    "torquelog job inspect J-1 --by MS --item tie-bolt --accept --wrench-seen W-0417",
    "nine apples on the wing",
)
"""What an inspection and a hand-over in the middle cost besides; the passphrase, too, is typed."""


def test_a_wheel_typed_as_commands(record_property: Callable[[str, object], None]) -> None:
    """From an open job on: job and wrench are named once and carry over; the program's name and Enter count, too."""
    Path("wheel.toml").write_text(CARD, encoding="utf-8")
    Path("points.csv").write_text(POINTS, encoding="utf-8")
    hangar = Hangar(
        "wrench add W-0417 --type setting --range '20..150 N·m' --graduation '0.5 N·m' --lever '10 in' "
        "--accuracy '4 %' --every '12 months' --cycles 5000",
        "wrench calibrate W-0417 --certificate C-1 --on 2026-11-09 --points points.csv --accept",
        "adapter add A-03 --length '2.5 in'",
        "assembly add WH-2231 --part EX-4410-1 --kind wheel",
        "card load wheel.toml",
        'card approve WHEEL --why "nobody else is here" --passphrase-stdin',
        "job open J-1 --card WHEEL --assembly WH-2231",
    )
    typed = ["step J-1 tie-bolt thread-condition"]
    readings = []
    for setting in (36, 72, 72):
        readings += [f"record tie-bolt:{item} {setting} Nm" for item in order(16)]
    readings[0] += " -j J-1 -w W-0417"
    readings += ["record axle-nut:1 120 Nm", "step J-1 axle-nut back-off", "record axle-nut:1 72 Nm"]
    readings += [f"record brake-nut:{item} 35 Nm" for item in (1, 3, 2, 4)]
    readings[-4] += " -a A-03"
    for line in (*typed, *readings):
        hangar.now += 5000
        status, screen = hangar.talked(line)
        assert status == 0, screen
    lines = [*(f"torquelog {line}" for line in (*typed, *readings)), *BETWEEN]
    taken = sum(line.startswith("record") for line in readings)
    keys = sum(len(line) + 1 for line in lines)
    record_property("count", f"{keys:,} keys for {taken} readings, {keys / taken:.1f} each")
    assert taken == 16 * 3 + 2 + 4
    state = hangar.data("job show J-1")
    assert state["readings"] == {"taken": taken, "asked": taken}
    assert [each["code"] for each in state["open"]] == []
    assert keys <= MOST * taken
