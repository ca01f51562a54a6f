"""A record made anew from its entries is the same, row for row, whoever makes it where."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.story import PASSES, Story


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A station's day with something of every kind: late, struck, refused, confirmed, fitted, replaced, closed."""
    story = Story(tmp_path_factory.mktemp("station"))
    nut = {"id": "axle-nut", "on": "wheel", "count": 1, "torque": "95..105 N·m", "locking": ["cotter pin"]}
    story.bench(PASSES, nut, checks=[{"id": "leak-check", "title": "No leak"}])
    story.aircraft()
    story.adapter("A-03", "3 in")
    story.wrench("W-0402", on="2025-11-10")
    story.issue("W-0417", job="J-1")
    for item in (1, 2, 3):
        for reading in ("36 N·m", "72 N·m"):
            story.take(f"tie-bolt:{item}", reading, lots=("L-7",))
    story.take("axle-nut:1", "77 N·m", adapters=["A-03"])
    story.take("tie-bolt:2", "160 N·m", "W-0402", loosened=True)
    story.take("tie-bolt:2", "37 N·m", loosened=True)
    typed = story.take("tie-bolt:2", "80 N·m")
    story.correct(typed.reference, reading="70 N·m")
    story.act("tie-bolt:3", "replaced", part="EX-7", lots=("L-8",))
    story.step("axle-nut", "cotter-pin")
    story.step("", "leak-check")
    story.fit("WH-2231")
    story.later(days=2)
    story.report("W-0417", "dropped", at="2026-11-26T08:00")
    late = story.take("tie-bolt:3", "36 N·m", at="2026-11-25T13:00", why="worksheet")
    story.confirm(late.reference)
    story.remove("WH-2231", at="2026-11-26T09:00")
    story.close_book()
    return Path(story.book.path)


SURROUNDINGS = [
    {"PYTHONHASHSEED": "1", "TZ": "Pacific/Kiritimati", "LC_ALL": "C"},
    {"PYTHONHASHSEED": "271828", "TZ": "America/St_Johns", "LC_ALL": "C.UTF-8", "PYTHONUTF8": "0"},
]


def test_the_same_under_another_hash_seed_zone_and_locale(record: Path, tmp_path: Path) -> None:
    """Every row of every table, the tally of cycles included, is what the entries give, in any surroundings."""
    seen = []
    for place, surroundings in enumerate(SURROUNDINGS):
        command = [sys.executable, "-m", "tests.model.rebuild", str(record), str(tmp_path / f"{place}.db")]
        done = subprocess.run(
            command, env=os.environ | surroundings, capture_output=True, text=True, check=True
        )
        seen.append(done.stdout.split())
    assert len({digest for told in seen for digest in told[:2]}) == 1
    assert len({told[2] for told in seen}) == len(SURROUNDINGS), "the hash seeds made no difference"
