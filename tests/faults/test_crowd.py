"""Facts about many at once: eight who write and four who read, each a process of its own."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

from tests.faults import writers
from tests.faults.harness import chain_holds
from tests.faults.killing import ROOT

EACH = 20
WRITERS, READERS = 8, 4


def begun(module: str, *words: str) -> subprocess.Popen[str]:
    """A process of this project."""
    return subprocess.Popen(
        [sys.executable, "-m", f"tests.faults.{module}", *words], cwd=ROOT, text=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip


def test_readers_see_whole_prefixes_while_eight_write(
    tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """Nobody is turned away, nobody sees a gap or fewer entries than before, and every acknowledged entry is there."""
    path = tmp_path / "ledger.db"
    writers.prepare(path)
    wanted = 3 + WRITERS * EACH
    reading = [begun("readers", str(path), str(wanted)) for _ in range(READERS)]
    writing = [begun("writers", str(path), "honest", str(EACH)) for _ in range(WRITERS)]
    ended = [(process, *process.communicate()) for process in (*writing, *reading)]
    for process, _, err in ended:
        assert process.returncode == 0, err
    told = [line for _, out, _ in ended[:WRITERS] for line in out.split()]
    looks = sum(int(out) for _, out, _ in ended[WRITERS:])
    assert len(set(told)) == WRITERS * EACH
    chain_holds(path, told)
    record_property("count", f"{len(told)} entries by {WRITERS} at once, {looks} looks by {READERS}")
