"""SQLite's standard Python face on a connection whose disk is ours.

The standard module cannot be given a file system of our making; apsw can. `Bridge` answers to the calls that
the program makes, with the exceptions and error codes of the standard module, so that the program itself, from
its own `connect` on, runs on a disk that fails when told.
"""

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import Any

import apsw

CONSTRAINT, AUTH, CORRUPT, NOTADB = 19, 23, 11, 26


@contextmanager
def translated() -> Iterator[None]:
    """Raise apsw's errors as the standard module's, with their codes."""
    try:
        yield
    except apsw.Error as error:
        raise standard_error(error) from error


def standard_error(error: apsw.Error) -> sqlite3.DatabaseError:
    """The error that the standard module would raise."""
    if isinstance(error, apsw.ConnectionClosedError):
        return sqlite3.ProgrammingError(str(error))
    code = int(getattr(error, "extendedresult", apsw.SQLITE_ERROR))
    kinds = {CONSTRAINT: sqlite3.IntegrityError, AUTH: sqlite3.DatabaseError, CORRUPT: sqlite3.DatabaseError}
    kind = kinds.get(code & 0xFF, sqlite3.DatabaseError if code == NOTADB else sqlite3.OperationalError)
    raised = kind(str(error))
    raised.sqlite_errorcode = code
    raised.sqlite_errorname = type(error).__name__
    return raised


class Answer:
    """The rows of one statement, all fetched: no statement stays open behind the caller's back."""

    def __init__(self, rows: list[Any], description: Any, changes: int, last: int) -> None:
        self._rows = iter(rows)
        self.description = description
        self.rowcount = changes
        self.lastrowid = last

    def __iter__(self) -> Iterator[Any]:
        return self._rows

    def __next__(self) -> Any:
        return next(self._rows)

    def fetchone(self) -> Any:
        return next(self._rows, None)

    def fetchall(self) -> list[Any]:
        return list(self._rows)


class Bridge:
    """What the program calls on a connection, and no more."""

    row_factory: Any = None

    def __init__(self, address: str, timeout: float, vfs: str) -> None:
        flags = apsw.SQLITE_OPEN_URI | apsw.SQLITE_OPEN_READWRITE
        with translated():
            self._inner = apsw.Connection(address, flags=flags, vfs=vfs)
            self._inner.set_busy_timeout(int(timeout * 1000))

    @property
    def in_transaction(self) -> bool:
        with translated():
            return self._inner.in_transaction

    @property
    def total_changes(self) -> int:
        return self._inner.total_changes()

    def execute(self, text: str, values: Sequence[Any] | dict[str, Any] = ()) -> Answer:
        with translated():
            cursor = self._inner.cursor()
            cursor.execute(text, values or None)
            try:
                description = cursor.get_description()
            except apsw.ExecutionCompleteError:
                description = None
            rows = [tuple(row) for row in cursor]
            return Answer(rows, description, self._inner.changes(), self._inner.last_insert_rowid())

    def executemany(self, text: str, rows: Iterable[Sequence[Any]]) -> None:
        for row in rows:
            self.execute(text, row)

    def executescript(self, text: str) -> None:
        with translated():
            if self._inner.in_transaction:
                self._inner.execute("COMMIT")
            for _ in self._inner.execute(text):
                pass

    def commit(self) -> None:
        if self.in_transaction:
            self.execute("COMMIT")

    def rollback(self) -> None:
        if self.in_transaction:
            self.execute("ROLLBACK")

    def set_authorizer(self, answer: Callable[..., int] | None) -> None:
        self._inner.authorizer = answer

    def backup(self, target: "Bridge") -> None:
        with translated(), target._inner.backup("main", self._inner, "main") as copying:
            copying.step(-1)

    def close(self) -> None:
        with suppress(apsw.Error):  # the standard module passes over whatever goes wrong in closing
            self._inner.close(True)
