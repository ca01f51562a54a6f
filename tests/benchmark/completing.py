"""What a press of the Tab key costs: a process for each answer, over a record with 800 wrenches.

python -m tests.benchmark.completing
"""

import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.benchmark.scene import TORQUELOG, environment
from tests.benchmark.timing import Figure, compare, process, table
from tests.generator.station import Size, Station

RUNS = 25
NOTHING = [sys.executable, "-c", "pass"]
LINES = {
    "completion, a command": ("torquelog wrench i", 2.5),
    "completion, an option": ("torquelog record --w", 2.5),
    "completion, a wrench of 800": ("torquelog wrench show W-01", 4.0),
}
"""What is typed, and how many times `python -c pass` its answer may cost."""


def figures(folder: Path) -> Iterator[Figure]:
    """Each answer against `python -c pass`."""
    place = folder / "completing"
    place.mkdir()
    station = Station(place / "scene.db", Size(0, wrenches=800), seed=7)
    station.live()
    station.book.close()
    env = {**environment(place), "_TORQUELOG_COMPLETE": "bash"}
    for name, (line, most) in LINES.items():
        answer = process([TORQUELOG], env={**env, "_TORQUELOG_LINE": line})
        yield compare(name, answer, "python -c pass", process(NOTHING), runs=RUNS, most=most)


def main() -> int:
    """These figures alone."""
    with tempfile.TemporaryDirectory() as folder:
        found = list(figures(Path(folder)))
    print(table(found))
    return 0 if all(each.kept for each in found) else 1


if __name__ == "__main__":
    sys.exit(main())
