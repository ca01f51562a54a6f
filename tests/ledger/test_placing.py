"""Facts about the names of files: no stranger's log beside one, and an exchange that broke off is taken back."""

import os
from pathlib import Path

import pytest

from tests.ledger import small
from torquelog.errors import TorquelogError
from torquelog.ledger import database, placing


def refusal(path: Path) -> TorquelogError:
    with pytest.raises(TorquelogError) as caught:
        placing.give_name(str(path.with_name("aside")), str(path))
    return caught.value


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
    placing.give_name(str(tmp_path / "aside"), str(tmp_path / "ledger.db"))
    assert (tmp_path / "ledger.db").read_bytes() == b"new"


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
