"""Start-up, and one cold reading: a process that records one signed, durable reading and ends."""

import itertools
import sys
from collections.abc import Callable
from pathlib import Path

from tests.benchmark.scene import TORQUELOG, set_up
from tests.benchmark.timing import Figure, compare, process

RUNS = 15
NOTHING = [sys.executable, "-c", "pass"]


def figures(folder: Path) -> list[Figure]:
    """Help and a cold reading against `python -c pass`, and against inserting one row with sqlite-utils."""
    place = folder / "cold"
    place.mkdir()
    env = set_up(place)
    insert = [
        str(Path(sys.executable).with_name("sqlite-utils")),
        "insert",
        str(place / "rows.db"),
        "row",
        "-",
    ]
    one_row = process(insert, input=b'{"fastener": "tie-bolt:1", "value": "36.0", "unit": "N\xc2\xb7m"}')
    return [
        compare(
            "--help", process([TORQUELOG, "--help"]), "python -c pass", process(NOTHING), runs=RUNS, most=5.5
        ),
        compare("record, cold", _reading(env), "python -c pass", process(NOTHING), runs=RUNS, most=10),
        compare(
            "record, cold",
            _reading(env, 300),
            "sqlite-utils insert of one row",
            one_row,
            runs=RUNS,
            most=0.75,
        ),
    ]


def _reading(env: dict[str, str], start: int = 0) -> Callable[[], float]:
    """Each call records the next reading."""
    numbers = itertools.count(start)

    def run() -> float:
        number = next(numbers)
        words = [
            TORQUELOG, "record", f"tie-bolt:{number % 12 + 1}", "36.0 N·m", "--job", f"J-{number // 12}",
            "--wrench", "W-0001", "--json",
        ]  # fmt: skip
        return process(words, env=env)()

    return run
