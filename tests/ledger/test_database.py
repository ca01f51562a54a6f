"""Facts about opening, making and closing the database file."""

import hashlib
import os
import shutil
import sqlite3
import stat
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.faults.disk import Disk, Fault
from tests.faults.user import ordinary_user
from tests.ledger import small
from tests.ledger.flushed import flushes
from torquelog.errors import TorquelogError
from torquelog.ledger import database, placing, store
from torquelog.ledger.tables import LEDGER_SCHEMA


def refusal(act: Callable[[], object]) -> TorquelogError:
    """The error that an act ends with."""
    with pytest.raises(TorquelogError) as caught:
        act()
    return caught.value


def opening(path: Path, mode: database.Mode = "write", digest: str | None = None) -> TorquelogError:
    """The error that opening ends with."""
    return refusal(lambda: database.connect(path, mode, schema_digest=digest, busy=0.05))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "ledger.db"


@pytest.fixture
def public(tmp_path: Path) -> Iterator[Path]:
    """A folder that an ordinary user can reach, too, and that is writable again when it is removed."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    for place in (folder, *folder.iterdir()):
        place.chmod(0o755)
    shutil.rmtree(folder)


def shut(folder: Path) -> None:
    """Take every right to write from a folder and its files."""
    for place in folder.iterdir():
        place.chmod(0o444)
    folder.chmod(0o555)


class TestCreate:
    def test_only_the_owner_can_read_the_file(self, path: Path):
        """A new ledger has mode 0600 whatever the umask allows."""
        before = os.umask(0)
        try:
            small.make(path).close()
        finally:
            os.umask(before)
        assert stat.S_IMODE(path.stat().st_mode) == 0o600

    def test_the_header_names_the_program_and_the_format(self, path: Path):
        """Application id and format stand in the file's first page, where other programs look for them."""
        small.make(path).close()
        header = path.read_bytes()[:100]
        assert header[68:72] == b"TLOG"
        assert int.from_bytes(header[60:64], "big") == database.FORMAT

    def test_a_file_is_never_overwritten(self, path: Path):
        """What lies at the name already stays byte for byte."""
        path.write_bytes(b"a letter")
        error = refusal(lambda: database.create(path, LEDGER_SCHEMA, lambda _: pytest.fail("too late")))
        assert (error.code, error.exit) == ("exists", 2)
        assert path.read_bytes() == b"a letter"

    def test_a_link_that_leads_nowhere_is_not_followed(self, path: Path):
        """Nobody can have the ledger made at a place of his choosing."""
        path.symlink_to(path.parent / "elsewhere.db")
        assert refusal(lambda: database.create(path, LEDGER_SCHEMA)).code == "exists"
        assert not (path.parent / "elsewhere.db").exists()

    def test_nothing_is_left_when_the_first_rows_are_refused(self, path: Path):
        """A creation that breaks off leaves neither the file nor a piece of it."""

        def stop(_: sqlite3.Connection) -> None:
            raise KeyboardInterrupt

        with pytest.raises(KeyboardInterrupt):
            database.create(path, LEDGER_SCHEMA, stop)
        assert list(path.parent.iterdir()) == []

    def test_a_file_that_appears_meanwhile_is_kept(self, path: Path):
        """Of two that create at once, one is told that the name is taken."""
        error = refusal(lambda: database.create(path, LEDGER_SCHEMA, lambda _: path.write_text("mine")))
        assert error.code == "exists"
        assert [place.name for place in path.parent.iterdir()] == ["ledger.db"]
        assert path.read_text() == "mine"

    def test_works_where_there_are_no_hard_links(self, path: Path, monkeypatch: pytest.MonkeyPatch):
        """A memory stick's file system gets its ledger as well, and never over another file."""

        def no_links(*_: object) -> None:
            raise PermissionError

        monkeypatch.setattr(os, "link", no_links)
        with closing(small.make(path, 2)) as connection:
            assert small.numbers(connection) == [1, 2]
        assert refusal(lambda: database.create(path, LEDGER_SCHEMA)).code == "exists"
        racing = path.parent / "racing.db"
        error = refusal(lambda: database.create(racing, LEDGER_SCHEMA, lambda _: racing.write_text("mine")))
        assert (error.code, racing.read_text()) == ("exists", "mine")

    def test_a_folder_that_is_missing_is_told(self, tmp_path: Path):
        """A wrong folder is a storage trouble with the path in its words."""
        error = refusal(lambda: database.create(tmp_path / "no" / "ledger.db", LEDGER_SCHEMA))
        assert (error.code, error.exit) == ("storage", 6)
        assert str(tmp_path / "no") in error.what

    def test_a_folder_without_the_right_to_write_is_told(self, public: Path):
        """Creating where one may not write says so."""
        public.chmod(0o555)
        with ordinary_user():
            assert refusal(lambda: database.create(public / "ledger.db", LEDGER_SCHEMA)).code == "read-only"

    def test_nothing_is_made_on_a_disk_that_cannot_keep_it(self, path: Path, monkeypatch: pytest.MonkeyPatch):
        """Where write-ahead logging is not to be had, there is no ledger under the name either."""
        monkeypatch.setattr(database, "_address", lambda place: f"file://{place}?vfs=unix-dotfile&rest=")
        error = refusal(lambda: database.create(path, LEDGER_SCHEMA))
        assert (error.code, error.exit) == ("storage", 6)
        assert list(path.parent.iterdir()) == []

    def test_the_name_itself_is_flushed(self, path: Path, monkeypatch: pytest.MonkeyPatch):
        """A new file survives a power loss only when its folder was synchronised, too."""
        flushed = flushes(monkeypatch)
        small.make(path).close()
        assert path.parent.stat().st_ino in flushed

    def test_the_first_rows_go_into_the_file_itself(self, path: Path):
        """Not into a log, whose last flush could go wrong unseen; and each commit is flushed."""
        asked = []

        def ask(connection: sqlite3.Connection) -> None:
            for name in ("journal_mode", "synchronous"):
                asked.append(connection.execute(f"PRAGMA {name}").fetchone()[0])

        database.create(path, LEDGER_SCHEMA, ask).close()
        assert asked == ["delete", 2]

    def test_nothing_is_laid_beside_the_log_of_another(self, path: Path):
        """It is said before anything is written."""
        (path.parent / "ledger.db-wal").write_text("of another file")
        error = refusal(lambda: database.create(path, LEDGER_SCHEMA, lambda _: pytest.fail("too late")))
        assert error.code == "exists"

    def test_trouble_of_the_database_is_told(self, path: Path):
        """Whatever SQLite raises while a file is laid has a name of ours, and nothing stays."""

        def stop(_: sqlite3.Connection) -> None:
            trouble = sqlite3.OperationalError("words")
            trouble.sqlite_errorcode = sqlite3.SQLITE_FULL
            raise trouble

        assert refusal(lambda: database.create(path, LEDGER_SCHEMA, stop)).code == "disk-full"
        assert list(path.parent.iterdir()) == []

    def test_the_first_rows_are_there_when_the_name_is(self, path: Path):
        """What `fill` writes belongs to the creation."""
        with closing(small.make(path)) as connection:
            assert store.own_station(connection) == small.STATION

    @pytest.mark.parametrize("name", ["a b?c#d%20e.db", "größe.db", "-wal"])
    def test_any_name_the_system_allows_is_taken(self, tmp_path: Path, name: str):
        """Characters with a meaning in an address are only letters of a file's name here."""
        small.make(tmp_path / name, 1).close()
        assert [place.name for place in tmp_path.iterdir()] == [name]
        with closing(database.connect(tmp_path / name, "read")) as connection:
            assert small.numbers(connection) == [1]

    def test_a_name_with_stray_bytes_is_taken(self, tmp_path: Path):
        """A name that is no text at all works like any other."""
        name = os.fsdecode(bytes(tmp_path) + b"/\xff.db")
        small.make(Path(name), 1).close()
        with closing(database.connect(name, "read")) as connection:
            assert small.numbers(connection) == [1]


class TestOpening:
    @pytest.mark.parametrize("mode", ["write", "read", "migrate"])
    def test_a_missing_file_is_not_made(self, path: Path, mode: database.Mode):
        """Only creating creates."""
        error = opening(path, mode)
        assert (error.code, error.exit) == ("database-missing", 6)
        assert not path.exists()

    def test_a_file_for_a_folder_is_a_missing_ledger(self, path: Path):
        """A path that leads through a file leads nowhere."""
        path.write_text("x")
        assert opening(path / "ledger.db").code == "database-missing"

    @pytest.mark.parametrize("mode", ["write", "read"])
    @pytest.mark.parametrize("content", [b"", b"groceries\n", b"SQLite format 3\0", b"\0" * 5000])
    def test_another_kind_of_file_is_told_and_kept(self, path: Path, mode: database.Mode, content: bytes):
        """A text, an empty file or half a header is no ledger, and opening changes no byte of it."""
        path.write_bytes(content)
        assert opening(path, mode).code == "not-a-ledger"
        assert path.read_bytes() == content
        assert list(path.parent.iterdir()) == [path]

    def test_another_programs_database_is_told_and_kept(self, path: Path):
        """A SQLite file without our application id is somebody else's."""
        with closing(sqlite3.connect(path)) as other:
            other.execute("CREATE TABLE notes (text)")
        before = path.read_bytes()
        assert opening(path).code == "not-a-ledger"
        assert path.read_bytes() == before

    def test_a_folder_and_a_pipe_are_told(self, tmp_path: Path):
        """Neither is waited for: a pipe would never answer."""
        pipe = tmp_path / "pipe"
        os.mkfifo(pipe)
        assert opening(tmp_path).code == "not-a-ledger"
        assert opening(pipe).code == "not-a-ledger"

    def test_a_path_that_is_too_long_is_told(self, tmp_path: Path):
        """What the system refuses to look up is a storage trouble, not a missing ledger."""
        assert opening(tmp_path / ("x" * 300)).code == "storage"

    @pytest.mark.parametrize("mode", ["write", "read", "migrate"])
    def test_a_newer_format_is_left_alone(self, path: Path, mode: database.Mode):
        """No mode of an older program touches a newer file."""
        self.stamp(path, database.FORMAT + 1)
        error = opening(path, mode)
        assert (error.code, error.exit) == ("newer-format", 6)

    def test_an_older_format_opens_for_migration_only(self, path: Path):
        """Reading and writing wait until the file is brought to this format."""
        self.stamp(path, database.FORMAT - 1)
        assert opening(path, "write").code == "older-format"
        assert opening(path, "read").code == "older-format"
        with closing(database.connect(path, "migrate")) as connection:
            assert small.numbers(connection) == []

    @staticmethod
    def stamp(path: Path, version: int) -> None:
        small.make(path).close()
        with closing(sqlite3.connect(path)) as other:
            other.execute(f"PRAGMA user_version = {version}")

    @pytest.mark.parametrize(
        "change",
        [
            "DROP TRIGGER entry_no_delete",
            "CREATE TRIGGER more AFTER INSERT ON home BEGIN SELECT 1; END",
            "CREATE VIEW more AS SELECT 1",
            "CREATE TABLE more (text)",
            "CREATE INDEX more ON entry (text)",
        ],
    )
    def test_a_changed_schema_is_found(self, path: Path, change: str):
        """A guard taken away, or anything added, is seen when the file is opened."""
        connection = small.make(path)
        digest = database.schema_digest(connection)
        database.close(connection)
        with closing(database.connect(path, "read", schema_digest=digest)):
            pass
        with closing(sqlite3.connect(path)) as other:
            other.execute(change)
        for mode in ("write", "read"):
            error = opening(path, mode, digest)
            assert (error.code, error.exit) == ("schema-changed", 5)

    def test_the_digest_sees_every_cell_of_the_schema(self):
        """Two schemas whose joined texts are alike have different digests."""
        digests = set()
        for schema in ("CREATE TABLE ab (c)", "CREATE TABLE a (bc)", "CREATE TABLE a (b, c)"):
            with closing(sqlite3.connect(":memory:")) as connection:
                connection.execute(schema)
                digests.add(database.schema_digest(connection))
        assert len(digests) == 3

    def test_the_digest_is_computed_like_this(self):
        """Each cell with its length before it, a missing text as -1: anybody can do it again."""
        with closing(sqlite3.connect(":memory:")) as connection:
            connection.execute("CREATE TABLE a (b UNIQUE)")
            digest = database.schema_digest(connection)
        index = "5:index,20:sqlite_autoindex_a_1,1:a,-1:,"
        table = "5:table,1:a,1:a,25:CREATE TABLE a (b UNIQUE),"
        assert digest == hashlib.sha256((index + table).encode()).hexdigest()

    @pytest.mark.parametrize("trouble", ["text", "disk"])
    def test_trouble_at_opening_is_told(self, path: Path, monkeypatch: pytest.MonkeyPatch, trouble: str):
        """Bytes that are no text are damage; and what a disk does is not got round by calling a file unchanging."""
        small.make(path).close()
        raised: Exception = UnicodeDecodeError("utf-8", b"\xff", 0, 1, "words")
        if trouble == "disk":
            raised = sqlite3.OperationalError("words")
            raised.sqlite_errorcode = sqlite3.SQLITE_IOERR_READ

        def stop(*_: object, **__: object) -> None:
            raise raised

        monkeypatch.setattr(database, "_checked", stop)
        monkeypatch.setattr(database, "_can_be_immutable", lambda _: True)
        monkeypatch.setattr(database, "_immutable", lambda *_: pytest.fail("opened after all"))
        assert opening(path, "read").code == ("damaged" if trouble == "text" else "storage")

    @pytest.mark.parametrize("content", [b"groceries\n" * 1000, None])
    def test_a_file_that_is_refused_is_let_go(self, path: Path, content: bytes | None):
        """Also while whoever asked for it still looks at the error."""
        small.make(path).close()
        if content is not None:
            path.write_bytes(content)
        error = opening(path, digest="0" * 64)
        held = [os.path.realpath(f"/proc/self/fd/{handle}") for handle in os.listdir("/proc/self/fd")]
        assert error.code in {"not-a-ledger", "schema-changed"}
        assert str(path) not in held

    def test_the_digest_is_that_of_a_fresh_schema(self, path: Path):
        """A ledger with entries has the digest of an empty one in memory."""
        with closing(small.make(path, 3)) as connection, closing(database.scratch(LEDGER_SCHEMA)) as fresh:
            assert database.schema_digest(connection) == database.schema_digest(fresh)


class TestDurability:
    @pytest.mark.parametrize("mode", ["write", "migrate"])
    def test_wal_and_full_synchronising_read_back(self, path: Path, mode: database.Mode):
        """Each connection that writes has both, whatever the file was set to meanwhile."""
        small.make(path).close()
        with closing(sqlite3.connect(path)) as other:
            assert other.execute("PRAGMA journal_mode = DELETE").fetchone() == ("delete",)
        with closing(database.connect(path, mode)) as connection:
            assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
            assert connection.execute("PRAGMA synchronous").fetchone() == (2,)
            assert connection.execute("PRAGMA trusted_schema").fetchone() == (0,)

    @pytest.mark.parametrize("mode", ["write", "read", "migrate"])
    def test_nothing_rests_on_how_sqlite_was_built(
        self, path: Path, monkeypatch: pytest.MonkeyPatch, mode: database.Mode
    ):
        """Where a build synchronises less by itself, trusts the schema, or takes no addresses, nothing is different."""
        small.make(path).close()
        connect, asked = sqlite3.connect, []

        def other_build(address: str, **named: object) -> sqlite3.Connection:
            connection = connect(address, **named)
            connection.executescript("PRAGMA synchronous = OFF; PRAGMA trusted_schema = ON")
            asked.append(named["uri"])
            return connection

        monkeypatch.setattr(sqlite3, "connect", other_build)
        with closing(database.connect(path, mode)) as connection:
            assert connection.execute("PRAGMA synchronous").fetchone() == (0 if mode == "read" else 2,)
            assert connection.execute("PRAGMA trusted_schema").fetchone() == (0,)
        assert asked == [True]

    def test_the_created_connection_has_them_too(self, path: Path):
        """The first entries are as safe as the later ones."""
        with closing(small.make(path)) as connection:
            assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
            assert connection.execute("PRAGMA synchronous").fetchone() == (2,)

    def test_a_disk_without_write_ahead_logging_is_refused(self, path: Path, monkeypatch: pytest.MonkeyPatch):
        """Where the log's index cannot be shared, nothing is written at all."""
        small.make(path).close()
        with closing(sqlite3.connect(path)) as other:
            other.execute("PRAGMA journal_mode = DELETE")
        monkeypatch.setattr(database, "_address", lambda place: f"file://{place}?vfs=unix-dotfile&rest=")
        error = opening(path)
        assert (error.code, error.exit) == ("storage", 6)
        assert "delete" in error.why

    def test_a_disk_that_does_not_synchronise_is_refused(self, path: Path, monkeypatch: pytest.MonkeyPatch):
        """What is read back decides, not what was asked for."""
        small.make(path).close()
        monkeypatch.setattr(database, "FULL", 3)
        assert opening(path).code == "storage"

    def test_closing_flushes_the_log_into_the_file(self, path: Path):
        """After closing, the one file holds everything."""
        database.close(small.make(path, 5))
        assert list(path.parent.iterdir()) == [path]
        with closing(sqlite3.connect(f"file:{path}?immutable=1", uri=True)) as alone:
            assert alone.execute("SELECT count(*) FROM entry").fetchone() == (5,)

    def test_closing_flushes_also_while_another_has_the_file_open(self, path: Path):
        """An idle reader elsewhere does not keep the log from being emptied."""
        writer = small.make(path, 5)
        with closing(database.connect(path, "read")) as reader:
            assert small.numbers(reader) == [1, 2, 3, 4, 5]
            database.close(writer)
            assert (path.parent / "ledger.db-wal").stat().st_size == 0

    def test_closing_ends_what_was_begun(self, path: Path):
        """What was not committed is gone, and does not keep the log from being flushed."""
        writer = small.make(path, 5)
        with closing(database.connect(path, "read")) as reader:
            assert small.numbers(reader) == [1, 2, 3, 4, 5]
            writer.execute("BEGIN IMMEDIATE")
            small.put(writer, 6)
            database.close(writer)
            assert (path.parent / "ledger.db-wal").stat().st_size == 0
            assert small.numbers(reader) == [1, 2, 3, 4, 5]

    def test_closing_never_waits_for_a_reader(self, path: Path):
        """Somebody in the middle of a long question only delays the flushing; nothing is lost by it."""
        writer = small.make(path, 5)
        with closing(database.connect(path, "read")) as reader:
            question = iter(reader.execute("SELECT number FROM entry ORDER BY number"))
            assert next(question) == (1,)
            begun = time.monotonic()
            database.close(writer)
            assert time.monotonic() - begun < database.BUSY_SECONDS / 2
            assert [number for (number,) in question] == [2, 3, 4, 5]
        with closing(database.connect(path, "read")) as reader:
            assert small.numbers(reader) == [1, 2, 3, 4, 5]


class TestReadOnlyMedia:
    def test_an_idle_ledger_can_be_read(self, public: Path):
        """A closed file on a medium that takes no writing opens for reading, and leaves no trace there."""
        database.close(small.make(public / "ledger.db", 3))
        shut(public)
        with ordinary_user(), closing(database.connect(public / "ledger.db", "read")) as connection:
            assert small.numbers(connection) == [1, 2, 3]
        assert [place.name for place in public.iterdir()] == ["ledger.db"]

    def test_an_idle_ledger_cannot_be_opened_for_writing(self, public: Path):
        """The words come at opening, before anybody has typed a passphrase."""
        database.close(small.make(public / "ledger.db", 3))
        shut(public)
        with ordinary_user():
            error = opening(public / "ledger.db")
        assert (error.code, error.exit) == ("read-only", 6)

    def test_a_file_that_takes_no_writing_is_told_at_once(self, public: Path):
        """In a folder that takes files, too, the words come before anything is asked or typed."""
        database.close(small.make(public / "ledger.db", 3))
        (public / "ledger.db").chmod(0o444)
        public.chmod(0o777)
        with ordinary_user():
            assert opening(public / "ledger.db").code == "read-only"

    def test_a_file_that_cannot_be_read_is_told(self, public: Path):
        """Another person's ledger is not called missing or damaged."""
        database.close(small.make(public / "ledger.db", 3))
        (public / "ledger.db").chmod(0o000)
        with ordinary_user():
            error = opening(public / "ledger.db", "read")
        assert (error.code, error.exit) == ("storage", 6)
        assert "right to read" in error.why

    def test_where_somebody_could_write_the_log_is_never_ignored(self, public: Path):
        """Only a folder that takes no files lets a file be called unchanging."""
        database.close(small.make(public / "ledger.db", 3))
        public.chmod(0o777)
        with ordinary_user():
            assert not database._can_be_immutable(str(public / "ledger.db"))
        public.chmod(0o555)
        with ordinary_user():
            assert database._can_be_immutable(str(public / "ledger.db"))

    def test_a_log_somebody_has_open_is_never_ignored(self, public: Path):
        """An empty log with an index that only another person may use can grow at any moment."""
        database.close(small.make(public / "ledger.db", 3))
        (public / "ledger.db-wal").touch()
        (public / "ledger.db-shm").touch()
        shut(public)
        (public / "ledger.db-shm").chmod(0o000)
        with ordinary_user():
            assert opening(public / "ledger.db", "read").code == "read-only"

    def test_a_folder_that_takes_no_files_is_told(self, public: Path):
        """A writable file in a folder without the right to write cannot keep a log beside it."""
        database.close(small.make(public / "ledger.db", 3))
        shut(public)
        (public / "ledger.db").chmod(0o666)
        with ordinary_user():
            assert opening(public / "ledger.db").code == "read-only"

    def test_a_log_with_entries_is_never_passed_over(self, public: Path):
        """Where the newest entries lie in a log that cannot be opened, nothing older is shown instead."""
        with closing(small.make(public / "live.db", 3)):
            shutil.copy(public / "live.db", public / "ledger.db")
            shutil.copy(public / "live.db-wal", public / "ledger.db-wal")
        shut(public)
        with ordinary_user():
            assert opening(public / "ledger.db", "read").code == "read-only"

    def test_a_live_ledger_is_read_with_its_log(self, public: Path):
        """Log and index beside the file are used without writing to them."""
        with closing(small.make(public / "ledger.db", 3)):
            shut(public)
            with ordinary_user(), closing(database.connect(public / "ledger.db", "read")) as connection:
                assert small.numbers(connection) == [1, 2, 3]

    def test_an_empty_log_without_its_index_does_not_matter(self, public: Path):
        """A copy that was taken along with an empty log is as good as one without."""
        database.close(small.make(public / "ledger.db", 3))
        (public / "ledger.db-wal").touch()
        shut(public)
        with ordinary_user(), closing(database.connect(public / "ledger.db", "read")) as connection:
            assert small.numbers(connection) == [1, 2, 3]

    def test_what_is_wrong_with_the_file_is_told_there_too(self, public: Path):
        """A damaged file on such a medium is damaged, not read-only."""
        database.close(small.make(public / "ledger.db", 3))
        with open(public / "ledger.db", "r+b") as file:
            file.seek(100)
            file.write(b"\xff" * 3000)
        shut(public)
        with ordinary_user():
            assert opening(public / "ledger.db", "read", "0" * 64).code == "damaged"


class TestReading:
    def test_a_reader_sees_what_was_committed_since(self, path: Path):
        """An open reading connection is no snapshot of the day it was opened."""
        with closing(small.make(path)) as writer, closing(database.connect(path, "read")) as reader:
            assert small.numbers(reader) == []
            small.add(writer, 2)
            assert small.numbers(reader) == [1, 2]

    def test_looking_changes_no_byte(self, path: Path):
        """A log that a crash left behind is read, and still lies there when the last reader has gone."""
        left = [path.parent / "left.db", path.parent / "left.db-wal"]
        with closing(small.make(path, 3)):
            for found, copied in zip((path, path.parent / "ledger.db-wal"), left, strict=True):
                shutil.copy(found, copied)
        before = [each.read_bytes() for each in left]
        with closing(database.connect(left[0], "read")) as reader:
            assert small.numbers(reader) == [1, 2, 3]
        assert [each.read_bytes() for each in left] == before

    def test_a_reader_cannot_write(self, path: Path):
        """Even an insert that the guards would take is stopped."""
        small.make(path).close()
        with closing(database.connect(path, "read")) as reader:
            assert refusal(lambda: small.add(reader)).code == "read-only"
            assert reader.execute("PRAGMA query_only").fetchone() == (1,)

    def test_a_damaged_page_is_told(self, path: Path):
        """Bytes overwritten in the middle are damage, with the advice to go on from the backup."""
        database.close(small.make(path, 200))
        with open(path, "r+b") as file:
            file.seek(4096)
            file.write(b"\xff" * 4096 * 3)

        def look() -> None:
            with closing(database.connect(path, "write")) as connection, database.transaction(connection):
                small.numbers(connection)

        error = refusal(look)
        assert (error.code, error.exit) == ("damaged", 6)

    @pytest.mark.parametrize("size", [50, 100, 1000, 4096, 8192])
    def test_a_file_cut_short_is_told(self, path: Path, size: int):
        """Whatever remains of a file, opening or reading it says that it is not whole."""
        database.close(small.make(path, 200))
        digest = database.schema_digest(database.scratch(LEDGER_SCHEMA))
        os.truncate(path, size)

        def look() -> None:
            with (
                closing(database.connect(path, "write", schema_digest=digest)) as connection,
                database.transaction(connection),
            ):
                small.numbers(connection)

        assert refusal(look).code in {"damaged", "not-a-ledger"}


class TestCopy:
    def test_a_copy_is_whole_while_others_write(self, path: Path):
        """What was committed is in it, what another writer has begun is not; it is one private file."""
        copied = path.parent / "copy.db"
        with (
            closing(small.make(path, 3)) as writer,
            closing(database.connect(path, "read")) as reader,
            database.transaction(writer),
        ):
            small.put(writer, 4)
            database.copy(reader, copied)
        assert stat.S_IMODE(copied.stat().st_mode) == 0o600
        assert not (path.parent / "copy.db-wal").exists()
        assert copied.read_bytes()[18:20] == b"\1\1"  # the file's header says that there is no log
        with closing(database.connect(copied, "write")) as connection:
            assert small.numbers(connection) == [1, 2, 3]

    def test_a_copy_never_overwrites(self, path: Path):
        """Not even the ledger itself."""
        with closing(small.make(path, 3)) as connection:
            assert refusal(lambda: database.copy(connection, path)).code == "exists"
            assert small.numbers(connection) == [1, 2, 3]

    def test_a_copy_that_breaks_off_leaves_nothing(self, path: Path):
        """A disk that is full half-way keeps no copy that looks like a good one."""
        database.close(small.make(path, 20))
        with (
            Disk(Fault(3, "full", lasting=True)).installed(),
            closing(database.connect(path, "read")) as connection,
        ):
            error = refusal(lambda: database.copy(connection, path.parent / "copy.db"))
        assert (error.code, error.exit) == ("disk-full", 6)
        assert "copy.db" not in [place.name for place in path.parent.iterdir()]


class TestScratch:
    def test_has_the_guards_of_a_file(self):
        """What is rebuilt in memory is guarded the same way."""
        with closing(database.scratch(LEDGER_SCHEMA)) as connection:
            small.put(connection, 1)
            with pytest.raises(sqlite3.DatabaseError, match="not authorized"):
                connection.execute("DELETE FROM entry")

    @pytest.mark.parametrize(("named", "journal"), [({}, "memory"), ({"on_disk": True}, "delete")])
    def test_leaves_nothing_behind(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, named: dict[str, bool], journal: str
    ):
        """No file gets a name; its journal is in memory, and only what was asked for can be on a disk at all."""
        monkeypatch.chdir(tmp_path)
        with closing(database.scratch(LEDGER_SCHEMA, **named)) as connection:
            small.put(connection, 1)
            assert connection.execute("PRAGMA database_list").fetchone()[2] == ""
            assert connection.execute("PRAGMA journal_mode").fetchone() == ("memory",)
            assert list(tmp_path.iterdir()) == []
            connection.set_authorizer(None)
            assert connection.execute("PRAGMA journal_mode = DELETE").fetchone() == (journal,)


def test_an_address_is_built_as_the_system_writes_paths(monkeypatch: pytest.MonkeyPatch):
    """What would end the path inside an address is escaped; a drive stands behind the third stroke."""
    assert database._address("/there/a?b#c%d.db") == "file:///there/a%3fb%23c%25d.db"
    monkeypatch.setattr(database.os, "sep", "\\")
    assert database._address("C:\\there\\a.db") == "file:///C:/there/a.db"


@pytest.mark.parametrize("code", ["database-missing", "not-a-ledger", "newer-format", "damaged"])
@pytest.mark.parametrize("there", [True, False])
def test_what_nobody_writes_to_is_moved_unasked(
    path: Path, monkeypatch: pytest.MonkeyPatch, code: str, there: bool
):
    """Whatever else lies at the name goes as it is, and it is said whether anything lay there."""
    if there:
        path.write_bytes(b"groceries")

    def stop(*_: object) -> None:
        raise TorquelogError(code, "told")

    monkeypatch.setattr(database, "connect", stop)
    assert database.retire(str(path), f"{path}.kept") is there
    assert [each.read_bytes() for each in path.parent.iterdir()] == [b"groceries"] * there


@pytest.mark.parametrize("code", ["busy", "read-only", "storage", "older-format", "schema-changed"])
def test_what_somebody_may_write_to_is_not_moved_unasked(
    path: Path, monkeypatch: pytest.MonkeyPatch, code: str
):
    """Any other trouble is told, and everything lies where it was."""
    path.write_bytes(b"record")

    def stop(*_: object) -> None:
        raise TorquelogError(code, "told")

    monkeypatch.setattr(database, "connect", stop)
    assert refusal(lambda: database.retire(str(path), f"{path}.kept")).code == code
    assert path.read_bytes() == b"record"


@pytest.mark.parametrize("version", [database.FORMAT, database.FORMAT - 1])
def test_a_record_is_moved_whole(path: Path, version: int):
    """Of this or an older format: one file under the other name, with no log of nothing beside it."""
    TestOpening.stamp(path, version)
    assert database.retire(str(path), f"{path}.kept") is True
    assert [each.name for each in path.parent.iterdir()] == ["ledger.db.kept"]


def test_a_file_that_somebody_writes_to_is_not_moved(path: Path, monkeypatch: pytest.MonkeyPatch):
    """Whoever holds the right to write has to let go of it first, and everything lies where it was."""
    database.close(small.make(path, 1))
    with closing(sqlite3.connect(path)) as other:
        other.execute("BEGIN IMMEDIATE")
        kept = str(path) + "-kept"
        connect = database.connect
        monkeypatch.setattr(database, "connect", lambda place, mode: connect(place, mode, busy=0.05))
        assert refusal(lambda: database.retire(str(path), kept)).code == "busy"
    assert path.exists()
    assert not Path(kept).exists()


def test_what_cannot_even_be_looked_at_is_not_moved(tmp_path: Path):
    """A name that the system does not take is told as it is told when the file is opened."""
    assert (
        refusal(lambda: database.retire(str(tmp_path / ("x" * 5000)), str(tmp_path / "kept"))).code
        == "storage"
    )


def test_a_finished_file_takes_a_name_or_leaves_it(path: Path, tmp_path: Path):
    """What bears the name already stays, unless it was to give way."""
    aside = tmp_path / "aside"
    aside.write_bytes(b"new")
    path.write_bytes(b"old")
    assert refusal(lambda: placing.give_name(str(aside), str(path))).code == "exists"
    assert path.read_bytes() == b"old"
    placing.give_name(str(aside), str(path), replace=True)
    assert path.read_bytes() == b"new"
    assert not aside.exists()
