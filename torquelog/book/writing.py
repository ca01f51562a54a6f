"""Writing: inside one transaction facts are read, rules decide, entry and rows are written.

Nothing slow stands inside: no prompt, no derivation of a key, no search for alternatives. What `append` returns is
true once the transaction has been committed, which is when `Book.writing` ends.
"""

import os
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any, NamedTuple

from torquelog.book.authorisation import authorise
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.clock import Moment, from_utc_text, utc_text
from torquelog.errors import TorquelogError
from torquelog.facts import registry, stations
from torquelog.facts.rows import Mark
from torquelog.ledger import database, store
from torquelog.ledger.form import (
    FIRST_PREVIOUS,
    VERSION,
    Entry,
    digest,
    entry_text,
    parse_entry,
    reference,
)
from torquelog.ledger.keys import digest_message
from torquelog.rules.timing import Head, entry_time


class Appended(NamedTuple):
    """An entry just written.

    Attributes:
        reference: as people name it, `QHR-000123`.
        number: its number in this station's chain.
        recorded: the time it bears, in milliseconds since 1970 UTC.
        body: its body.
    """

    reference: str
    number: int
    recorded: Moment
    body: Mapping[str, Any]


class Tip(NamedTuple):
    """The end of the chain, as the next entry needs it: number and time of the head, and the digest of its text."""

    head: Head
    digest: str


class Writing:
    """The right to write, for the length of one transaction.

    Attributes:
        connection: for reading facts as they stand now.
        station: this file's own station code.
        recent: what was found before and still holds.
        tip: the end of the chain; nothing before its first entry.
    """

    def __init__(self, book: Book, connection: sqlite3.Connection) -> None:
        self.connection = connection
        self.station = book.station
        self.recent = book.recent
        self._book = book
        self._gap_hours: int | None = None
        self.tip: Tip | None = self.recent.head or _tip(connection, book.station)

    def time(self, *, release: bool = False) -> Moment:
        """The time that the next entry bears; raises `clock-behind` or `clock-ahead`."""
        if self._gap_hours is None:
            self._gap_hours = self.recent.ask(gap_hours, self.station)
        head = self.tip.head if self.tip else None
        return entry_time(
            self._book.clock.now(), head, self._gap_hours, clock_ok=self._book.clock_ok, release=release
        )

    def append(
        self,
        signer: Signer,
        kind: str,
        body: Mapping[str, Any],
        *,
        id: str | None = None,
        at: Moment | None = None,
    ) -> Appended:
        """Sign and write one entry and its rows.

        Args:
            signer: who signs, with which key.
            kind, body: what is recorded.
            id: 32 hex digits that a client gave the entry; random where it gave none.
            at: the time that `time` answered, where a judgement rests on it.

        Raises:
            TorquelogError: where the body does not keep to its kind or the signature would not count.
        """
        recorded = self.time(release=kind == "clock") if at is None else at
        registry.check(kind, body)
        authorise(self.connection, self.station, kind, signer.person, signer.key, recorded, body, self.recent)
        unchanged = kind == "reading" and self.recent.holds
        number = self.tip.head.number + 1 if self.tip else 1
        mark = Mark(self.station, number, recorded, recorded, signer.person, signer.key)
        self._write(signer, kind, body, id or os.urandom(16).hex(), mark)
        if unchanged:
            self.recent.pass_over(mark, body)
        return Appended(reference(self.station, number), number, recorded, body)

    def _write(self, signer: Signer, kind: str, body: Mapping[str, Any], entry_id: str, mark: Mark) -> None:
        entry = Entry(
            body=dict(body), id=entry_id, key=mark.key, kind=kind, number=mark.number,
            previous=self.tip.digest if self.tip else FIRST_PREVIOUS, recorded_at=utc_text(mark.recorded),
            signer=mark.signer, station=mark.station, version=VERSION,
        )  # fmt: skip
        text = entry_text(entry)
        own_digest = digest(text)
        signature = signer.sign(digest_message(own_digest))
        store.insert_entry(self.connection, text, mark.station, mark.number, entry_id, signature)
        registry.add_rows(self.connection, kind, mark, body)
        self.tip = Tip(Head(mark.number, mark.recorded), own_digest)

    def repeated(self, entry_id: str | None) -> Entry | None:
        """The entry of this chain that bears an id already, if any."""
        if entry_id is None:
            return None
        stored = store.entry_by_id(self.connection, self.station, entry_id)
        return parse_entry(stored.text) if stored else None

    def committed(self) -> None:
        """What was appended is on record."""
        self.recent.end(self.tip)


def gap_hours(connection: sqlite3.Connection, station: str) -> int:
    """After how many hours without an entry somebody has to vouch for the clock."""
    return stations.rules(connection, station).whole("gap-hours")


def _tip(connection: sqlite3.Connection, station: str) -> Tip | None:
    stored = store.head(connection, station)
    return Tip(_head_of(stored.text), digest(stored.text)) if stored else None


def _head_of(text: str) -> Head:
    entry = parse_entry(text)
    return Head(entry.number, from_utc_text(entry.recorded_at))


def clock_doubt(book: Book) -> TorquelogError | None:
    """The doubt to put to a person before anything is written after a long gap, or nothing."""
    head = store.head(book.connection, book.station)
    try:
        entry_time(
            book.clock.now(),
            _head_of(head.text) if head else None,
            gap_hours(book.connection, book.station),
            clock_ok=False,
            release=False,
        )
    except TorquelogError as doubt:
        return doubt if doubt.code == "clock-ahead" else None
    return None


@contextmanager
def writing(book: Book) -> Iterator[Writing]:
    """Hold the right to write; what was appended is on record when the block has ended without an error.

    Raises:
        TorquelogError: of the kinds that storage and time bring; after `commit-unclear` look the id up.
    """
    if not book.writable:
        raise TorquelogError("read-only", "This record was opened for reading only.")
    try:
        with database.transaction(book.connection):
            book.recent.begin()
            w = Writing(book, book.connection)
            yield w
    except BaseException:
        book.recent.forget()
        raise
    w.committed()
