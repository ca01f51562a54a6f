"""A command killed at random moments, again and again, and asked afterwards what it kept.

What the command prints, a line each, is what it acknowledged: that must be on record, whenever the kill came.
"""

import os
import random
import select
import signal
import subprocess
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]


class Kills(NamedTuple):
    """What a loop of kills has met.

    Attributes:
        rounds: how often the command was begun.
        killed: how often it was cut off; the other times it had ended by itself.
        acknowledged: every line that it printed whole, over all rounds.
        seed: what the moments were drawn from.
    """

    rounds: int
    killed: int
    acknowledged: tuple[str, ...]
    seed: int

    def __str__(self) -> str:
        told = len(self.acknowledged)
        return (
            f"{self.killed} killed of {self.rounds} begun, {told} acknowledged, none lost (seed {self.seed})"
        )


def kill_loop(
    command: Callable[[int], Sequence[str]],
    check: Callable[[Sequence[str]], None],
    *,
    rounds: int,
    seed: int,
    span: float,
    warm: bool = True,
) -> Kills:
    """Begin a command `rounds` times, kill it each time at a random moment, and check what it left.

    Args:
        command: the words of the command for a round; run from the project's folder.
        check: raises AssertionError where a line that this round acknowledged is not on record, or anything is
            torn.
        rounds: how often.
        seed: what the moments are drawn from.
        span: seconds within which the kill comes; for a command that ends by itself, a little more than it
            takes.
        warm: whether the span begins with the first line printed (a writer that goes on until it is killed)
            or with the command itself (a command that prints once, at its end).
    """
    chance = random.Random(seed)
    told: list[str] = []
    killed = 0
    for number in range(rounds):
        lines, status, words = run_until(command(number), chance.uniform(0, span), warm=warm)
        assert status in (0, -signal.SIGKILL), f"round {number}: the command ended with {status}: {words}"
        killed += status != 0
        check(lines)
        told += lines
    return Kills(rounds, killed, tuple(told), seed)


def run_until(command: Sequence[str], seconds: float, *, warm: bool) -> tuple[list[str], int, str]:
    """Run a command, kill it and its children after so many seconds; its whole lines, exit status, standard error."""
    with (
        tempfile.TemporaryFile() as words,
        subprocess.Popen(
            command,
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=words,
            start_new_session=True,
        ) as process,
    ):
        assert process.stdout is not None
        pipe = process.stdout.fileno()
        said = os.read(pipe, 65536) if warm else b""
        end = time.monotonic() + seconds
        while (left := end - time.monotonic()) > 0 and select.select([pipe], [], [], left)[0]:
            more = os.read(pipe, 65536)
            if not more:
                break
            said += more
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
        said += process.stdout.read()
        status = process.wait()
        words.seek(0)
        troubles = words.read().decode(errors="replace")
    *whole, _ = said.split(b"\n")
    return [line.decode() for line in whole], status, troubles
