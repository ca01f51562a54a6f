"""Files that a command reads and writes; "-" stands for standard input and standard output.

A file is never overwritten unless that was asked for, and never seen half written: it is written beside its
place and then renamed.
"""

import os
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from typing import BinaryIO, Final

from torquelog.cli.context import Context, short_path
from torquelog.errors import TorquelogError

STANDARD: Final = "-"
LARGEST: Final = 64 << 20
"""Bytes of the largest file that is read."""


def read_bytes(context: Context, path: str, *, largest: int = LARGEST) -> bytes:
    """The content of a file, or of standard input for "-".

    Raises:
        TorquelogError: file-missing, file-unreadable, file-too-large.
    """
    try:
        if path == STANDARD:
            content = read_standard_input(context, largest + 1)
        else:
            with open(path, "rb") as file:
                content = file.read(largest + 1)
    except FileNotFoundError as error:
        raise TorquelogError("file-missing", f"There is no file {path}.") from error
    except OSError as error:
        raise TorquelogError("file-unreadable", f"{path} cannot be read: {error.strerror}.") from error
    if len(content) > largest:
        raise TorquelogError(
            "file-too-large", f"{path} is larger than {largest >> 10} KiB, the most that is read."
        )
    return content


def read_text(context: Context, path: str, *, largest: int = LARGEST) -> str:
    """The content of a UTF-8 file, without a byte order mark.

    Raises:
        TorquelogError: what `read_bytes` raises, and file-encoding.
    """
    try:
        return read_bytes(context, path, largest=largest).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise TorquelogError(
            "file-encoding",
            f"{path} is not UTF-8 text: its byte {error.start + 1} does not fit.",
            hint="Save it again as UTF-8.",
        ) from error


def read_standard_input(context: Context, most: int) -> bytes:
    """At most so many bytes of standard input."""
    buffer = getattr(context.stdin, "buffer", None)
    if buffer is None:
        return context.stdin.read(most).encode("utf-8", "surrogateescape")
    content: bytes = buffer.read(most)
    return content


def write_file(path: str, content: bytes, *, replace: bool) -> None:
    """Write a file whole or not at all.

    Args:
        path: where it shall lie; `demand_place` has said that it may.
        content: all of it.
        replace: whether a file that is there already may give way, as `--replace` says.

    Raises:
        TorquelogError: exists; disk-full, read-only, storage.
    """
    with written_aside(path, replace=replace) as file:
        file.write(content)


@contextmanager
def written_aside(path: str, *, replace: bool) -> Iterator[BinaryIO]:
    """A file that gets its name when the block has ended well, and is gone otherwise.

    Raises:
        TorquelogError: as `write_file`.
    """
    _demand_free(path, replace=replace)
    try:
        handle, aside = tempfile.mkstemp(prefix=".torquelog-", dir=os.path.dirname(path) or ".")
        try:
            with os.fdopen(handle, "wb") as file:
                yield file
                file.flush()
                os.fsync(file.fileno())
            put_in_place(aside, path, replace=replace)
        except BaseException:
            os.unlink(aside)
            raise
    except OSError as trouble:
        from torquelog.ledger.storage import storage_error

        raise storage_error(trouble, path) from trouble


def put_in_place(aside: str, path: str, *, replace: bool) -> None:
    """Give a finished file its name; another one of that name stays unless it may give way."""
    if replace:
        os.replace(aside, path)
        return
    try:
        os.link(aside, path)
    except FileExistsError as error:
        raise exists(path) from error
    except OSError:  # a file system without links
        os.rename(aside, path)
    else:
        os.unlink(aside)


def demand_place(context: Context, path: str, *, replace: bool) -> None:
    """Raise where no file may be written: on the record, without a folder, on what may not give way.

    Raises:
        TorquelogError: live-file, file-missing, exists.
    """
    demand_other(context, path)
    folder = os.path.dirname(path) or "."
    if not path or not os.path.isdir(folder):
        raise TorquelogError("file-missing", f"There is no folder {short_path(folder)}.")
    _demand_free(path, replace=replace)


def _demand_free(path: str, *, replace: bool) -> None:
    """Raise where something lies that may not give way; a folder, a device or a pipe never does."""
    try:
        form = os.lstat(path).st_mode
    except OSError:
        return
    if not stat.S_ISREG(form) and not stat.S_ISLNK(form):
        raise TorquelogError(
            "exists",
            f"{path} is no file and was left as it is.",
            hint="Name a file, in a folder that is there.",
        )
    if not replace:
        raise exists(path)


def demand_other(context: Context, path: str) -> None:
    """Raise where a path leads to the record itself or its log, which no file that is written may replace.

    Raises:
        TorquelogError: live-file.
    """
    record = context.database()
    own = os.path.realpath(record)  # SQLite keeps its log where a link leads, not where it lies
    live = {os.path.realpath(own + ending) for ending in ("", "-wal", "-shm", "-journal")}
    same = os.path.exists(path) and os.path.exists(record) and os.path.samefile(path, record)
    if same or os.path.realpath(path) in live:
        raise TorquelogError("live-file", f"{path} is the record itself.", hint="Name another file.")


def exists(path: str) -> TorquelogError:
    """The error for a file that is there already."""
    return TorquelogError(
        "exists", f"{path} is there already and was left as it is.", hint="Add --replace to write it anew."
    )
