"""Facts about a disk that is really full: a small file system in memory, for whoever may mount one, as root may."""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.cli.conftest import own_folders
from tests.cli.hangar import Hangar
from torquelog.book.verification import verify_file
from torquelog.ledger import database, store

__all__ = ["own_folders"]
SIZE = 4 << 20


def mounted(place: str) -> bool:
    """Mount a small disk, if that is allowed here."""
    words = ["mount", "-t", "tmpfs", "-o", f"size={SIZE}", "none", place]
    return (
        bool(shutil.which("mount"))
        and subprocess.run(words, capture_output=True, check=False).returncode == 0
    )


def may_mount() -> bool:
    """Whether a disk can be mounted, by trying."""
    with tempfile.TemporaryDirectory() as place:
        if not mounted(place):
            return False
        subprocess.run(["umount", place], check=True)
    return True


DISKS = ["tmpfs"] if os.geteuid() == 0 and may_mount() else []
"""Elsewhere a database whose pages are counted takes its place: see tests/ledger/test_transactions.py."""


@pytest.fixture(name="disk", params=DISKS)
def _disk(tmp_path: Path) -> Iterator[Path]:
    place = tmp_path / "disk"
    place.mkdir()
    assert mounted(str(place))
    yield place
    subprocess.run(["umount", str(place)], check=True)


def fill(disk: Path) -> Path:
    """Fill what is left of a disk, to the last page."""
    filler = disk / "filler"
    with filler.open("wb", buffering=0) as file:
        try:
            while True:
                file.write(b"x" * 4096)
        except OSError:
            return filler


def entries(path: Path) -> int:
    """How many entries a record holds, all of which verify."""
    report, _, _ = verify_file(str(path))
    assert report.findings == ()
    with closing(database.connect(path, "read")) as connection:
        head = store.head(connection, "QHR")
    return head.number if head else 0


def test_a_full_disk_saves_nothing_and_goes_on_once_there_is_room(
    disk: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every command that writes says so; what was on record holds; with room again it is recorded."""
    hangar = Hangar()
    laid = Path(os.environ["XDG_DATA_HOME"], "torquelog", "ledger.db")
    shutil.copy(laid, disk / "ledger.db")
    monkeypatch.setenv("TORQUELOG_DB", str(disk / "ledger.db"))
    filler = fill(disk)
    add = "aircraft add QQ-HLB --type EX-200 --msn 1001 --on 2026-01-05"
    before = entries(laid)
    for line in (
        add,
        f"backup {disk}/copy.db",
        f"sheet crib --out {disk}/crib.html",
        f"export {disk}/all.jsonl",
    ):
        assert hangar.refused(line) == (6, ["disk-full"]), line
    assert sorted(path.name for path in disk.iterdir() if path.suffix not in (".db-wal", ".db-shm")) == [
        "filler",
        "ledger.db",
    ]
    filler.unlink()
    assert entries(disk / "ledger.db") == before
    hangar.did(add)
    assert entries(disk / "ledger.db") == before + 2
