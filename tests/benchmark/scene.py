"""A small record with one open job, for measuring single readings."""

import json
import os
import subprocess
import sys
import time
from pathlib import Path

from tests.generator.station import Size, Station
from tests.support.books import sign_in
from torquelog.facts.assemblies import Assembly
from torquelog.work.jobs import open_job

TORQUELOG = str(Path(sys.executable).with_name("torquelog"))
PASSPHRASE = "a station made up"
ROOM = 900


def environment(folder: Path) -> dict[str, str]:
    """The environment of a run: its data and run folders below `folder`."""
    (folder / "run").mkdir(mode=0o700, exist_ok=True)
    return {
        **os.environ,
        "TORQUELOG_DB": str(folder / "scene.db"),
        "XDG_DATA_HOME": str(folder / "data"),
        "XDG_RUNTIME_DIR": str(folder / "run"),
    }


def set_up(folder: Path) -> dict[str, str]:
    """Make the record, open a job on a wheel, sign the person in; gives the environment for further commands."""
    station = Station(folder / "scene.db", Size(0, wrenches=3, aircraft=2), seed=7)
    station.clock.moment = int(time.time() * 1000) - 60_000
    station.signer = signer = sign_in(station.book, station.quality)
    for number in range(3):
        station.calibrate(f"W-{number:04d}")
    for number in range(ROOM // 10):
        open_job(
            station.book, signer, f"J-{number}", "GEN-WHEEL", named=[f"wheel=WX-{number}"],
            new=[Assembly("EX-4410", f"WX-{number}", "wheel")],
        )  # fmt: skip
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
            "fastener": f"tie-bolt:{number % 12 + 1}", "reading": "36.0 N·m", "job": f"J-{(start + number) // 12}",
            "wrench": "W-0001",
        })
        for number in range(count)
    ]  # fmt: skip
