"""Trying out what would be written, on a private copy of the record, while others go on writing to the record itself.

Acts are carried out there as they would be, with every rule, and leave their rows for those that follow. Nothing is
signed. What was judged there may be put on record as it was judged, where nobody wrote meanwhile (`book.as_rehearsed`);
then the copy is thrown away.
"""

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from typing import Any, NamedTuple

from torquelog.book.authorisation import authorise
from torquelog.book.opening import Book, open_book
from torquelog.book.recent import Stamp, stamp_of
from torquelog.book.signer import Signer
from torquelog.book.writing import Writing
from torquelog.clock import Moment
from torquelog.facts import registry
from torquelog.facts.rows import Mark
from torquelog.ledger import database
from torquelog.rules.timing import Head


class Foreseen(NamedTuple):
    """An entry as it was rehearsed.

    Attributes:
        number: its number there.
        id: 32 hex digits.
        body: the canonical text of its body.
        until: up to which time of its recording, not including it, it would be judged the same.
    """

    number: int
    id: str
    body: str
    until: Moment


class Rehearsal(Writing):
    """Writes rows of facts as an entry would, and no entry.

    Attributes:
        copied: how the record stood when it was copied.
        began: the end of the chain when it began.
    """

    def __init__(self, book: Book, connection: sqlite3.Connection, copied: Stamp) -> None:
        super().__init__(book, connection)
        self.copied = copied
        assert self.tip is not None  # noqa: S101  what is rehearsed on is a copy of a record, which has a first entry
        self.began = self.tip

    def _write(self, signer: Signer, kind: str, body: Mapping[str, Any], entry_id: str, mark: Mark) -> None:
        registry.add_rows(self.connection, kind, mark, body)
        assert self.tip is not None  # noqa: S101  see `began`
        self.tip = self.tip._replace(head=Head(mark.number, mark.recorded))

    @property
    def now(self) -> Moment:
        """The time of the newest entry that was rehearsed."""
        assert self.tip is not None  # noqa: S101  see `began`
        return self.tip.head.recorded

    def forget(self) -> None:
        """Keep nothing of what was found so far, as a long list would fill the memory with it."""
        self.recent.forget()
        self.recent.begin()


@contextmanager
def rehearsal(book: Book) -> Iterator[tuple[Book, Rehearsal]]:
    """A copy of the record as it is now, and the right to try out acts on it; afterwards it is gone.

    Raises:
        TorquelogError: disk-full and the like, of the folder for temporary files.
    """
    folder = tempfile.mkdtemp(prefix="torquelog-")
    try:
        path = os.path.join(folder, "rehearsal.db")
        copied = stamp_of(book.connection)
        database.copy(book.connection, path)
        with (
            open_book(path, "write", book.clock, clock_ok=book.clock_ok) as copy,
            suppress(_Over),
            database.transaction(copy.connection),
        ):
            copy.recent.begin()
            yield copy, Rehearsal(copy, copy.connection, copied)
            raise _Over
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def demand_authority(book: Book, w: Writing, signer: Signer, kind: str) -> None:
    """Raise what stands against a signer's writing any entry of a kind now, before many of them are begun."""
    authorise(w.connection, book.station, kind, signer.person, signer.key, w.time(), {}, w.recent)


class _Over(Exception):  # noqa: N818  it is no error
    """Ends a rehearsal, so that its transaction is rolled back."""
