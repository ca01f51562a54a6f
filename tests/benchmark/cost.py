"""What a process costs: time, processor time, and the most memory that it held."""

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

LEAN = """
import os, sys, time
start = time.perf_counter()
quiet = os.open(os.devnull, os.O_RDWR)
put = [(os.POSIX_SPAWN_DUP2, quiet, stream) for stream in (0, 1, 2)]
child = os.posix_spawnp(sys.argv[1], sys.argv[1:], os.environ, file_actions=put)
_, status, usage = os.wait4(child, 0)
print(os.waitstatus_to_exitcode(status), time.perf_counter() - start, usage.ru_utime + usage.ru_stime, usage.ru_maxrss)
"""
"""Starts a process from a small one and tells what that took."""


class Cost(NamedTuple):
    """What a process cost.

    Attributes:
        seconds: from its start to its end.
        busy: seconds of a processor, its own and the system's for it: others at work on the machine hardly change it.
        memory: the most memory that it held, in MiB, or what the benchmark itself held when it started it, if that is
            more (the kernel counts so); `apart` is free of that.
    """

    seconds: float
    busy: float
    memory: float


def cost(words: Sequence[str], *, allowed: Sequence[int] = (0,), **options: object) -> Cost:
    """Run a process once.

    Args:
        words: its command line.
        allowed: the exit statuses that are as they should be.
        options: as for `subprocess.Popen`.
    """
    start = time.perf_counter()
    child = subprocess.Popen(
        words, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, **options
    )
    _, status, usage = os.wait4(child.pid, 0)
    seconds = time.perf_counter() - start
    child.returncode = os.waitstatus_to_exitcode(status)
    assert child.returncode in allowed, (words, child.returncode)
    return Cost(seconds, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024)


def apart(words: Sequence[str], *, allowed: Sequence[int] = (0,), **options: Any) -> Cost:
    """Run a process once, started from a small one, so that its memory is its own; arguments as for `cost`."""
    between = [sys.executable, "-I", "-S", "-c", LEAN, *words]
    done = subprocess.run(between, stdout=subprocess.PIPE, text=True, check=True, **options)
    status, seconds, busy, kibibytes = map(float, done.stdout.split())
    assert status in allowed, (words, status)
    return Cost(seconds, busy, kibibytes / 1024)


def in_turn(acts: Sequence[Callable[[], Cost]], rounds: int) -> list[Cost]:
    """The medians of several processes that take turns, after one round that does not count."""
    for act in acts:
        act()
    found = [[act() for act in acts] for _ in range(rounds)]
    return [Cost(*map(statistics.median, zip(*costs, strict=True))) for costs in zip(*found, strict=True)]
