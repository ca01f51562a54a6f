"""The tests of a floor find changes of its code; how many of them are tried follows the measure."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.mutation.known import equivalent, key
from tests.mutation.mutants import mutants
from tests.mutation.running import subject
from tests.support.measure import share

ROOT = Path(__file__).parents[2]


def test_a_boundary_is_moved_to_both_sides() -> None:
    """Each comparison is tried with its end and turned round; words for people are left alone."""
    found = mutants('def f(a):\n    """Words."""\n    return "A sentence." if a < 2 else "code"\n')
    assert {each.after for each in found} >= {"a <= 2", "a >= 2", "'codex'", "3"}
    assert not any("sentence.x" in each.after for each in found)


def test_what_is_known_to_be_no_change_still_stands_in_the_code() -> None:
    """A line of the list whose code has gone would hide the next change that reads the same."""
    listed = equivalent()
    names = {f"torquelog.{each.split(' ')[0]}" for each in listed}
    there = {key(name, mutant) for name in names for mutant in mutants(subject(name).source)}
    assert listed.keys() - there == set()


@pytest.mark.long
@pytest.mark.parametrize("floor", ["torque", "ledger", "rules"])
def test_a_share_of_the_changes_of_a_floor_is_found(
    floor: str, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """Of so many changes, one at a time, each is found by a test or is known to be none."""
    words = ["--share", str(share() / 10), f"torquelog.{floor}", "--tests", str(ROOT / "tests" / floor)]
    done = subprocess.run(
        [sys.executable, "-m", "tests.mutation", *words],
        cwd=tmp_path,  # a change may lay a file where it stands
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    record_property("count", done.stdout.strip().splitlines()[-1])
    assert done.returncode == 0, done.stderr[-2000:]
