"""Timing whole processes and pieces of work, in turn, so that a drifting machine drifts for both sides."""

import statistics
import subprocess
import time
from collections.abc import Callable, Sequence
from typing import NamedTuple


class Figure(NamedTuple):
    """One measured ratio.

    Attributes:
        name: what was measured.
        against: what it is measured against.
        ratio: the median of the one over the median of the other.
        seconds, other: the two medians.
        bound: what it must keep, as text; "" where it is only reported.
        kept: whether it does.
    """

    name: str
    against: str
    ratio: float
    seconds: float
    other: float
    bound: str = ""
    kept: bool = True


def compare(
    name: str, one: Callable[[], float], against: str, other: Callable[[], float], *, runs: int,
    most: float | None = None, least: float | None = None,
) -> Figure:  # fmt: skip
    """Measure two things in turn, after one warm-up of each.

    Args:
        name, against: what they are called in the table.
        one, other: each does its work once and gives its seconds.
        runs: how often each is counted.
        most, least: what the ratio must keep.
    """
    one(), other()
    pairs = [(one(), other()) for _ in range(runs)]
    mine, theirs = statistics.median(pair[0] for pair in pairs), statistics.median(pair[1] for pair in pairs)
    return figure(name, against, mine, theirs, most=most, least=least)


def figure(
    name: str,
    against: str,
    mine: float,
    theirs: float,
    *,
    most: float | None = None,
    least: float | None = None,
) -> Figure:
    """One row of the table from two medians; a `least` bound is on speed, other over one."""
    if least is not None:
        speed = theirs / mine
        return Figure(name, against, speed, mine, theirs, f">= {least}", speed >= least)
    ratio = mine / theirs
    bound = "" if most is None else f"<= {most}"
    return Figure(name, against, ratio, mine, theirs, bound, most is None or ratio <= most)


def process(words: Sequence[str], **options: object) -> Callable[[], float]:
    """A process, started and waited for; gives its seconds."""

    def run() -> float:
        start = time.perf_counter()
        subprocess.run(words, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, **options)
        return time.perf_counter() - start

    return run


def table(figures: Sequence[Figure]) -> str:
    """The figures as lines."""
    head = f"{'what':44}  {'ratio':>7}  {'bound':>8}  {'':4}  against"
    rows = [
        f"{each.name:44}  {each.ratio:7.2f}  {each.bound:>8}  {'kept' if each.kept else 'MISS':4}  "
        f"{each.against} ({each.seconds * 1000:.1f} ms, {each.other * 1000:.1f} ms)"
        for each in figures
    ]
    return "\n".join([head, *rows])
