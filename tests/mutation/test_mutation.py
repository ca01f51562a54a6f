"""The tests of the torque floor find changes of its code; how many of them are tried follows the measure."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.mutation.mutants import mutants
from tests.support.measure import share

ROOT = Path(__file__).parents[2]


def test_a_boundary_is_moved_to_both_sides() -> None:
    """Each comparison is tried with its end and turned round; words for people are left alone."""
    found = mutants('def f(a):\n    """Words."""\n    return "A sentence." if a < 2 else "code"\n')
    assert {each.after for each in found} >= {"a <= 2", "a >= 2", "'codex'", "3"}
    assert not any("sentence.x" in each.after for each in found)


@pytest.mark.long
def test_a_share_of_the_changes_of_the_torque_floor_is_found(
    record_property: Callable[[str, object], None],
) -> None:
    """Of so many changes, one at a time, each is found by a test or is known to be none."""
    words = ["--share", str(share() / 10), "torquelog.torque", "--tests", "tests/torque"]
    done = subprocess.run(
        [sys.executable, "-m", "tests.mutation", *words], cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    record_property("count", done.stdout.strip().splitlines()[-1])
    assert done.returncode == 0, done.stderr[-2000:]
