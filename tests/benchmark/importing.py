"""Bringing in a file of readings, against `sqlite-utils insert --csv` of the same rows into a bare table.

The one judges every row twice, signs it, chains it and writes every fact; the other puts text into a table. Beside the
time, the longest wait of another writer that tries again and again meanwhile.
"""

import csv
import os
import sqlite3
import statistics
import subprocess
import sys
import threading
import time
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

from tests.benchmark.scene import PASSPHRASE, TORQUELOG, environment
from tests.benchmark.timing import Figure, figure, process
from tests.generator.station import BOLTS, READINGS_A_WHEEL, SETTINGS, Size, Station
from tests.support.books import HOUR, sign_in
from torquelog.book.writing import writing

SQLITE_UTILS = str(Path(sys.executable).with_name("sqlite-utils"))
QUICK, SCALE = 10_000, 100_000
MOST = 5.0
LONGEST_WAIT = 0.3
BETWEEN = 0.05
HEADER = ("job", "fastener", "pass", "reading", "unit", "wrench", "by", "at", "why")


def figures(folder: Path, count: int = QUICK, rounds: int = 3) -> list[Figure]:
    """The import of so many readings in a new record each round, and the longest wait of another writer."""
    mine, bare, waits = [], [], []
    for turn in range(rounds):
        place = folder / f"import-{count}-{turn}"
        place.mkdir()
        env = with_jobs(place, -(-count // READINGS_A_WHEEL))
        rows = write_rows(place / "rows.csv", count)
        with Waiting(place / "scene.db") as waiting:
            mine.append(process([TORQUELOG, "import", "readings", str(rows)], env=env)())
        waits.append(waiting.longest)
        demand_all(place / "scene.db", count)
        bare.append(
            process([SQLITE_UTILS, "insert", str(place / "bare.db"), "reading", str(rows), "--csv"])()
        )
    ratio = figure(
        f"import readings, {count:,} rows", "sqlite-utils insert --csv", statistics.median(mine),
        statistics.median(bare), most=MOST,
    )  # fmt: skip
    wait = figure(
        f"another writer's longest wait, {count:,} rows", "300 ms", max(waits), LONGEST_WAIT, most=1.0
    )
    return [ratio, wait]


def with_jobs(folder: Path, jobs: int) -> dict[str, str]:
    """A record with so many open jobs, each on a new wheel, and somebody signed in; the environment for commands."""
    station = Station(folder / "scene.db", Size(0, wrenches=3, aircraft=max(0, jobs - 5) // 2 + 1), seed=7)
    station.clock.moment = int(time.time() * 1000) - 6 * HOUR
    station.signer = sign_in(station.book, station.quality)
    station.calibrate("W-0001")
    card = station.card
    with writing(station.book) as w:
        for number, wheel in enumerate(station.wheels[:jobs]):
            body = {"job": f"J-{number}", "card": card.card, "revision": card.revision, "digest": card.digest}
            w.append(station.signer, "job", {**body, "assemblies": {"wheel": f"EX-4410 {wheel}"}})
    station.book.close()
    env = environment(folder)
    process([TORQUELOG, "sign-in", "AA", "--passphrase-stdin"], input=f"{PASSPHRASE}\n".encode(), env=env)()
    return env


def write_rows(path: Path, count: int) -> Path:
    """A file of readings: two passes over the bolts of one wheel after another, done in the last five hours."""
    begin = datetime.now(UTC) - timedelta(hours=5)
    step = timedelta(hours=4) / count
    with open(path, "w", newline="", encoding="utf-8") as file:
        table = csv.writer(file)
        table.writerow(HEADER)
        for number in range(count):
            job, place = divmod(number, READINGS_A_WHEEL)
            passed, bolt = divmod(place, BOLTS)
            at = (begin + step * number).isoformat(timespec="milliseconds")
            value = SETTINGS[passed]
            table.writerow(
                (
                    f"J-{job}",
                    f"tie-bolt:{bolt + 1}",
                    passed + 1,
                    value,
                    "NU",
                    "W-0001",
                    "AA",
                    at,
                    "kept on paper",
                )
            )
    return path


def demand_all(path: Path, count: int) -> None:
    """Every row has to be on record, as a reading within its limits."""
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
        (found,) = connection.execute("SELECT count(*) FROM reading WHERE outcome = 'within'").fetchone()
    assert found == count, f"{found} of {count} rows are on record as within limits"


class Waiting:
    """Another writer that asks for the right to write again and again, waiting as every connection of ours waits.

    Attributes:
        longest: the longest wait in seconds.
    """

    def __init__(self, path: Path) -> None:
        self._words = [sys.executable, "-m", "tests.benchmark.importing", str(path)]
        self.longest = 0.0

    def __enter__(self) -> "Waiting":
        env = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
        self._process = subprocess.Popen(
            self._words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=env
        )
        return self

    def __exit__(self, *_: object) -> None:
        told, _ = self._process.communicate("")
        self.longest = float(told)


def wait_again_and_again(path: str, over: threading.Event) -> float:
    """Begin a writing transaction and end it, again and again until it is over; the longest wait."""
    longest = 0.0
    with closing(sqlite3.connect(path, timeout=10, isolation_level=None)) as connection:
        while not over.wait(BETWEEN):
            start = time.perf_counter()
            connection.execute("BEGIN IMMEDIATE")
            longest = max(longest, time.perf_counter() - start)
            connection.execute("ROLLBACK")
    return longest


def main() -> None:
    """Wait for the right to write until standard input ends, then print the longest wait."""
    over = threading.Event()
    threading.Thread(target=lambda: (sys.stdin.read(), over.set()), daemon=True).start()
    print(wait_again_and_again(sys.argv[1], over))


if __name__ == "__main__":
    main()
