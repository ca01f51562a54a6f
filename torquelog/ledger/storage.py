"""What a storage trouble means, in words: one function from SQLite's and the system's codes to our own."""

import errno
import os
import sqlite3
from typing import Final

from torquelog.errors import TorquelogError

FOLDER_CODES: Final = frozenset({sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY})
"""What SQLite answers where it can write neither a file nor beside it."""

_BUSY: Final = frozenset({sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_PROTOCOL})
_GUARDED: Final = frozenset({sqlite3.SQLITE_AUTH, sqlite3.SQLITE_CONSTRAINT})
_DAMAGED: Final = frozenset({sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_FORMAT})
_DEFECTS: Final = frozenset(
    {sqlite3.SQLITE_ERROR, sqlite3.SQLITE_MISUSE, sqlite3.SQLITE_MISMATCH, sqlite3.SQLITE_RANGE}
)
_FULL_NUMBERS: Final = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})
_DENIED_NUMBERS: Final = frozenset({errno.EACCES, errno.EPERM, errno.EROFS})


def storage_error(
    trouble: sqlite3.Error | OSError | UnicodeDecodeError, place: str = "the record"
) -> TorquelogError:
    """Name a trouble of SQLite or of the file system.

    Args:
        trouble: what was raised; where SQLite quotes bytes that are no text, the trouble is that they are not.
        place: the file that was being opened, for the sentence.

    Returns:
        An error to raise: busy, disk-full, read-only, replaced, not-a-ledger, damaged, guarded, else storage.
    """
    if isinstance(trouble, OSError):
        return _from_system(trouble, place)
    if isinstance(trouble, UnicodeDecodeError):
        return _damaged(place, "It holds bytes that are no text")
    return _from_sqlite(trouble, place)


def nothing_saved(unclear: TorquelogError) -> TorquelogError:
    """The trouble behind a `commit-unclear`, once looking the id up has shown that nothing is on record."""
    cause = unclear.__cause__
    return storage_error(cause) if isinstance(cause, sqlite3.Error) else unclear


def _from_system(trouble: OSError, place: str) -> TorquelogError:
    if trouble.errno in _FULL_NUMBERS:
        return _disk_full()
    if trouble.errno in _DENIED_NUMBERS:
        return read_only(place)
    return TorquelogError(
        "storage",
        f"{place} cannot be used.",
        why=f"The system says: {trouble.strerror or trouble}.",
        hint="Look at the path: its folder must exist and be on a working disk.",
    )


def _from_sqlite(trouble: sqlite3.Error, place: str) -> TorquelogError:
    code = getattr(trouble, "sqlite_errorcode", sqlite3.SQLITE_ERROR)
    kind = code & 0xFF
    if kind in _BUSY:
        return _busy()
    if kind == sqlite3.SQLITE_FULL or code == sqlite3.SQLITE_IOERR_SHMSIZE:  # no room for the log's index
        return _disk_full()
    if code == sqlite3.SQLITE_READONLY_DBMOVED:
        return replaced(place)
    if kind == sqlite3.SQLITE_READONLY:
        return read_only(place)
    if kind == sqlite3.SQLITE_CANTOPEN and not _folder_writable(place):
        return read_only(place)
    if kind == sqlite3.SQLITE_NOTADB:
        return not_a_ledger(place)
    if kind in _DAMAGED:
        return _damaged(place, f"SQLite says: {trouble}")
    if kind in _GUARDED:
        return _guarded(trouble)
    return TorquelogError(
        "storage",
        f"The disk or the database gave trouble at {place}.",
        why=f"SQLite says: {trouble} ({getattr(trouble, 'sqlite_errorname', 'no code')}).",
        hint="Look at the disk; then ask again with the same id, and check with: torquelog verify",
    )


def is_defect(trouble: sqlite3.Error) -> bool:
    """Whether a statement of ours was wrong, which is no storage trouble and should be seen as it is."""
    return getattr(trouble, "sqlite_errorcode", sqlite3.SQLITE_MISUSE) & 0xFF in _DEFECTS


def not_a_ledger(place: str) -> TorquelogError:
    """The error for a file of another kind."""
    return TorquelogError(
        "not-a-ledger",
        f"{place} is not a record of torquelog.",
        why="It is another kind of file, or empty.",
        hint="Name the record's file with --db PATH, or begin one with torquelog init.",
    )


def _folder_writable(place: str) -> bool:
    return os.access(os.path.dirname(place) or ".", os.W_OK)


def _busy() -> TorquelogError:
    return TorquelogError(
        "busy",
        "Another program has been writing to this record for too long.",
        why="One at a time may write, and the wait ran out.",
        hint="Nothing was saved. Ask again; if it stays so, see which program holds the file open.",
    )


def _disk_full() -> TorquelogError:
    return TorquelogError(
        "disk-full",
        "The disk is full.",
        why="There was no room for what should be saved.",
        hint="Nothing was saved. Make room, then ask again.",
    )


def replaced(place: str) -> TorquelogError:
    """The error for a file that lost its name, or its -wal, while it was open."""
    return TorquelogError(
        "replaced",
        f"The file at {place}, or its -wal, was moved or replaced while it was open.",
        why="What is written now would go where nobody finds it.",
        hint="Nothing was saved. Put the file back, or begin again with the one that lies there now.",
    )


def read_only(place: str) -> TorquelogError:
    """The error for a place that takes no writing."""
    return TorquelogError(
        "read-only",
        f"{place} cannot be written here.",
        why="The file, its folder or its medium is read-only, and even looking needs a folder that takes "
        "files while entries still lie in the -wal file.",
        hint="Ask for the right to write there, or copy the file, with its -wal, to a folder of your own.",
    )


def unreadable(place: str) -> TorquelogError:
    """The error for somebody else's file."""
    return TorquelogError(
        "storage",
        f"{place} cannot be read here.",
        why="You have no right to read it.",
        hint="Ask its owner, or name your own record: --db PATH",
    )


def _damaged(place: str, why: str) -> TorquelogError:
    return TorquelogError(
        "damaged",
        f"The file at {place} is damaged.",
        why=f"{why}.",
        hint="Keep this file as it is, and go on from the last backup: torquelog restore FILE",
    )


def _guarded(trouble: sqlite3.Error) -> TorquelogError:
    return TorquelogError(
        "guarded",
        "Something tried to change what is on record.",
        why=f"A guard of the record says: {trouble}.",
        hint="Nothing was changed. This is a defect of the program that asked; please tell its makers.",
    )
