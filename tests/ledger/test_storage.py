"""Facts about the names that storage troubles get."""

import errno
import os
import sqlite3
from pathlib import Path

import pytest

from torquelog.errors import CODES, TorquelogError
from torquelog.ledger.storage import is_defect, nothing_saved, storage_error


def trouble(code: int) -> sqlite3.OperationalError:
    """An error as the SQLite module raises it."""
    made = sqlite3.OperationalError("words of SQLite")
    made.sqlite_errorcode = code
    made.sqlite_errorname = "SQLITE_NAME"
    return made


@pytest.mark.parametrize(
    ("number", "code"),
    [
        (sqlite3.SQLITE_BUSY, "busy"),
        (sqlite3.SQLITE_BUSY_RECOVERY, "busy"),
        (sqlite3.SQLITE_BUSY_SNAPSHOT, "busy"),
        (sqlite3.SQLITE_LOCKED, "busy"),
        (sqlite3.SQLITE_PROTOCOL, "busy"),
        (sqlite3.SQLITE_FULL, "disk-full"),
        (sqlite3.SQLITE_IOERR_SHMSIZE, "disk-full"),
        (sqlite3.SQLITE_READONLY, "read-only"),
        (sqlite3.SQLITE_READONLY_DIRECTORY, "read-only"),
        (sqlite3.SQLITE_READONLY_DBMOVED, "replaced"),
        (sqlite3.SQLITE_NOTADB, "not-a-ledger"),
        (sqlite3.SQLITE_CORRUPT, "damaged"),
        (sqlite3.SQLITE_CORRUPT_INDEX, "damaged"),
        (sqlite3.SQLITE_FORMAT, "damaged"),
        (sqlite3.SQLITE_AUTH, "guarded"),
        (sqlite3.SQLITE_CONSTRAINT_TRIGGER, "guarded"),
        (sqlite3.SQLITE_IOERR_WRITE, "storage"),
        (sqlite3.SQLITE_IOERR_FSYNC, "storage"),
        (sqlite3.SQLITE_NOMEM, "storage"),
        (sqlite3.SQLITE_CANTOPEN, "storage"),
    ],
)
def test_every_code_of_sqlite_has_a_name(tmp_path: Path, number: int, code: str):
    """Extended codes count as their kind; what has no name of its own is a storage trouble."""
    error = storage_error(trouble(number), str(tmp_path / "ledger.db"))
    assert error.code == code
    assert error.exit == CODES[code][0]
    assert error.hint


def test_an_error_without_a_code_is_a_storage_trouble():
    """An error that SQLite never saw is told, too."""
    assert storage_error(sqlite3.Error("words")).code == "storage"


def test_the_words_of_sqlite_are_kept_where_nothing_is_known():
    """Whoever must look at the disk learns what SQLite said."""
    assert "words of SQLite (SQLITE_NAME)" in storage_error(trouble(sqlite3.SQLITE_IOERR)).why


@pytest.mark.parametrize(
    ("number", "code"),
    [
        (errno.ENOSPC, "disk-full"),
        (errno.EDQUOT, "disk-full"),
        (errno.EROFS, "read-only"),
        (errno.EACCES, "read-only"),
        (errno.EIO, "storage"),
    ],
)
def test_every_number_of_the_system_has_a_name(number: int, code: str):
    """Troubles of the file system have the same names as those that come through SQLite."""
    assert storage_error(OSError(number, os.strerror(number)), "/there/ledger.db").code == code


@pytest.mark.parametrize("number", [sqlite3.SQLITE_ERROR, sqlite3.SQLITE_MISUSE, sqlite3.SQLITE_RANGE])
def test_wrong_statements_are_defects(number: int):
    """What SQLite cannot understand was written by us."""
    assert is_defect(trouble(number))


@pytest.mark.parametrize("number", [sqlite3.SQLITE_BUSY, sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR_WRITE])
def test_storage_troubles_are_no_defects(number: int):
    """What the disk does is not our statement's fault."""
    assert not is_defect(trouble(number))


@pytest.mark.parametrize(
    ("trouble", "said"),
    [
        (OSError(errno.EIO, "words of the system"), "words of the system"),
        (OSError("a bare word"), "a bare word"),
    ],
)
def test_the_words_of_the_system_are_kept(trouble: OSError, said: str):
    """Whoever must look at the path learns what the system said of it."""
    error = storage_error(trouble, "/there/ledger.db")
    assert (error.code, error.what) == ("storage", "/there/ledger.db cannot be used.")
    assert error.why == f"The system says: {said}."


def test_bytes_that_are_no_text_are_damage():
    """SQLite quotes them where it tells of a schema that somebody wrote over."""
    error = storage_error(UnicodeDecodeError("utf-8", b"\xff", 0, 1, "words"), "/there/ledger.db")
    assert (error.code, error.what) == ("damaged", "The file at /there/ledger.db is damaged.")
    assert error.why == "It holds bytes that are no text."


@pytest.mark.parametrize(("place", "folder"), [("/there/ledger.db", "/there"), ("ledger.db", ".")])
@pytest.mark.parametrize(("writable", "code"), [(True, "storage"), (False, "read-only")])
def test_a_file_that_cannot_be_opened_may_lie_where_nobody_writes(
    monkeypatch: pytest.MonkeyPatch, place: str, folder: str, writable: bool, code: str
):
    """The folder tells which it is: SQLite has one answer for both."""
    asked: list[object] = []
    monkeypatch.setattr(os, "access", lambda *question: asked.append(question) or writable)
    assert storage_error(trouble(sqlite3.SQLITE_CANTOPEN), place).code == code
    assert asked == [(folder, os.W_OK)]


def test_where_nothing_was_saved_the_trouble_behind_it_is_told():
    """A commit whose outcome was unclear, and of which nothing is on record: what the disk said counts."""
    unclear = TorquelogError("commit-unclear", "Nobody knows.")
    assert nothing_saved(unclear) is unclear
    unclear.__cause__ = trouble(sqlite3.SQLITE_FULL)
    assert nothing_saved(unclear).code == "disk-full"
