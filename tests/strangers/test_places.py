"""Facts about where files are written: never on the record, never through or over what is no file."""

import os
import stat
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.cli.hangar import Hangar
from torquelog.cli.group import load
from torquelog.cli.table import paths

WRITING = {
    "backup": "backup {}",
    "card new": "card new {} --template",
    "checkpoint": "checkpoint --out {}",
    "export": "export {}",
    "import assemblies": "import assemblies assemblies.csv --keep-going --rejects {}",
    "import calibrations": "import calibrations calibrations.csv --keep-going --rejects {}",
    "import readings": "import readings readings.csv --keep-going --rejects {}",
    "import wrenches": "import wrenches wrenches.csv --keep-going --rejects {}",
    "label adapter": "label adapter A-03 --out {}",
    "label wrench": "label wrench W-0417 --out {}",
    "sheet aircraft": "sheet aircraft QQ-HLB --out {}",
    "sheet crib": "sheet crib --out {}",
    "sheet job": "sheet job J-5 --out {}",
    "sheet recall": "sheet recall R-1 --out {}",
    "sheet worksheet": "sheet worksheet J-5 --out {}",
    "sheet wrench": "sheet wrench W-0417 --out {}",
}
"""A line for each command that writes a file where its user says."""

BAD = {
    "assemblies": "serial,part,kind",
    "calibrations": "number,certificate,on,state,direction,indicated,reference,unit",
    "readings": "fastener,reading,job,wrench,at",
    "wrenches": "number,type,range",
}
"""Headers of files of which no row can be brought in, so that a file of rejects is written."""

NO_REPLACE = {"checkpoint"}
ELSEWHERE = {"card load", "restore"}
"""Commands whose --replace is about a card or a record, not about a file that is written."""

SET_UP = (
    "wrench add W-0417 --type setting --range '20..100 ft-lb' --graduation 0.5 --every '12 months'",
    "adapter add A-03 --length '3 in'",
    "aircraft add QQ-HLB --type EX-200 --msn 1001 --on 2026-01-05",
    "assembly add WH-2231 --part EX-4410-1 --kind wheel",
    "card load sample_data/main-wheel-build.toml",
    'card approve MW-BUILD --why "nobody else is here" --passphrase-stdin',
    "job open J-5 --card MW-BUILD --assembly WH-2231",
    "wrench calibrate W-0417 --certificate C-1 --on 2026-11-09 --points sample_data/wrench-results.csv --accept",
    "record tie-bolt:3 26.5 ft-lb --job J-5 --wrench W-0417",
    "recall open --wrench W-0417 --since 2026-11-01",
)


class Scene(NamedTuple):
    """A station, its record's path, and everything that lies there, by content."""

    hangar: Hangar
    record: str

    def line(self, command: str, place: str, *, replace: bool) -> str:
        """The command line that writes into a place."""
        more = " --replace" if replace and command not in NO_REPLACE else ""
        return WRITING[command].format(place) + more

    def write(self, command: str, place: str) -> None:
        """Write into a place; rejects are written where rows were rejected."""
        played = self.hangar.type(self.line(command, place, replace=True))
        assert played.exit == (2 if command.startswith("import") else 0), played.err


@pytest.fixture(name="scene")
def _scene() -> Iterator[Scene]:
    hangar = Hangar(*SET_UP)
    for name, header in BAD.items():
        Path(f"{name}.csv").write_text(f"{header}\n{','.join('?' for _ in header.split(','))}\n")
    yield Scene(hangar, f"{os.environ['XDG_DATA_HOME']}/torquelog/ledger.db")
    hangar.did("verify")


def test_every_command_that_writes_a_file_is_tried() -> None:
    """By the options that a command has, so that a new one joins."""
    found = {
        name
        for name, entry in paths()
        if {"out", "replace"} & {parameter.name for parameter in load(entry).params}
    }
    assert found - ELSEWHERE == set(WRITING)


def pipe(place: str) -> None:
    """A named pipe at which nobody reads."""
    os.mkfifo(place)


def link_to_pipe(place: str) -> None:
    """A link to a pipe: the link may give way, the pipe is not opened."""
    os.mkfifo("pipe-beyond")
    os.symlink("pipe-beyond", place)


@pytest.mark.parametrize("command", WRITING)
@pytest.mark.parametrize("lay", [os.mkdir, pipe], ids=["folder", "pipe"])
@pytest.mark.parametrize("replace", [False, True], ids=["", "replace"])
def test_what_is_no_file_is_left_as_it_is(
    scene: Scene, command: str, lay: Callable[[str], None], replace: bool
) -> None:
    """Nothing waits at a pipe, and none is exchanged for a file."""
    lay("place")
    before = os.lstat("place")
    assert scene.hangar.refused(scene.line(command, "place", replace=replace)) == (2, ["exists"])
    assert (os.lstat("place").st_mode, os.lstat("place").st_ino) == (before.st_mode, before.st_ino)


@pytest.mark.parametrize("command", WRITING)
def test_a_device_is_never_exchanged_for_a_file(scene: Scene, command: str) -> None:
    """Not even by root, who may."""
    before = os.lstat("/dev/full")
    assert scene.hangar.refused(scene.line(command, "/dev/full", replace=True)) == (2, ["exists"])
    assert stat.S_ISCHR(os.lstat("/dev/full").st_mode)
    assert os.lstat("/dev/full").st_ino == before.st_ino


@pytest.mark.parametrize("command", WRITING)
@pytest.mark.parametrize(
    "way", ["itself", "link", "hard link", "-wal", "-shm", "-journal", "-wal by a link to the record"]
)
def test_the_record_is_never_written_over(
    scene: Scene, command: str, way: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not by any of its names, nor is anything laid where its log belongs."""
    place = scene.record
    if way == "link":
        os.symlink(scene.record, "place")
        place = "place"
    elif way == "hard link":
        os.link(scene.record, "place")
        place = "place"
    elif way.startswith("-wal by"):
        os.symlink(scene.record, "elsewhere.db")
        monkeypatch.setenv("TORQUELOG_DB", "elsewhere.db")
        place = f"{scene.record}-wal"
    elif way != "itself":
        place = scene.record + way
    before = Path(scene.record).read_bytes()
    assert scene.hangar.refused(scene.line(command, place, replace=True)) == (2, ["live-file"])
    assert Path(scene.record).read_bytes() == before
    assert not os.path.exists(f"{scene.record}-wal") or os.stat(f"{scene.record}-wal").st_size == 0


@pytest.mark.parametrize("command", [name for name in WRITING if name not in NO_REPLACE])
def test_what_a_link_leads_to_stays(scene: Scene, command: str) -> None:
    """The link gives way to the file, what it led to is as it was, and a pipe behind it is not waited for."""
    Path("kept.txt").write_text("kept")
    os.symlink("kept.txt", "place")
    scene.write(command, "place")
    assert Path("kept.txt").read_text() == "kept"
    assert stat.S_ISREG(os.lstat("place").st_mode)
    link_to_pipe("other")
    scene.write(command, "other")
    assert stat.S_ISREG(os.lstat("other").st_mode)


@pytest.mark.parametrize("command", WRITING)
def test_a_file_that_is_there_stays_unless_it_may_give_way(scene: Scene, command: str) -> None:
    """Nothing that is written aside is left behind either."""
    Path("place").write_text("kept")
    held = set(os.listdir("."))
    assert scene.hangar.refused(scene.line(command, "place", replace=False)) == (2, ["exists"])
    assert Path("place").read_text() == "kept"
    assert set(os.listdir(".")) == held


@pytest.mark.parametrize("command", WRITING)
@pytest.mark.parametrize("place", ["no/where", "''", "file/below"])
def test_a_folder_that_is_not_there_is_told(scene: Scene, command: str, place: str) -> None:
    """By name, before anything else is done; a sheet without a name gets its own."""
    Path("file").touch()
    own_name = place == "''" and command.startswith(("sheet", "label", "import"))
    status, codes = scene.hangar.refused(scene.line(command, place, replace=True))
    assert ("file-missing" in codes) is not own_name
    assert status in ((0, 2) if own_name else (2,))


@pytest.mark.parametrize("command", WRITING)
def test_a_name_that_no_file_can_have_is_told_with_the_file(scene: Scene, command: str) -> None:
    """Trouble of the disk names the file that it was about."""
    long = "x" * 300
    played = scene.hangar.type(scene.line(command, long, replace=True))
    assert played.exit == 6
    assert long in played.err.replace("\n", "")
