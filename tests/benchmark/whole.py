"""The memory of the commands that walk through a whole record, whatever its size: each once, as each takes its time."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from tests.benchmark.cost import Cost, apart
from tests.benchmark.scene import PASSPHRASE, TORQUELOG
from tests.benchmark.stations import Scene
from tests.benchmark.timing import Figure, figure
from torquelog.book.founding import found_station
from torquelog.clock import SystemClock

VERIFY_MOST = 120
"""MiB that a verification may hold at any size."""

COMMANDS = ("export", "verify", "backup", "take-in", "rebuild")


def figures(scenes: Sequence[Scene]) -> Iterator[Figure]:
    """Each command in each station: its memory beside the same in the smallest one, and how long it took a reading."""
    costs = {place.size: {name: _cost(place, name) for name in COMMANDS} for place in scenes}
    small, *larger = scenes
    for place in larger:
        for name in COMMANDS:
            here, there = costs[place.size][name], costs[small.size][name]
            label = f"{name}, MiB at {place.size:,}"
            yield figure(
                label, f"itself at {small.size:,}", here.memory / 1000, there.memory / 1000, most=1.5
            )
            each, before = here.seconds / place.size, there.seconds / small.size
            yield figure(
                f"{name}, time a reading at {place.size:,}", f"itself at {small.size:,}", each, before
            )
        held = costs[place.size]["verify"].memory / 1000
        yield figure(
            f"verify, MiB at {place.size:,}", f"{VERIFY_MOST} MiB", held, VERIFY_MOST / 1000, most=1.0
        )


def _cost(place: Scene, name: str) -> Cost:
    """One of the commands in a station, in which the others have been before."""
    lines, copy = place.folder / "exported.jsonl", place.folder / "copy.db"
    env = place.env
    words = {"export": [str(lines)], "backup": [str(copy)], "take-in": [str(lines)]}.get(name, [])
    if name == "take-in":
        env = {**env, "TORQUELOG_DB": str(_other(place.folder))}
        place._replace(env=env).run("sign-in", "AA", "--passphrase-stdin", said=f"{PASSPHRASE}\n")
    elif name == "rebuild":
        env = {**env, "TORQUELOG_DB": str(copy)}
    return apart([TORQUELOG, name, *words], env=env, cwd=place.folder)


def _other(folder: Path) -> Path:
    """Another station, with nothing in it but its crib."""
    path = folder / "other.db"
    found_station(
        path, SystemClock(), station="OTH", zone="Europe/Lisbon", policies={}, person="AA", name="Adele Ahn",
        licence=None, passphrase=PASSPHRASE, scrypt_n=2**15,
    )[0].close()  # fmt: skip
    return path
