"""A record with open jobs on wheels, for measuring single readings: a small one, or one with years of work in it."""

import json
import os
import subprocess
import sys
import time
from pathlib import Path

from tests.generator.station import BOLTS, Size, Station
from tests.support.books import sign_in
from torquelog.book.writing import writing
from torquelog.work.jobs import open_job

TORQUELOG = str(Path(sys.executable).with_name("torquelog"))
PASSPHRASE = "a station made up"
JOBS = 90


def environment(folder: Path) -> dict[str, str]:
    """The environment of a run: its data and run folders below `folder`."""
    (folder / "run").mkdir(mode=0o700, exist_ok=True)
    return {
        **os.environ,
        "TORQUELOG_DB": str(folder / "scene.db"),
        "XDG_DATA_HOME": str(folder / "data"),
        "XDG_RUNTIME_DIR": str(folder / "run"),
    }


def set_up(folder: Path, readings: int = 0, jobs: int = JOBS) -> dict[str, str]:
    """Make the record, open jobs on wheels, sign the person in; gives the environment for further commands.

    Args:
        folder: where it shall lie.
        readings: how many are on record already, made by the generator over as many days as they take.
        jobs: how many are opened, J-0 and up, each on a wheel of its own that was taken apart just now.
    """
    station = Station(folder / "scene.db", Size(readings, wrenches=20, aircraft=(jobs - 6) // 2), seed=7)
    station.live()
    station.clock.moment = int(time.time() * 1000) - 6 * 3_600_000  # room for what is done in between
    station.signer = signer = sign_in(station.book, station.quality)
    for number in range(3):
        station.calibrate(f"W-{number:04d}")
    with writing(station.book) as w:
        for wheel in station.wheels[:jobs]:
            station.take_off(w, wheel)
    station.clock.moment += 1
    for number, wheel in enumerate(station.wheels[:jobs]):
        open_job(station.book, signer, f"J-{number}", "GEN-WHEEL", named=[f"wheel={wheel}"])
    station.book.close()
    env = environment(folder)
    subprocess.run(
        [TORQUELOG, "sign-in", "AA", "--passphrase-stdin"], input=PASSPHRASE + "\n", text=True, env=env, check=True,
        stdout=subprocess.DEVNULL,
    )  # fmt: skip
    return env


def lines(count: int, start: int = 0) -> list[str]:
    """Requests for `record --lines`: first passes over the bolts of one wheel after another."""
    return [
        json.dumps({
            "fastener": f"tie-bolt:{number % BOLTS + 1}", "reading": "36.0 N·m",
            "job": f"J-{(start + number) // BOLTS}", "wrench": "W-0001",
        })
        for number in range(count)
    ]  # fmt: skip
