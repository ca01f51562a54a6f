"""Stations of several sizes, made once and kept, and scenes in them: a copy in which the busy wrench has failed.

A station takes a minute for each 40,000 readings or so. Where a folder is named for them (`--keep FOLDER`, or
TORQUELOG_STATIONS) they stay there and are taken from there the next time; the name tells size and format.
"""

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

from tests.benchmark.by_hand import BUSY, FAILED
from tests.benchmark.scene import PASSPHRASE, TORQUELOG, environment
from tests.generator.station import Size, make
from torquelog.book.format import SCHEMA_DIGEST

WRENCHES = 500
AIRCRAFT = 100
BUSY_READINGS = 2000

POINTS = """state,direction,indicated,reference,unit
as-found,cw,20,18.6,N·m
as-found,cw,70,66,N·m
as-found,cw,120,119,N·m
as-left,cw,20,20.1,N·m
as-left,cw,70,70.1,N·m
as-left,cw,120,120.2,N·m
"""


class Scene(NamedTuple):
    """A record in which somebody is signed in and the busy wrench has just failed its calibration.

    Attributes:
        size: how many readings it holds.
        folder, path: where it lies.
        env: the environment for commands.
        job, serial: the last job with the busy wrench, and the wheel it was on.
    """

    size: int
    folder: Path
    path: Path
    env: dict[str, str]
    job: str
    serial: str

    def run(self, *words: str, said: str = "") -> None:
        """Carry out a command of torquelog here."""
        subprocess.run(
            [TORQUELOG, *words], input=said, text=True, env=self.env, check=True, cwd=self.folder,
            stdout=subprocess.DEVNULL,
        )  # fmt: skip


def station(size: int, folder: Path) -> Path:
    """The record of a station with so many readings, from the folder or made there now."""
    path = folder / f"station-{size}-{SCHEMA_DIGEST[:8]}.db"
    if not path.exists():
        print(f"making a station of {size:,} readings", file=sys.stderr)
        unfinished = path.with_suffix(".unfinished")
        unfinished.unlink(missing_ok=True)
        make(unfinished, Size(size, WRENCHES, AIRCRAFT, min(BUSY_READINGS, size // 4)), seed=1).close()
        unfinished.rename(path)
    return path


def scene(size: int, kept: Path, folder: Path) -> Scene:
    """A copy of the station in which the busy wrench has failed."""
    place = folder / str(size)
    place.mkdir()
    path = place / "scene.db"
    shutil.copyfile(station(size, kept), path)
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
        job, owner = connection.execute(
            "SELECT job, owner FROM reading WHERE wrench = ? ORDER BY number DESC LIMIT 1", (BUSY,)
        ).fetchone()
    (place / "points.csv").write_text(POINTS, encoding="utf-8")
    made = Scene(size, place, path, environment(place), job, owner.split()[-1])
    made.run("sign-in", "AA", "--passphrase-stdin", "--clock-ok", said=f"{PASSPHRASE}\n")
    made.run(
        "wrench", "calibrate", BUSY, "--certificate", FAILED, "--on", _yesterday(), "--points", "points.csv", "--accept"
    )  # fmt: skip
    return made


def _yesterday() -> str:
    from datetime import UTC, datetime, timedelta

    return (datetime.now(UTC) - timedelta(days=1)).date().isoformat()


def kept_in(given: str, otherwise: Path) -> Path:
    """The folder for stations: as given, as the environment says, else one that goes with the run."""
    name = given or os.environ.get("TORQUELOG_STATIONS", "")
    folder = Path(name) if name else otherwise
    folder.mkdir(parents=True, exist_ok=True)
    return folder
