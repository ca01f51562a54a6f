"""What years of work cost: the same questions to stations of several sizes.

    python -m tests.benchmark.scale [--keep FOLDER] [--all] [SIZE ...]

Sizes are readings, the smallest first (10000 and 100000 where none is named). Each command is a process; its time is
processor time, as others may be at work on the machine. Beyond start-up means: less the same command that finds
nothing. `--all` adds an import of 100,000 readings, and the commands that walk through the whole record, which at a
million readings take minutes each.
"""

import argparse
import os
import sqlite3
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from pathlib import Path

from tests.benchmark import importing, verifying, whole
from tests.benchmark.by_hand import BUSY
from tests.benchmark.cost import Cost, apart, cost, in_turn
from tests.benchmark.scene import TORQUELOG
from tests.benchmark.stations import Scene, kept_in, scene
from tests.benchmark.timing import Figure, compare, figure, table

ROUNDS = 9
SIZES = (10_000, 100_000)
NEVER = ("--since", "2036-01-01")
RECALL = ("recall", "open", "--wrench", BUSY)
EMPTY = 2
GROWTH = 1.3

SHOWN: tuple[tuple[str, ...], ...] = (
    (), ("job", "show", "JOB"), ("wrench", "show", BUSY), ("wrench", "due"), ("assembly", "show", "WHEEL"),
    ("recall", "list"), ("recall", "show", "R-1"),
)  # fmt: skip
"""Commands that show one thing, or the state of today; without words it is `torquelog` alone."""

HEAVY: tuple[tuple[str, ...], ...] = (
    ("trace", "wrench", BUSY), ("recall", "show", "R-1"), ("review",), ("refused",), ("job", "list"),
    ("trace", "person", "AA"), ("trace", "person", "AA", "--json"), ("sheet", "job", "JOB"), ("sheet", "recall", "R-1"),
    ("sheet", "wrench", BUSY), ("sheet", "crib"), ("sheet", "aircraft", "QQ-001"), ("job", "list", "--all", "--json"),
    ("recall", "open", "--person", "AA"), ("recall", "show", "NEWEST"), ("recall", "show", "NEWEST", "--json"),
    ("sheet", "recall", "NEWEST"), (),
)  # fmt: skip
"""Commands whose memory is looked at; the last ones open, show and count a recall of everything."""


def act(place: Scene, *words: str, allowed: Sequence[int] = (0,)) -> Callable[[], Cost]:
    """A command in a scene, each time anew; JOB, WHEEL and NEWEST stand for the last job, its wheel, the last recall."""
    return lambda: cost(named(place, words), allowed=allowed, env=place.env, cwd=place.folder)


def named(place: Scene, words: Sequence[str]) -> list[str]:
    """The command line of a command in a scene."""
    names = {"JOB": place.job, "WHEEL": place.serial}
    if "NEWEST" in words:
        names["NEWEST"] = newest(place)
    found = [names.get(word, word) for word in words]
    return [TORQUELOG, *found, *(["--replace"] if words[:1] == ("sheet",) else [])]


def newest(place: Scene) -> str:
    """The number of the last recall."""
    with closing(sqlite3.connect(f"file:{place.path}?mode=ro", uri=True)) as connection:
        (name,) = connection.execute("SELECT recall FROM recall ORDER BY number DESC LIMIT 1").fetchone()
    return str(name)


def by_hand(place: Scene, question: str) -> Callable[[], Cost]:
    """The same question put to the tables in another process."""
    words = [sys.executable, "-m", "tests.benchmark.by_hand", question, str(place.path)]
    return lambda: cost(words)


def beyond(place: Scene) -> tuple[dict[str, float], float]:
    """Processor time beyond start-up of trace and recall, by themselves and by hand; how long a recall is waited for."""
    acts = [
        act(place, "trace", "wrench", BUSY), act(place, "trace", "wrench", BUSY, *NEVER), by_hand(place, "trace"),
        by_hand(place, "nothing"), act(place, *RECALL),
        act(place, *RECALL, *NEVER, "--until", "2036-01-02", allowed=(EMPTY, 3)), by_hand(place, "recall"),
    ]  # fmt: skip
    trace, no_trace, trace_by_hand, nothing, recall, no_recall, recall_by_hand = in_turn(acts, ROUNDS)
    found = {
        "trace": trace.busy - no_trace.busy, "trace by hand": trace_by_hand.busy - nothing.busy,
        "recall": recall.busy - no_recall.busy, "recall by hand": recall_by_hand.busy - nothing.busy,
    }  # fmt: skip
    return found, recall.seconds - no_recall.seconds


def questions(scenes: Sequence[Scene]) -> Iterator[Figure]:
    """A trace and a recall of 2,000 readings: beside the query by hand, and beside themselves in the smallest station."""
    own: dict[str, float] = {}
    for place in scenes:
        found, waited = beyond(place)
        for name, most in (("trace", 3.0), ("recall", 8.0)):
            label = f"{name} at {place.size:,}"
            yield figure(
                label, "a query by hand, beyond start-up", found[name], found[f"{name} by hand"], most=most
            )
            if own:
                yield figure(label, f"itself at {scenes[0].size:,}", found[name], own[name], most=1.2)
        yield figure(f"recall open at {place.size:,}, waited for", "a second", waited, 1.0, most=1.0)
        own = own or found


def shown(scenes: Sequence[Scene]) -> Iterator[Figure]:
    """What is shown of one thing or of today, beside itself in the smallest station."""
    small, *larger = scenes
    for words in SHOWN:
        costs = in_turn([act(place, *words) for place in scenes], ROUNDS)
        for place, found in zip(larger, costs[1:], strict=True):
            name = f"{' '.join(words) or 'torquelog'} at {place.size:,}"
            yield figure(name, f"itself at {small.size:,}", found.busy, costs[0].busy, most=GROWTH)


def walks(scenes: Sequence[Scene]) -> Iterator[Figure]:
    """The review, which looks at every reading, beside a bare walk; the links of the chain beside one that hashes."""
    for place in scenes:
        with closing(sqlite3.connect(f"file:{place.path}?mode=ro", uri=True)) as connection:
            review = in_turn([act(place, "review")], 3)[0]
            bare = min(verifying.timed(lambda: walk(connection)) for _ in range(3))
            yield figure(
                f"review at {place.size:,}", "a bare walk in the order of the work", review.busy, bare
            )
            yield compare(
                f"links at {place.size:,}", lambda: verifying.timed(lambda: verifying.links(connection)),
                "bare loop that reads and hashes",
                lambda: verifying.timed(lambda: verifying.read_and_hash(connection)),
                runs=3, least=0.5,
            )  # fmt: skip


def walk(connection: sqlite3.Connection) -> None:
    """Every reading in the order of the work, with the columns that a review looks at."""
    rows = connection.execute(
        "SELECT station, number, at, recorded, job, owner, grp, item, wrench, value, unit, performed_by, outcome, awaits "
        "FROM reading ORDER BY at, recorded, station, number"
    )
    for _ in rows:
        pass


def memory(scenes: Sequence[Scene]) -> Iterator[Figure]:
    """The most memory of each command, beside the same in the smallest station; MiB stand where times do elsewhere."""
    small, *larger = scenes
    for words in HEAVY:
        costs = [apart(named(place, words), env=place.env, cwd=place.folder) for place in scenes]
        least, *others = (each.memory for each in costs)
        for place, most in zip(larger, others, strict=True):
            name = f"{' '.join(words) or 'torquelog'}, MiB at {place.size:,}"
            yield figure(name, f"itself at {small.size:,}", most / 1000, least / 1000, most=1.5)


def undecided(scenes: Sequence[Scene]) -> Iterator[Figure]:
    """What is undecided while a recall of everything is open, beside the newest reading of each fastener by hand."""
    for place in scenes:
        listed, counted = in_turn([act(place, "recall", "list"), by_hand(place, "fasteners")], 3)
        name = f"recall list, everything recalled, at {place.size:,}"
        yield figure(name, "a query by hand", listed.busy, counted.busy)


def sizes(scenes: Sequence[Scene]) -> Iterator[Figure]:
    """The file beside the canonical text of its entries, both in bytes."""
    for place in scenes:
        with closing(sqlite3.connect(f"file:{place.path}?mode=ro", uri=True)) as connection:
            (text,) = connection.execute("SELECT sum(length(CAST(text AS BLOB))) FROM entry").fetchone()
        found = os.path.getsize(place.path)
        yield figure(f"MB at {place.size:,}", "the text of its entries", found / 1e9, text / 1e9, most=2.2)


def main() -> int:
    """Make the stations, measure, print the table; 1 where a bound is missed."""
    parser = argparse.ArgumentParser(prog="tests.benchmark.scale")
    parser.add_argument("sizes", nargs="*", type=int, default=SIZES)
    parser.add_argument("--keep", default="", help="a folder in which the stations are kept")
    parser.add_argument(
        "--all",
        action="store_true",
        help="an import and the commands that walk through the whole record, too",
    )
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        kept = kept_in(asked.keep, Path(folder) / "stations")
        scenes = [scene(size, kept, Path(folder)) for size in sorted(asked.sizes)]
        parts = [questions, shown, walks, sizes, memory, undecided, *([whole.figures] if asked.all else [])]
        found = []
        if asked.all:
            found += importing.figures(Path(folder), importing.SCALE, rounds=1)
        for part in parts:
            for each in part(scenes):
                found.append(each)
                print(table([each]).splitlines()[1], file=sys.stderr, flush=True)
    print(table(found))
    return 0 if all(each.kept for each in found) else 1


if __name__ == "__main__":
    sys.exit(main())
