"""A disk that remembers every operation and fails when told: a file system for SQLite, over the real one."""

import itertools
import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, Literal, NamedTuple

import apsw

from tests.faults.bridge import Bridge

Kind = Literal["create", "write", "truncate", "sync", "delete", "acknowledge"]
How = Literal["error", "full", "torn"]

_ERRORS: dict[Kind, int] = {
    "write": apsw.SQLITE_IOERR_WRITE,
    "truncate": apsw.SQLITE_IOERR_TRUNCATE,
    "sync": apsw.SQLITE_IOERR_FSYNC,
    "delete": apsw.SQLITE_IOERR_DELETE,
}
_names = itertools.count()


class Operation(NamedTuple):
    """One thing that was done to the disk.

    Attributes:
        kind: what; "acknowledge" is no operation but the moment in which somebody was told "saved".
        file: the file's name without its folder; of an acknowledgement, what was acknowledged.
        offset: where a write begins; the new size of a truncated file; 1 for a deletion that is flushed.
        data: the bytes of a write.
    """

    kind: Kind
    file: str
    offset: int = 0
    data: bytes = b""

    @property
    def can_fail(self) -> bool:
        """Whether faults are counted by this kind of operation."""
        return self.kind not in ("create", "acknowledge")


class Fault(NamedTuple):
    """When and how the disk fails.

    Attributes:
        point: the number of the operation that fails, from 1; acknowledgements and creations are not counted.
        how: "error" is the device's, "full" lets no write pass, "torn" writes the first half and then errs.
        lasting: whether every later operation fails, too.
    """

    point: int
    how: How
    lasting: bool = False


class Disk:
    """The state of one run: the log of its operations and the fault that waits for it.

    Attributes:
        log: every operation that was done, in order; of a torn write, what was written.
        count: how many operations that could fail were asked for.
    """

    def __init__(self, fault: Fault | None = None) -> None:
        self.log: list[Operation] = []
        self.count = 0
        self._fault = fault

    def acknowledge(self, what: str) -> None:
        """Put on the log that somebody was told "saved"."""
        self.log.append(Operation("acknowledge", what))

    @property
    def acknowledged(self) -> list[str]:
        """All that was acknowledged, in order."""
        return [operation.file for operation in self.log if operation.kind == "acknowledge"]

    @contextmanager
    def installed(self) -> Iterator["Disk"]:
        """Let every connection that the program opens in the block use this disk."""
        name = f"disk-{next(_names)}"
        vfs = _FileSystem(name, self)
        original = sqlite3.connect

        def connect(address: str, *values: Any, **options: Any) -> Any:
            if address in ("", ":memory:"):
                return original(address, *values, **options)
            return Bridge(address, options.get("timeout", 5.0), name)

        sqlite3.connect = connect  # type: ignore[assignment]
        try:
            yield self
        finally:
            sqlite3.connect = original  # type: ignore[assignment]
            vfs.unregister()

    def do(self, operation: Operation, act: Callable[[Operation], None]) -> None:
        """Do an operation, or fail instead."""
        if not operation.can_fail:
            self.log.append(operation)
            return
        self.count += 1
        fault = self._fault
        if fault is not None and (self.count == fault.point or (fault.lasting and self.count > fault.point)):
            self._fail(fault, operation, act)
        act(operation)
        self.log.append(operation)

    def _fail(self, fault: Fault, operation: Operation, act: Callable[[Operation], None]) -> None:
        if fault.how == "torn" and operation.kind == "write":
            part = operation._replace(data=operation.data[: len(operation.data) // 2])
            act(part)
            self.log.append(part)
        if fault.how == "full":
            if operation.kind != "write":
                return
            raise _with_code(apsw.FullError("the disk is full"), apsw.SQLITE_FULL)
        raise _with_code(apsw.IOError(f"planted trouble at operation {self.count}"), _ERRORS[operation.kind])


def _with_code(error: apsw.Error, code: int) -> apsw.Error:
    """The error with the code that SQLite is answered and that the program finds."""
    error.result, error.extendedresult = code & 0xFF, code
    return error


class _File(apsw.VFSFile):
    def __init__(self, disk: Disk, name: Any, flags: list[int]) -> None:
        path = name.filename() if isinstance(name, apsw.URIFilename) else name
        self._disk = disk
        self._name = os.path.basename(path)
        is_new = not os.path.exists(path)
        super().__init__("", name, flags)
        if is_new:
            disk.do(Operation("create", self._name), lambda _: None)

    def xWrite(self, data: bytes, offset: int) -> None:  # noqa: N802  apsw's name
        write = super().xWrite
        self._disk.do(
            Operation("write", self._name, offset, bytes(data)), lambda done: write(done.data, done.offset)
        )

    def xTruncate(self, size: int) -> None:  # noqa: N802  apsw's name
        truncate = super().xTruncate
        self._disk.do(Operation("truncate", self._name, size), lambda _: truncate(size))

    def xSync(self, flags: int) -> None:  # noqa: N802  apsw's name
        sync = super().xSync
        self._disk.do(Operation("sync", self._name), lambda _: sync(flags))


class _FileSystem(apsw.VFS):
    def __init__(self, name: str, disk: Disk) -> None:
        self._disk = disk
        super().__init__(name, "")

    def xOpen(self, name: Any, flags: list[int]) -> _File:  # noqa: N802  apsw's name
        return _File(self._disk, name, flags)

    def xDelete(self, name: str, flush: bool) -> None:  # noqa: N802  apsw's name
        delete = super().xDelete
        operation = Operation("delete", os.path.basename(name), int(flush))
        self._disk.do(operation, lambda _: delete(name, flush))
