"""The one door to SQLite: every connection of the project is opened here, and none is opened with less care.

A connection from here writes ahead (WAL) with full synchronising, both read back, keeps a statement cache,
waits for other writers and trusts nothing in the schema; an authorizer refuses what would change the record.
These are guards against accidents; that nothing was changed is shown by the chain.
"""

import hashlib
import os
import sqlite3
import stat
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from typing import Final, Literal

from torquelog.errors import TorquelogError
from torquelog.ledger.authorizer import building, daily
from torquelog.ledger.placing import (
    claim,
    demand_no_log,
    discard,
    discard_log,
    exists,
    give_name,
    keep,
    way_on,
)
from torquelog.ledger.storage import (
    FOLDER_CODES,
    is_defect,
    not_a_ledger,
    read_only,
    replaced,
    storage_error,
    unreadable,
)

APPLICATION_ID: Final = 0x544C4F47
"""Written into the file's header; spells TLOG."""

FORMAT: Final = 1
"""The form of the tables, kept as SQLite's user_version."""

BUSY_SECONDS: Final = 10.0
"""How long a connection waits for another writer before it says busy."""

NOBODY_WRITES: Final = frozenset({"database-missing", "not-a-ledger", "newer-format", "damaged"})
"""What a file is that this program never writes to, so that it may be moved without asking whoever has it open."""

FULL: Final = 2
"""What `PRAGMA synchronous` answers when every commit is flushed to the disk."""

Mode = Literal["create", "write", "read", "migrate"]


class _Placed(sqlite3.Connection):
    """A connection that remembers which file it opened, to notice when another one lies under that name."""

    place: str
    identity: tuple[int, int] | None

    def demand_same_file(self) -> None:
        """Raise `replaced` where the path leads elsewhere now, or the write-ahead log was taken away."""
        if _identity(self.place) != self.identity or not os.path.lexists(self.place + "-wal"):
            raise replaced(self.place)


def connect(
    path: str | os.PathLike[str], mode: Mode, *, schema_digest: str | None = None, busy: float = BUSY_SECONDS
) -> sqlite3.Connection:
    """Open the ledger at `path`; transactions are begun by `transaction` alone.

    Args:
        path: the database file.
        mode: "write" to add entries; "read" to look, also on media that cannot be written; "create" for a new
            and empty file whose schema may be laid (see `create`); "migrate" for a file of this or an older
            format whose registers may be rebuilt.
        schema_digest: what `schema_digest` must answer for this file, or None where nothing is compared.
        busy: seconds to wait for another writer.

    Raises:
        TorquelogError: database-missing, not-a-ledger, newer-format, older-format, schema-changed, read-only,
            busy, disk-full, damaged, exists (create only), storage.
    """
    place = os.path.abspath(path)
    if mode == "create":
        claim(place)
    _demand_file(place)
    if mode != "read" and not os.access(place, os.W_OK):
        raise read_only(place)
    try:
        return _checked(place, mode, schema_digest, busy, immutable=False)
    except sqlite3.Error as trouble:
        if mode == "read" and trouble.sqlite_errorcode & 0xFF in FOLDER_CODES and _can_be_immutable(place):
            return _immutable(place, schema_digest, busy)
        raise storage_error(trouble, place) from trouble
    except UnicodeDecodeError as trouble:
        raise storage_error(trouble, place) from trouble


def create(
    path: str | os.PathLike[str], schema: str, fill: Callable[[sqlite3.Connection], None] | None = None
) -> sqlite3.Connection:
    """Make a new ledger file, readable by its owner only, and open it for writing.

    The file is built under another name beside `path` and gets its name when it is whole, so that an
    interrupted creation leaves no half ledger behind. A file that exists is never overwritten.

    Args:
        path: where the file shall lie; its folder must exist.
        schema: the SQL text of every table, index, view and trigger.
        fill: writes the first rows, inside the transaction that lays the schema.

    Raises:
        TorquelogError: exists, read-only, disk-full, storage; and what `fill` raises.
    """
    place = os.path.abspath(path)
    if os.path.lexists(place):
        raise exists(place)
    demand_no_log(place)
    aside = f"{place}.{os.urandom(8).hex()}.new"
    try:
        with closing(connect(aside, "create")) as connection:
            _lay(connection, place, schema, fill)
        give_name(aside, place)
    except sqlite3.Error as trouble:
        raise storage_error(trouble, place) from trouble
    finally:
        discard(aside)
    return connect(place, "write")


def copy(connection: sqlite3.Connection, path: str | os.PathLike[str]) -> None:
    """Copy a whole ledger as it is at one moment, while others go on writing, into a new file of its own.

    The copy is one file without a log beside it, readable by its owner only.

    Args:
        connection: one of `connect`, outside a transaction.
        path: where the copy shall lie; nothing may lie there yet.

    Raises:
        TorquelogError: exists, read-only, disk-full, damaged, storage.
    """
    place = os.path.abspath(path)
    claim(place)
    try:
        with closing(sqlite3.connect(place, isolation_level=None)) as target:
            connection.backup(target)
            target.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.Error as trouble:
        discard(place)
        raise storage_error(trouble, place) from trouble


def scratch(schema: str, *, on_disk: bool = False) -> sqlite3.Connection:
    """Open an empty ledger with this schema, for rebuilding registers and comparing them; it leaves nothing behind.

    Args:
        schema: the SQL text of every table, index, view and trigger.
        on_disk: whether what does not fit into a small cache may go to a nameless temporary file, so that the
            memory stays bounded whatever the ledger's size; else everything is kept in memory.
    """
    connection = sqlite3.connect("" if on_disk else ":memory:", isolation_level=None, cached_statements=256)
    connection.execute("PRAGMA journal_mode = MEMORY")
    connection.executescript(schema)
    connection.set_authorizer(daily)
    return connection


def close(connection: sqlite3.Connection) -> None:
    """Flush the write-ahead log into the file, as far as other connections allow at once, and close."""
    with suppress(sqlite3.Error):
        connection.rollback()
        connection.set_authorizer(None)
        connection.execute("PRAGMA busy_timeout = 0")
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()


def retire(place: str, name: str) -> bool:
    """Move a file, whatever it is, to another name, so that nobody goes on writing to it unawares.

    While it is moved nobody holds the right to write to it, and who waits for that is told that it was replaced.

    Returns:
        Whether anything lay there.

    Raises:
        TorquelogError: busy, read-only, disk-full, exists, storage: then everything lies where it was.
    """
    try:
        connection = connect(place, "migrate")
    except TorquelogError as error:
        if error.code not in NOBODY_WRITES:
            raise
        return keep(place, name)
    with closing(connection), transaction(connection):
        kept = keep(place, name)
    discard_log(name)
    return kept


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[sqlite3.Connection]:
    """Hold the one right to write from here to the end of the block, then commit; any exception rolls back.

    Raises:
        TorquelogError: busy, read-only, disk-full, replaced, damaged, guarded, storage; or commit-unclear
            where the commit itself went wrong: then only a look-up of the entry's id, on a fresh connection,
            tells whether it is on record.
    """
    try:
        connection.execute("BEGIN IMMEDIATE")
    except sqlite3.Error as trouble:
        raise storage_error(trouble) from trouble
    try:
        if isinstance(connection, _Placed):
            connection.demand_same_file()
        yield connection
    except BaseException as trouble:
        with suppress(sqlite3.Error):
            connection.rollback()
        if isinstance(trouble, sqlite3.Error) and not is_defect(trouble):
            raise storage_error(trouble) from trouble
        raise
    _commit(connection)


def schema_digest(connection: sqlite3.Connection) -> str:
    """SHA-256, in hex, over type, name, table and text of everything in the schema, ordered by these."""
    rows = connection.execute(
        "SELECT type, name, tbl_name, sql FROM sqlite_schema ORDER BY type, name, tbl_name"
    )
    cells = ("-1:," if cell is None else f"{len(cell)}:{cell}," for row in rows for cell in row)
    return hashlib.sha256("".join(cells).encode()).hexdigest()


def _checked(
    place: str, mode: Mode, expected: str | None, busy: float, *, immutable: bool
) -> sqlite3.Connection:
    """Connect, compare what the file says of itself, set and read back; closed again if anything is wrong."""
    access = "ro" if mode == "read" else "rw"
    address = f"{_address(place)}?mode={access}" + ("&immutable=1" if immutable else "")
    identity = _identity(place)
    connection = sqlite3.connect(
        address, timeout=busy, uri=True, isolation_level=None, cached_statements=256, factory=_Placed
    )
    connection.place, connection.identity = place, identity
    try:
        connection.execute("PRAGMA trusted_schema = OFF")
        if mode == "create":
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {FORMAT}")
        _compare(connection, place, mode, expected)
        if mode == "read":
            connection.execute("PRAGMA query_only = ON")
        else:
            _make_durable(connection, place, mode)
        connection.set_authorizer(building if mode in ("create", "migrate") else daily)
    except BaseException:
        connection.close()
        raise
    return connection


def _compare(connection: sqlite3.Connection, place: str, mode: Mode, expected: str | None) -> None:
    (mark,) = connection.execute("PRAGMA application_id").fetchone()
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    if mark != APPLICATION_ID:
        raise not_a_ledger(place)
    if version > FORMAT:
        raise TorquelogError(
            "newer-format",
            f"{place} was written by a newer torquelog.",
            why=f"Its tables have format {version}; this program knows formats up to {FORMAT}.",
            hint="Use the newer torquelog for this record.",
        )
    if version < FORMAT and mode != "migrate":
        raise TorquelogError(
            "older-format",
            f"{place} was written by an older torquelog.",
            why=f"Its tables have format {version}; this program works with format {FORMAT}.",
            hint="torquelog rebuild   brings it to the new format and keeps the old file",
        )
    if expected is not None and schema_digest(connection) != expected:
        raise TorquelogError(
            "schema-changed",
            f"The tables, views or guards in {place} are not those that this torquelog makes.",
            why="Another version of torquelog wrote it, or something else has changed the file's schema.",
            hint=f'torquelog rebuild --db "{place}"   makes them anew from the signed entries and keeps the old file',
        )


def _make_durable(connection: sqlite3.Connection, place: str, mode: Mode) -> None:
    """Set full synchronising and write-ahead logging, and believe only what reads back.

    A new file is laid without the log: what a last flush of one could not carry over would be missing unseen.
    """
    wanted = "delete" if mode == "create" else "wal"
    connection.execute("PRAGMA synchronous = FULL")
    (synchronous,) = connection.execute("PRAGMA synchronous").fetchone()
    (journal,) = connection.execute(f"PRAGMA journal_mode = {wanted}").fetchone()
    if synchronous != FULL or journal != wanted:
        raise TorquelogError(
            "storage",
            f"The disk under {place} does not keep what is written in the way a record needs.",
            why=f"Journal mode reads {journal} and synchronous {synchronous}; {wanted} and {FULL} are needed.",
            hint="Keep the record on a local disk, not on a network share.",
        )


def _commit(connection: sqlite3.Connection) -> None:
    try:
        connection.execute("COMMIT")
    except sqlite3.Error as trouble:
        with suppress(sqlite3.Error):
            connection.rollback()
        cause = storage_error(trouble)
        raise TorquelogError(
            "commit-unclear",
            "The disk gave trouble at the very moment of saving.",
            why=cause.what,
            hint="Ask again with the same id: what was saved is answered once more, nothing is saved twice.",
        ) from trouble


def _lay(
    connection: sqlite3.Connection,
    place: str,
    schema: str,
    fill: Callable[[sqlite3.Connection], None] | None,
) -> None:
    connection.executescript("BEGIN IMMEDIATE;" + schema)
    if fill is not None:
        fill(connection)
    connection.execute("COMMIT")
    connection.set_authorizer(None)
    _make_durable(connection, place, "write")


def _demand_file(place: str) -> None:
    """Only a regular file is opened: a folder or a pipe would be waited for or misread."""
    try:
        kind = os.stat(place).st_mode
    except (FileNotFoundError, NotADirectoryError):
        raise TorquelogError(
            "database-missing",
            f"There is no record at {place}.",
            hint=way_on(place),
        ) from None
    except OSError as trouble:
        raise storage_error(trouble, place) from trouble
    if not stat.S_ISREG(kind):
        raise not_a_ledger(place)
    if not os.access(place, os.R_OK):
        raise unreadable(place)


def _identity(place: str) -> tuple[int, int] | None:
    """Which file lies at a path: its device and its number there."""
    try:
        found = os.stat(place)
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _can_be_immutable(place: str) -> bool:
    """Whether nobody can be writing: the folder takes no files, and no log with content is there.

    An empty log without its index was copied along with the file; a writer at work would have both.
    """
    if os.access(os.path.dirname(place), os.W_OK):
        return False
    try:
        return os.stat(place + "-wal").st_size == 0 and not os.path.lexists(place + "-shm")
    except OSError:
        return True


def _immutable(place: str, expected: str | None, busy: float) -> sqlite3.Connection:
    try:
        return _checked(place, "read", expected, busy, immutable=True)
    except sqlite3.Error as trouble:
        raise storage_error(trouble, place) from trouble


def _address(place: str) -> str:
    """The file URI of an absolute path; only what would end the path inside a URI is escaped."""
    plain = place.replace("%", "%25").replace("?", "%3f").replace("#", "%23")
    if os.sep == "/":
        return "file://" + plain
    return "file:///" + plain.replace(os.sep, "/")
