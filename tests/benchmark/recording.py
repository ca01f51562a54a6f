"""Readings as lines, against a bare loop that commits the same rows into the same schema one by one."""

import statistics
import subprocess
import time
from pathlib import Path

from tests.benchmark import bare
from tests.benchmark.scene import TORQUELOG, lines, set_up
from tests.benchmark.timing import Figure, figure

COUNT = 300
ROUNDS = 5
AGAINST = "bare loop, a commit a row"


def figures(folder: Path) -> list[Figure]:
    """A client that waits for each answer, and one that queues, each beside the bare loop in the same run.

    What starting the process costs is measured elsewhere: the time begins with the answer to a first line.
    """
    waiting, queued, alone = [], [], []
    for turn in range(ROUNDS):
        place = folder / f"lines-{turn}"
        place.mkdir()
        env = set_up(place)
        waiting.append(_waiting(env))
        queued.append(_queued(env))
        alone.append(sum(bare.commits(place / "scene.db", place / "bare.db", COUNT)))
    base = statistics.median(alone)
    return [
        figure("record --lines, client waits", AGAINST, statistics.median(waiting), base, least=0.35),
        figure("record --lines, queued", AGAINST, statistics.median(queued), base, least=1.0),
    ]


def _waiting(env: dict[str, str]) -> float:
    """Each line is sent when the one before is answered."""
    with _started(env) as child:
        first, *requests = lines(COUNT + 1)
        ask(child, first)
        start = time.perf_counter()
        for request in requests:
            ask(child, request)
        spent = time.perf_counter() - start
        child.stdin.close()
    return spent


def _queued(env: dict[str, str]) -> float:
    """All lines are sent at once; the time ends with the last answer."""
    with _started(env) as child:
        first, *requests = lines(COUNT + 1, start=500)
        ask(child, first)
        start = time.perf_counter()
        said, _ = child.communicate("\n".join(requests) + "\n")
        spent = time.perf_counter() - start
    assert said.count('"outcome": "within"') == COUNT, said[-500:]
    return spent


def _started(env: dict[str, str]) -> "subprocess.Popen[str]":
    words = [TORQUELOG, "record", "--lines"]
    return subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=env)


def ask(child: "subprocess.Popen[str]", request: str) -> str:
    """Send one line and wait for its answer."""
    child.stdin.write(request + "\n")
    child.stdin.flush()
    answer = child.stdout.readline()
    assert '"outcome": "within"' in answer, answer
    return answer
