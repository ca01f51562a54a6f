"""Facts about the names of files: no stranger's log beside one, and an exchange that broke off is taken back."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.ledger import small
from tests.ledger.flushed import flushes
from torquelog.errors import TorquelogError
from torquelog.ledger import database, placing


def refusal(path: Path) -> TorquelogError:
    return error_of(lambda: placing.give_name(str(path.with_name("aside")), str(path)))


def error_of(act: Callable[[], object]) -> TorquelogError:
    with pytest.raises(TorquelogError) as caught:
        act()
    return caught.value


def laid(folder: Path) -> dict[str, str]:
    """The files of a folder with what is in them."""
    return {each.name: each.read_text() for each in sorted(folder.iterdir())}


@pytest.mark.parametrize("ending", ["-wal", "-journal"])
def test_the_log_of_another_file_is_taken_for_nobody_elses(tmp_path: Path, ending: str):
    """Where one lies, a new file gets no name: SQLite would carry it over into that."""
    path = tmp_path / "ledger.db"
    (tmp_path / "aside").write_bytes(b"new")
    (tmp_path / f"ledger.db{ending}").write_bytes(b"of another file")
    assert refusal(path).code == "exists"
    assert not path.exists()
    assert (tmp_path / f"ledger.db{ending}").read_bytes() == b"of another file"


def test_an_empty_log_is_in_nobodys_way(tmp_path: Path):
    """SQLite leaves one behind where it was not closed in order, and nothing is in it."""
    (tmp_path / "aside").write_bytes(b"new")
    (tmp_path / "ledger.db-wal").touch()
    (tmp_path / "ledger.db-shm").write_bytes(b"an index of nothing")
    placing.give_name(str(tmp_path / "aside"), str(tmp_path / "ledger.db"))
    assert (tmp_path / "ledger.db").read_bytes() == b"new"
    assert not (tmp_path / "aside").exists()


def test_a_file_that_gives_way_takes_its_log_along(tmp_path: Path):
    """The log of the file that is replaced is gone before the other one has its name."""
    for name in ("ledger.db", "ledger.db-wal", "ledger.db-shm", "ledger.db-journal"):
        (tmp_path / name).write_bytes(b"old")
    (tmp_path / "aside").write_bytes(b"new")
    placing.give_name(str(tmp_path / "aside"), str(tmp_path / "ledger.db"), replace=True)
    assert os.listdir(tmp_path) == ["ledger.db"]
    assert (tmp_path / "ledger.db").read_bytes() == b"new"


def test_a_record_is_not_begun_beside_the_log_of_another(tmp_path: Path):
    """What was cut off there before could come back in it."""
    path = tmp_path / "ledger.db"
    (tmp_path / "ledger.db-wal").write_bytes(b"of another file")
    with pytest.raises(TorquelogError) as caught:
        small.make(path, 1)
    assert caught.value.code == "exists"
    assert os.listdir(tmp_path) == ["ledger.db-wal"]


@pytest.mark.parametrize("moved", ["all", "without the log"])
def test_an_exchange_that_broke_off_is_taken_back(tmp_path: Path, moved: str):
    """What was kept has its name again, with the log that lies beside either name."""
    path, kept = tmp_path / "ledger.db", tmp_path / "ledger.db.kept-20261125T120000Z"
    kept.write_bytes(b"record")
    (tmp_path / "ledger.db.kept-20250101T120000Z").write_bytes(b"older")
    log = tmp_path / (f"{kept.name}-wal" if moved == "all" else "ledger.db-wal")
    log.write_bytes(b"log")
    assert placing.put_back(str(path)) == str(kept)
    assert (path.read_bytes(), (tmp_path / "ledger.db-wal").read_bytes()) == (b"record", b"log")
    assert sorted(os.listdir(tmp_path)) == ["ledger.db", "ledger.db-wal", "ledger.db.kept-20250101T120000Z"]


def test_nothing_is_put_back_over_a_file(tmp_path: Path):
    """Where something bears the name, what was kept stays kept."""
    (tmp_path / "ledger.db").write_bytes(b"record")
    (tmp_path / "ledger.db.kept-20261125T120000Z").write_bytes(b"kept")
    assert placing.put_back(str(tmp_path / "ledger.db")) == ""
    assert (tmp_path / "ledger.db").read_bytes() == b"record"


def test_who_finds_no_record_is_told_what_was_kept(tmp_path: Path):
    """The error names the file, and the command that puts it back; without one it tells how to begin."""
    path = tmp_path / "ledger.db"
    for kept, told in ((False, "torquelog init"), (True, "ledger.db.kept-20261125T120000Z lies beside it")):
        if kept:
            (tmp_path / "ledger.db.kept-20261125T120000Z").write_bytes(b"kept")
        with pytest.raises(TorquelogError) as caught:
            database.connect(path, "read")
        assert caught.value.code == "database-missing"
        assert told in caught.value.hint


def put_file(place: Path) -> None:
    place.write_text("mine")


def put_link(place: Path) -> None:
    place.symlink_to("nowhere")


def put_pipe(place: Path) -> None:
    os.mkfifo(place)


@pytest.mark.parametrize(
    ("put", "may_give_way"), [(put_file, True), (put_link, True), (Path.mkdir, False), (put_pipe, False)]
)
def test_only_a_file_or_a_link_gives_way(tmp_path: Path, put: Callable[[Path], None], may_give_way: bool):
    """And neither does unless it was said that it may; a folder, a device or a pipe never does."""
    place = str(tmp_path / "here")
    placing.demand_free(place, replace=False)
    put(tmp_path / "here")
    taken = error_of(lambda: placing.demand_free(place, replace=False))
    assert (taken.code, taken.what) == ("exists", f"Something lies at {place} already.")
    if may_give_way:
        placing.demand_free(place, replace=True)
    else:
        assert error_of(lambda: placing.demand_free(place, replace=True)).code == "exists"


@pytest.mark.parametrize("endings", [("",), ("", "-wal", "-shm"), ("-journal",), ()])
def test_what_belongs_together_is_moved_together(tmp_path: Path, endings: tuple[str, ...]):
    """The file and whatever lies beside it of its own; it is said whether there was anything."""
    for ending in endings:
        (tmp_path / f"ledger.db{ending}").write_text(f"content{ending}")
    assert placing.keep(str(tmp_path / "ledger.db"), str(tmp_path / "kept")) is bool(endings)
    assert laid(tmp_path) == {f"kept{ending}": f"content{ending}" for ending in sorted(endings)}


@pytest.mark.parametrize("taken", ["", "-journal", "-wal", "-shm"])
def test_nothing_is_moved_where_a_name_is_taken(tmp_path: Path, taken: str):
    """Not even beside: everything lies as it lay, and what is in the way is named."""
    for name in ("ledger.db", "ledger.db-wal", f"kept{taken}"):
        (tmp_path / name).write_text(name)
    before = laid(tmp_path)
    place, name = str(tmp_path / "ledger.db"), str(tmp_path / "kept")
    assert error_of(lambda: placing.keep(place, name)).what == f"Something lies at {name}{taken} already."
    assert laid(tmp_path) == before


@pytest.mark.parametrize("relative", [True, False])
@pytest.mark.parametrize(
    "act",
    [
        lambda place: placing.give_name(place + ".new", place),
        lambda place: placing.give_name(place + ".new", place, replace=True),
        lambda place: placing.keep(place + ".new", place),
        lambda place: placing.put_back(place),
        placing.flush_folder,
    ],
)
def test_a_name_that_was_given_is_on_the_disk(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, act: Callable[[str], object], relative: bool
):
    """The folder is flushed each time, also the one that is worked in, and nothing stays open."""
    (tmp_path / "ledger.db.new").touch()
    (tmp_path / "ledger.db.kept-20261125T120000Z").touch()
    monkeypatch.chdir(tmp_path)
    flushed, held = flushes(monkeypatch), os.listdir("/proc/self/fd")
    act("ledger.db" if relative else str(tmp_path / "ledger.db"))
    assert flushed == [tmp_path.stat().st_ino]
    assert os.listdir("/proc/self/fd") == held


def test_the_newest_kept_file_is_found_where_one_works(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """By its name as the other one was named; not a log, not another record's, none where there is no folder."""
    for name in ("ledger.db.kept-1", "ledger.db.kept-2", "ledger.db.kept-3-wal", "other.db.kept-4", "zz"):
        (tmp_path / name).touch()
    monkeypatch.chdir(tmp_path)
    assert placing.kept_beside("ledger.db") == "ledger.db.kept-2"
    assert placing.kept_beside(str(tmp_path / "ledger.db")) == str(tmp_path / "ledger.db.kept-2")
    assert placing.kept_beside("third.db") == ""
    assert placing.kept_beside("nowhere/ledger.db") == ""


def test_a_log_in_the_place_is_kept_where_an_exchange_is_taken_back(tmp_path: Path):
    """What lies beside the free name already is the newer; nothing is written over it."""
    for name in ("ledger.db-wal", "ledger.db.kept-1", "ledger.db.kept-1-wal"):
        (tmp_path / name).write_text(name)
    placing.put_back(str(tmp_path / "ledger.db"))
    assert laid(tmp_path) == {
        "ledger.db": "ledger.db.kept-1",
        "ledger.db-wal": "ledger.db-wal",
        "ledger.db.kept-1-wal": "ledger.db.kept-1-wal",
    }


def test_what_was_never_finished_goes_with_its_log(tmp_path: Path):
    """Nothing of it stays, and nothing of another file goes."""
    for name in ("aside", "aside-wal", "aside-shm", "aside-journal", "aside-else"):
        (tmp_path / name).write_text(name)
    placing.discard(str(tmp_path / "aside"))
    placing.discard(str(tmp_path / "aside"))
    assert laid(tmp_path) == {"aside-else": "aside-else"}


@pytest.mark.parametrize(("content", "gone"), [("", True), ("x", False)])
def test_a_log_goes_where_nothing_is_in_it(tmp_path: Path, content: str, gone: bool):
    """With its index; what is in a log is perhaps nowhere else."""
    (tmp_path / "ledger.db").write_text("record")
    (tmp_path / "ledger.db-wal").write_text(content)
    (tmp_path / "ledger.db-shm").write_text("index")
    placing.discard_log(str(tmp_path / "ledger.db"))
    left = {} if gone else {"ledger.db-shm": "index", "ledger.db-wal": content}
    assert laid(tmp_path) == {"ledger.db": "record"} | left
