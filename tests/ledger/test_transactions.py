"""Facts about writing: one at a time, whole or absent, and what each kind of trouble is called."""

import os
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from tests.ledger import small
from torquelog.errors import TorquelogError
from torquelog.ledger import database, store

ROOT = Path(__file__).parents[2]


def refusal(act: Callable[[], object]) -> TorquelogError:
    """The error that an act ends with."""
    with pytest.raises(TorquelogError) as caught:
        act()
    return caught.value


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "ledger.db"


def test_a_commit_is_seen_by_a_new_connection(path: Path):
    """When the block has ended, another process would find the entry."""
    with closing(small.make(path)) as connection:
        small.add(connection)
        with closing(database.connect(path, "read")) as other:
            assert small.numbers(other) == [1]


@pytest.mark.parametrize("raised", [KeyboardInterrupt, ValueError, TorquelogError("busy", "told")])
def test_an_exception_rolls_back_and_goes_on_unchanged(path: Path, raised: BaseException):
    """Whatever ends the block early leaves nothing of it behind, and the connection usable."""

    def begin_and_stop() -> None:
        with database.transaction(connection):
            small.put(connection, 1)
            raise raised

    with closing(small.make(path)) as connection:
        with pytest.raises(type(raised) if isinstance(raised, BaseException) else raised):
            begin_and_stop()
        assert small.numbers(connection) == []
        small.add(connection)
        assert small.numbers(connection) == [1]


def test_a_second_writer_waits_no_longer_than_told(path: Path):
    """When the wait runs out, the second is told that another is writing, and nothing of his is saved."""
    with closing(small.make(path)) as first, closing(database.connect(path, "write", busy=0.01)) as second:
        with database.transaction(first):
            small.put(first, 1)
            error = refusal(lambda: small.add(second))
        assert (error.code, error.exit) == ("busy", 6)
        small.add(second)
        assert small.numbers(first) == [1, 2]


def test_writers_wait_ten_seconds_by_themselves(path: Path):
    """The wait is SQLite's own, so no caller need try again."""
    with closing(small.make(path)) as connection:
        assert connection.execute("PRAGMA busy_timeout").fetchone() == (10_000,)


def test_a_full_disk_saves_nothing_and_says_so(path: Path):
    """A file that may not grow takes what fits, then tells it is full; what was saved before stays."""
    with closing(small.make(path, 10)) as connection:
        (pages,) = connection.execute("PRAGMA page_count").fetchone()
        connection.execute(f"PRAGMA max_page_count = {pages}")
        error = refusal(lambda: small.add(connection, 1000))
        assert (error.code, error.exit) == ("disk-full", 6)
        kept = small.numbers(connection)
        assert kept == list(range(1, len(kept) + 1))
        connection.execute("PRAGMA max_page_count = 100000")
        small.add(connection)
        assert small.numbers(connection) == [*kept, len(kept) + 1]
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_trouble_in_the_commit_itself_is_unclear(tmp_path: Path):
    """An error while committing is never told as "not saved": only a look-up of the id can tell."""
    with closing(sqlite3.connect(tmp_path / "plain.db", isolation_level=None)) as connection:
        connection.executescript(
            "PRAGMA foreign_keys = ON; CREATE TABLE one (id INTEGER PRIMARY KEY);"
            "CREATE TABLE many (one REFERENCES one DEFERRABLE INITIALLY DEFERRED);"
        )

        def dangle() -> None:
            with database.transaction(connection):
                connection.execute("INSERT INTO many VALUES (1)")

        error = refusal(dangle)
        assert (error.code, error.exit) == ("commit-unclear", 6)
        assert "id" in error.hint
        assert not connection.in_transaction


def test_a_change_of_the_record_is_told_as_a_defect(path: Path):
    """A guard that stops a statement of ours points at the program, not at the person."""
    with closing(small.make(path, 1)) as connection:

        def twice() -> None:
            with database.transaction(connection):
                small.put(connection, 1)

        error = refusal(twice)
        assert (error.code, error.exit) == ("guarded", 1)
        assert small.numbers(connection) == [1]


def test_a_wrong_statement_is_no_storage_trouble(path: Path):
    """A defect of ours comes up as it is, so that nobody looks for it on the disk."""
    with closing(small.make(path)) as connection:
        with pytest.raises(sqlite3.OperationalError, match="no such table"), database.transaction(connection):
            connection.execute("SELECT 1 FROM nowhere")
        with pytest.raises(sqlite3.ProgrammingError), database.transaction(connection):
            connection.execute("SELECT ?")
        assert not connection.in_transaction


class TestReplaced:
    def test_a_file_replaced_while_open_takes_no_entry(self, path: Path):
        """Entries never go into a file that has lost its name."""
        with closing(small.make(path, 1)) as connection:
            small.make(path.parent / "other.db").close()
            os.replace(path.parent / "other.db", path)
            error = refusal(lambda: small.add(connection))
            assert (error.code, error.exit) == ("replaced", 6)

    def test_a_file_removed_while_open_takes_no_entry(self, path: Path):
        """A removed file is told at the next entry, not at the end of the day."""
        with closing(small.make(path, 1)) as connection:
            path.unlink()
            assert refusal(lambda: small.add(connection)).code == "replaced"

    def test_a_log_removed_while_open_takes_no_entry(self, path: Path):
        """Entries never go into a log that no other connection would find."""
        with closing(small.make(path, 1)) as connection:
            (path.parent / "ledger.db-wal").unlink()
            assert refusal(lambda: small.add(connection)).code == "replaced"

    def test_a_file_moved_and_put_back_goes_on(self, path: Path):
        """Nothing has happened when the same file lies there again."""
        with closing(small.make(path, 1)) as connection:
            path.rename(path.parent / "elsewhere.db")
            assert refusal(lambda: small.add(connection)).code == "replaced"
            (path.parent / "elsewhere.db").rename(path)
            small.add(connection)
            assert small.numbers(connection) == [1, 2]


WRITER = """
import sys
from contextlib import closing
from tests.ledger import small
from torquelog.ledger import database
path, rounds, each = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
for _ in range(rounds):
    connection = database.connect(path, "write")
    small.add(connection, each)
    database.close(connection)
"""


def write_at_once(path: Path, writers: int, rounds: int, each: int) -> list[str]:
    """Run several writers, each opening the file `rounds` times; what they said on standard error."""
    command = [sys.executable, "-c", WRITER, str(path), str(rounds), str(each)]
    running = [subprocess.Popen(command, cwd=ROOT, stderr=subprocess.PIPE, text=True) for _ in range(writers)]
    return [process.communicate()[1] for process in running]


def test_two_writers_leave_no_gap(path: Path):
    """Two processes that open, write and close at once lose nothing and never see "locked"."""
    small.make(path).close()
    assert write_at_once(path, 2, 10, 10) == ["", ""]
    with closing(database.connect(path, "read")) as connection:
        assert small.numbers(connection) == list(range(1, 201))


def test_eight_writers_leave_no_gap(path: Path):
    """Eight processes with 250 entries each give 2 000 entries in one unbroken chain."""
    small.make(path).close()
    assert write_at_once(path, 8, 25, 10) == [""] * 8
    with closing(database.connect(path, "read")) as connection:
        assert small.numbers(connection) == list(range(1, 2001))


def test_two_threads_leave_no_gap(path: Path):
    """Two connections of one process take turns, too."""
    small.make(path).close()

    def write() -> None:
        connection = database.connect(path, "write")
        small.add(connection, 50)
        database.close(connection)

    threads = [threading.Thread(target=write) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with closing(database.connect(path, "read")) as connection:
        assert small.numbers(connection) == list(range(1, 101))


def test_the_answer_after_unclear_is_found_by_id(path: Path):
    """A fresh connection tells by the id whether an entry is on record."""
    with closing(small.make(path, 1)), closing(database.connect(path, "read")) as fresh:
        found = store.entry_by_id(fresh, small.STATION, small.identifier(1))
        assert found is not None
        assert found.number == 1
        assert store.entry_by_id(fresh, small.STATION, small.identifier(2)) is None
