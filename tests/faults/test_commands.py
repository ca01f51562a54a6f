"""Facts about every command that writes: killed before any operation of it, it keeps what it answered, nothing half."""

import json
import os
import random
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from tests.faults.command_lines import READING, lines
from tests.faults.commands import HASTY, Killed
from tests.faults.killing import ROOT
from tests.support.measure import one_in
from torquelog.cli.table import paths

Record = Callable[[str, object], None]
NAMES = sorted({line.name for line in lines()})
FEW = 4


def killed(folder: Path, each: int, seed: int, *words: str) -> list[Killed]:
    """Kill commands at every so-manyth operation, in a process that may fork."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults.commands", str(folder), str(each), str(seed), *words],
        cwd=ROOT, env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if done.returncode:
        raise AssertionError(f"{done.stdout[-1000:]}\n{done.stderr[-6000:]}")
    return [Killed(**json.loads(line)) for line in done.stdout.splitlines()]


def told(found: Sequence[Killed]) -> str:
    """The counts, in a line."""
    return (
        f"{len(found)} commands with {sum(each.operations for each in found)} operations, "
        f"{sum(each.killed for each in found)} kills, {sum(each.answered for each in found)} of them after an answer, "
        "none lost and none half"
    )


def test_every_command_of_the_tree_is_killed_or_only_reads() -> None:
    """A new command that writes joins by its example, or by a line of its own; one that reads says so."""
    tree = {name for name, _ in paths()}
    assert tree - READING - set(NAMES) == set()
    assert tree >= READING
    assert not READING & set(NAMES)


@pytest.mark.long
def test_some_commands_are_killed(tmp_path: Path, record_property: Record) -> None:
    """A few of them, always the same, each at a few of its operations."""
    names = random.Random(5).sample([name for name in NAMES if name != "demo"], FEW)
    found = killed(tmp_path, 40, 5, *names)
    record_property("count", told(found))
    assert {each.command for each in found} == set(names)


@pytest.mark.long
def test_a_command_that_answers_before_its_commit_is_found(tmp_path: Path) -> None:
    """The whole program, but hasty, goes red."""
    with pytest.raises(AssertionError, match="answered and lost"):
        killed(tmp_path, 1, 5, "assembly add", HASTY)


@pytest.mark.long
def test_every_command_is_killed_before_every_operation(tmp_path: Path, record_property: Record) -> None:
    """All that write, before each operation in turn; then those that read, which leave every record to the byte."""
    found = killed(tmp_path, one_in(), 5)
    record_property("count", told(found))
    assert {each.command for each in found} | READING >= {name for name, _ in paths()}
    assert all(each.killed for each in found)
