"""Small files that only their owner may read or write, in a folder of the same kind.

A file is looked at after it was opened, never before: what was looked at is what is read. Links are not
followed, and a file that others could have read, written or linked is not trusted.
"""

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Final

from torquelog.ledger.folders import make_folder
from torquelog.ledger.storage import storage_error

LARGEST: Final = 4096
"""Bytes that are read of a file."""

_CAREFUL: Final = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0)
_READ: Final = os.O_RDONLY | _CAREFUL | getattr(os, "O_NONBLOCK", 0)  # a pipe in its place is not waited for
_CHANGE: Final = os.O_RDWR | _CAREFUL | getattr(os, "O_NONBLOCK", 0)
_MAKE: Final = os.O_WRONLY | os.O_CREAT | os.O_EXCL | _CAREFUL
_FOLDER: Final = os.O_RDONLY | _CAREFUL | getattr(os, "O_DIRECTORY", 0)


class UnsafeError(Exception):
    """A file that is not to be trusted; its text says why, as the second half of a sentence."""


def read(folder: str, name: str) -> bytes | None:
    """The contents of a private file, or nothing where there is none.

    Raises:
        UnsafeError: the file or its folder is a link, another's, linked twice or open to others.
        TorquelogError: storage and its kin.
    """
    with _opened(folder, name, _READ) as handle:
        return None if handle is None else os.read(handle, LARGEST)


def create(folder: str, name: str, contents: bytes) -> None:
    """Make a private file anew; an earlier one of that name goes first, so no copy of a secret stays behind.

    The folder is made where it is missing, for its owner only.

    Raises:
        UnsafeError: the folder is a link, another's, or open to others.
        TorquelogError: storage and its kin.
    """
    _make_folder(folder)
    with _inside(folder) as at, _storage(folder):
        with suppress(FileNotFoundError):
            os.unlink(name, dir_fd=at)
        _fill(name, contents, at)


def replace(folder: str, name: str, contents: bytes) -> None:
    """Put a private file in the place of an earlier one, whole or not at all.

    The folder is made where it is missing, for its owner only.

    Raises:
        UnsafeError: the folder is a link, another's, or open to others.
        TorquelogError: storage and its kin.
    """
    _make_folder(folder)
    aside = f".{name}.{os.urandom(8).hex()}"
    with _inside(folder) as at, _storage(folder):
        try:
            _fill(aside, contents, at)
            os.replace(aside, name, src_dir_fd=at, dst_dir_fd=at)
        except BaseException:
            with suppress(OSError):
                os.unlink(aside, dir_fd=at)
            raise


def rewrite_end(folder: str, name: str, start: bytes, end: bytes) -> bool:
    """Write over the last bytes of a private file, in place.

    Args:
        folder: where it lies.
        name: the file's name.
        start: what the file must begin with.
        end: what is written behind that; the file keeps its length.

    Returns:
        Whether it was written: not where there is no file, or another one than was expected.

    Raises:
        UnsafeError: as `read`.
        TorquelogError: storage and its kin.
    """
    with _opened(folder, name, _CHANGE) as handle:
        if handle is None or os.fstat(handle).st_size != len(start) + len(end):
            return False
        if os.read(handle, len(start)) != start:
            return False
        os.write(handle, end)
        return True


def remove(folder: str, name: str) -> bool:
    """Remove a file, or the link that lies in its place; says whether there was one.

    Raises:
        UnsafeError: the folder is not to be trusted.
        TorquelogError: storage and its kin.
    """
    with _inside(folder) as at, _storage(folder):
        if at is None:
            return False
        try:
            os.unlink(name, dir_fd=at)
        except FileNotFoundError:
            return False
        return True


def names(folder: str) -> list[str]:
    """The names in a private folder, in order; none where there is no folder.

    Raises:
        UnsafeError: the folder is not to be trusted.
        TorquelogError: storage and its kin.
    """
    with _inside(folder) as at, _storage(folder):
        return [] if at is None else sorted(os.listdir(at))


def _make_folder(folder: str) -> None:
    with _storage(folder):
        make_folder(folder)


def _fill(name: str, contents: bytes, at: int | None) -> None:
    with os.fdopen(os.open(name, _MAKE, 0o600, dir_fd=at), "wb") as file:
        file.write(contents)


@contextmanager
def _opened(folder: str, name: str, flags: int) -> Iterator[int | None]:
    """A handle of a private file, or nothing where there is none."""
    with _inside(folder) as at, _storage(folder):
        handle = None if at is None else _handle(name, flags, at, "is a link")
        try:
            if handle is not None:
                _demand_private(os.fstat(handle), "")
            yield handle
        finally:
            if handle is not None:
                os.close(handle)


@contextmanager
def _inside(folder: str) -> Iterator[int | None]:
    """A handle of the folder itself, so that nothing is exchanged under its path; nothing where there is none."""
    with _storage(folder):
        at = _handle(folder, _FOLDER, None, "lies in a folder that is a link")
    try:
        if at is not None:
            _demand_private(os.fstat(at), "lies in a folder that ")
        yield at
    finally:
        if at is not None:
            os.close(at)


def _handle(name: str, flags: int, at: int | None, link: str) -> int | None:
    try:
        return os.open(name, flags, dir_fd=at)
    except FileNotFoundError:
        return None
    except OSError:
        if stat.S_ISLNK(os.stat(name, dir_fd=at, follow_symlinks=False).st_mode):
            raise UnsafeError(link) from None
        raise


def _demand_private(facts: os.stat_result, start: str) -> None:
    is_folder = bool(start)
    if not (stat.S_ISDIR if is_folder else stat.S_ISREG)(facts.st_mode):
        raise UnsafeError(f"{start}is not a regular {'folder' if is_folder else 'file'}")
    if facts.st_uid != os.geteuid():
        raise UnsafeError(f"{start}belongs to another user")
    if facts.st_mode & 0o077:
        raise UnsafeError(f"{start}is open to others on this machine (mode {stat.S_IMODE(facts.st_mode):o})")
    if not is_folder and facts.st_nlink != 1:
        raise UnsafeError("has a second name")


@contextmanager
def _storage(folder: str) -> Iterator[None]:
    try:
        yield
    except OSError as trouble:
        raise storage_error(trouble, folder) from trouble
