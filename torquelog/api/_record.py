"""A record, opened for reading only, and asked as of a moment."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from types import TracebackType
from typing import Final
from zoneinfo import ZoneInfo

from torquelog import clock as clocks
from torquelog.api import _asked
from torquelog.api._results import Fitness, Job, Recall, Trace
from torquelog.book.opening import Book, open_book
from torquelog.clock import Moment, SetClock, SystemClock
from torquelog.errors import TorquelogError
from torquelog.ledger import database
from torquelog.ledger.storage import storage_error

CLOSED: Final = "The record is closed."


def open_record(path: str | os.PathLike[str], *, as_of: datetime | str | None = None) -> "Record":
    """Open a record for reading only. Nothing is written, whatever is asked.

    Args:
        path: the file.
        as_of: the moment that every question is about: a datetime with its zone, or a text as the commands take it,
            `2026-11-25T14:07`, in the station's zone; None for now. What happened until then is answered by what
            is known now.

    Raises:
        TorquelogError: `database-missing`, `not-a-ledger`, `newer-format`, `older-format`, `schema-changed`, `busy`,
            `damaged`, `storage`; `time-form` for a moment that cannot be read.
    """
    return Record(path, as_of)


class Record:
    """An open record; close it, or use it in a `with` statement. Make one by `open_record`.

    Attributes:
        path: where the file lies.
        station: the code of the station whose record it is.
        identity: the digest of that station's first entry, 64 hex digits.
        zone: the station's time zone.
        as_of: the moment that every question is about, or None for now.
    """

    def __init__(self, path: str | os.PathLike[str], as_of: datetime | str | None = None) -> None:
        self.path = os.path.abspath(path)
        if "\0" in self.path:
            raise TorquelogError("database-missing", "No file has a name with a zero byte in it.")
        self._alone = not os.path.lexists(self.path + "-wal")
        with _storage(self.path):
            self._book: Book | None = open_book(self.path, "read", SystemClock())
            self.station: str = self._book.station
            self.identity: str = self._book.identity
            self.zone: ZoneInfo = self._book.zone
        try:
            moment = None if as_of is None else _moment(as_of, self.zone)
        except BaseException:
            self.close()
            raise
        self._moment = moment
        self.as_of: datetime | None = None if moment is None else _asked.local(moment, self.zone)
        if moment is not None:
            self._book.clock = SetClock(moment)

    def close(self) -> None:
        """Let go of the file; what SQLite laid beside it is taken away again where nobody else uses it."""
        book, self._book = self._book, None
        if book is not None:
            book.close()
            if self._alone:
                _tidy(self.path)

    def __enter__(self) -> "Record":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def fitness(self, tool: str, *, person: str = "", job: str = "", direction: str = "") -> Fitness:
        """Judge whether a tool may be used, by itself, for no torque in particular.

        Args:
            tool: its number.
            person, job: who would use it, for which job; "" leaves that out.
            direction: `cw` or `ccw`; "" leaves that out.

        Raises:
            TorquelogError: `tool-unknown`, `identifier-form`; and what storage brings.
        """
        with self._asking() as book:
            return _asked.fitness(book, tool, person=person, job=job, direction=direction)

    def tools(self, sort: str = "wrench") -> tuple[Fitness, ...]:
        """Judge every tool of one sort that is not retired, by number.

        Args:
            sort: `wrench`, `adapter` or `tester`.

        Raises:
            TorquelogError: `argument` for another sort; and what storage brings.
        """
        with self._asking() as book:
            return _asked.tools(book, sort)

    def job(self, name: str) -> Job:
        """Tell how far a job is, and what holds it open.

        Raises:
            TorquelogError: `job-unknown`, `identifier-form`; and what storage brings.
        """
        with self._asking() as book:
            return _asked.job(book, name, self._moment)

    def jobs(self) -> tuple[str, ...]:
        """The names of the jobs that were open at the moment asked about, oldest first.

        Raises:
            TorquelogError: what storage brings.
        """
        with self._asking() as book:
            return _asked.jobs(book, self._moment)

    def trace(
        self,
        kind: str,
        name: str,
        *,
        since: datetime | str | None = None,
        until: datetime | str | None = None,
    ) -> Trace:
        """Follow what somebody or something tightened to where it is.

        Args:
            kind: `wrench`, `adapter`, `aircraft`, `assembly`, `lot`, `person`, `card` or `shop`.
            name: the number, registration, serial number, lot, id, card or station.
            since, until: the work that counts; `until` is not included.

        Raises:
            TorquelogError: `argument` for another kind, `tool-unknown`, `aircraft-unknown`, `assembly-unknown`,
                `ambiguous`, `person-unknown`, `card-unknown`, `station-unknown`, `identifier-form`, `time-form`; and what
                storage brings.
        """
        with self._asking() as book:
            start, end = (None if each is None else _moment(each, self.zone) for each in (since, until))
            return _asked.trace(book, kind, name, start, end, self._moment)

    def recalls(self) -> tuple[str, ...]:
        """The entries that opened the recalls on record at the moment asked about, oldest first.

        Raises:
            TorquelogError: what storage brings.
        """
        with self._asking() as book:
            return _asked.recalls_opened(book, self._moment)

    def recall(self, name: str) -> Recall:
        """Tell everything that a recall finds, each item judged by what is known now.

        Args:
            name: its number, `R-1`, or the entry that opened it.

        Raises:
            TorquelogError: `recall-unknown`, `ambiguous`; and what storage brings.
        """
        with self._asking() as book:
            return _asked.recall(book, name, self._moment)

    @contextmanager
    def _asking(self) -> Iterator[Book]:
        if self._book is None:
            raise TorquelogError("argument", CLOSED, hint="Open it again with torquelog.api.open_record")
        with _storage(self.path):
            yield self._book


@contextmanager
def _storage(path: str) -> Iterator[None]:
    """Whatever SQLite has to say is said as an error of ours."""
    try:
        yield
    except (sqlite3.Error, UnicodeDecodeError) as trouble:
        raise storage_error(trouble, path) from trouble


def _tidy(path: str) -> None:
    """Let SQLite take its empty files beside the record away: it does so for who may write, and is the last."""
    with suppress(TorquelogError, OSError):
        if os.path.getsize(path + "-wal") == 0:
            database.close(database.connect(path, "write", busy=0.0))


def _moment(at: datetime | str, zone: ZoneInfo) -> Moment:
    if isinstance(at, str):
        return clocks.parse_moment(at, zone)
    if at.tzinfo is None:
        raise TorquelogError(
            "time-form",
            f"{at} has no zone.",
            hint="Give the datetime its zone: tzinfo=record.zone",
        )
    return (at - clocks.EPOCH) // clocks.MILLISECOND
