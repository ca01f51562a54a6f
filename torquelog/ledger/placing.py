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

KEPT: Final = ".kept-"
"""Stands between a file's name and the time at which another one took its place."""


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

    A log that an earlier file of that name left behind would be taken for this one's own: it goes with the file that
    gives way, and where none may, the name is taken.

    Args:
        aside: the file, in the same folder.
        place: its name.
        replace: whether a file that bears the name gives way; otherwise it stays and the name is taken.

    Raises:
        TorquelogError: exists. OSError as the system says it.
    """
    if replace:
        discard_beside(place)
        os.replace(aside, place)
    else:
        demand_no_log(place)
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


def kept_beside(place: str) -> str:
    """The newest file that was kept when another one took its place, by its name, or ""."""
    start = os.path.basename(place) + KEPT
    with suppress(OSError):
        names = os.listdir(os.path.dirname(place) or ".")
        kept = [name for name in names if name.startswith(start) and not name.endswith(BESIDE)]
        if kept:
            return os.path.join(os.path.dirname(place), max(kept))
    return ""


def way_on(place: str) -> str:
    """What to do where no record lies: begin one, or end an exchange that broke off."""
    kept = kept_beside(place)
    if kept:
        return f"{kept} lies beside it; torquelog rebuild puts it back, with every register made anew."
    return "Begin one with torquelog init, name another with --db PATH, or look around with torquelog demo."


def put_back(place: str) -> str:
    """Where nothing bears a name any more, give it to the file that was kept last, as before an exchange that broke off.

    Returns:
        What the file was called meanwhile, or "".

    Raises:
        OSError: as the system says it.
    """
    kept = "" if os.path.lexists(place) else kept_beside(place)
    if kept:
        for ending in BESIDE:
            if os.path.lexists(kept + ending) and not os.path.lexists(place + ending):
                os.rename(kept + ending, place + ending)
        os.rename(kept, place)
        flush_folder(place)
    return kept


def demand_no_log(place: str) -> None:
    """Raise where the log of another file lies beside a name that is to be given.

    Raises:
        TorquelogError: exists.
    """
    for ending in BESIDE[:2]:
        with suppress(OSError):
            if os.lstat(place + ending).st_size:
                raise TorquelogError(
                    "exists",
                    f"The log of another record lies at {place}{ending}.",
                    why="It would be taken for the new file's own.",
                    hint="Find out whose it is and move it away, or name another place.",
                )


def discard(aside: str) -> None:
    """Remove a file that was never finished, with what lies beside it."""
    discard_beside(aside)
    with suppress(OSError):
        os.unlink(aside)


def discard_beside(place: str) -> None:
    """Remove what lies beside a file."""
    for ending in BESIDE:
        with suppress(OSError):
            os.unlink(place + ending)


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
