"""How a ledger's file gets its name, and loses it: never over another file, and never with a stranger's log beside it.

SQLite keeps a log and an index beside an open file. A log that stays behind when its file is exchanged would be
taken for the new file's own, so the three are moved together.
"""

import os
import stat
from contextlib import suppress
from typing import Final

from torquelog.errors import TorquelogError
from torquelog.ledger.storage import storage_error

BESIDE: Final = ("-journal", "-wal", "-shm")
"""Endings of the files that SQLite keeps beside its own."""


def claim(place: str) -> None:
    """Make an empty file that only its owner can read, or say that the name is taken.

    Raises:
        TorquelogError: exists, read-only, disk-full, storage.
    """
    try:
        os.close(os.open(place, os.O_CREAT | os.O_EXCL | os.O_RDWR | getattr(os, "O_NOFOLLOW", 0), 0o600))
    except FileExistsError:
        raise exists(place) from None
    except OSError as trouble:
        raise storage_error(trouble, place) from trouble


def demand_free(place: str, *, replace: bool) -> None:
    """Raise where something bears a name that may not give way; a folder, a device or a pipe never may.

    Raises:
        TorquelogError: exists.
    """
    with suppress(OSError):
        form = os.lstat(place).st_mode
        if not replace or not (stat.S_ISREG(form) or stat.S_ISLNK(form)):
            raise exists(place)


def give_name(aside: str, place: str, *, replace: bool = False) -> None:
    """Move a finished file to its name; the folder is flushed, so the name stays.

    Args:
        aside: the file, in the same folder.
        place: its name.
        replace: whether a file that bears the name gives way; otherwise it stays and the name is taken.

    Raises:
        TorquelogError: exists. OSError as the system says it.
    """
    if replace:
        os.replace(aside, place)
    else:
        _link(aside, place)
    flush_folder(place)


def keep(place: str, name: str) -> bool:
    """Move a file and what SQLite keeps beside it to another name; says whether there was anything.

    Raises:
        TorquelogError: exists, where something bears the other name already. OSError as the system says it.
    """
    found = [ending for ending in ("", *BESIDE) if os.path.lexists(place + ending)]
    taken = [ending for ending in ("", *BESIDE) if os.path.lexists(name + ending)]
    if taken:
        raise exists(name + taken[0])
    for ending in found:
        os.rename(place + ending, name + ending)
    flush_folder(place)
    return bool(found)


def discard(aside: str) -> None:
    """Remove a file that was never finished, with what lies beside it."""
    for ending in ("", *BESIDE):
        with suppress(OSError):
            os.unlink(aside + ending)


def discard_log(place: str) -> None:
    """Remove the log of a file that nobody has open, with its index, where everything in it is in the file already."""
    with suppress(OSError):
        if os.stat(place + "-wal").st_size == 0:
            os.unlink(place + "-wal")
            os.unlink(place + "-shm")


def flush_folder(place: str) -> None:
    """See to it that the names in the folder of a file are on the disk."""
    with suppress(OSError):  # Windows opens no folders
        folder = os.open(os.path.dirname(place) or ".", os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def exists(place: str) -> TorquelogError:
    """The error for a name that is taken."""
    return TorquelogError(
        "exists",
        f"Something lies at {place} already.",
        why="A file is never overwritten here.",
        hint="Name another place: --db PATH",
    )


def _link(aside: str, place: str) -> None:
    try:
        os.link(aside, place)
    except FileExistsError:
        raise exists(place) from None
    except OSError:  # a file system without hard links, such as a memory stick's
        claim(place)
        os.replace(aside, place)
    else:
        os.unlink(aside)
