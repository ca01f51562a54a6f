"""Putting a backup back: verified first, the file it replaces kept, and said on record how the chain goes on.

A chain that goes on from an older copy forks where the newer file is still in use somewhere. So either quality
says on record that it is gone, or the copy goes on under a new station code and holds the old chain beside it.
"""

import os
import sqlite3
from contextlib import closing
from typing import NamedTuple

from torquelog.book import exporting
from torquelog.book.format import SCHEMA_DIGEST
from torquelog.book.founding import found_station
from torquelog.book.opening import Book, open_book
from torquelog.book.rebuilding import kept_name
from torquelog.book.sign_ins import introduce
from torquelog.book.signer import Signer
from torquelog.book.takein import take_in
from torquelog.book.verification import verify
from torquelog.book.writing import writing
from torquelog.clock import Clock
from torquelog.counted import Progress
from torquelog.errors import TorquelogError
from torquelog.facts import stations
from torquelog.ledger import database, keys, placing, store
from torquelog.ledger.form import digest, reference
from torquelog.ledger.storage import storage_error
from torquelog.ledger.store import Head


class Restored(NamedTuple):
    """A record put back.

    Attributes:
        path: where it lies.
        station: its own station now.
        head: the entry at which the backup ended.
        reference: the entry by which the record goes on.
        kept: where the file is kept that lay there before, or "".
    """

    path: str
    station: str
    head: str
    reference: str
    kept: str


class Restoring:
    """A backup on its way back: verified and copied beside its place, not yet under its name.

    Attributes:
        path: where it shall lie.
        lost: what the record that lies there holds beyond the backup, "" or "QHR-000121 to QHR-000174".
        book: the copy, open for writing.
    """

    def __init__(self, backup: str, path: str, clock: Clock, progress: Progress | None = None) -> None:
        """Verify a backup and copy it; `progress` is told how many entries were verified.

        Raises:
            TorquelogError: what does not hold in it; and what storage brings.
        """
        self.path = os.path.abspath(path)
        self._clock = clock
        self._aside = f"{self.path}.{os.urandom(8).hex()}.restored"
        try:
            with closing(database.connect(backup, "read", schema_digest=SCHEMA_DIGEST)) as source:
                verified(source, backup, progress)
                database.copy(source, self._aside)
            self.book = open_book(self._aside, "write", clock)
        except BaseException:
            placing.discard(self._aside)
            raise
        self._head = _head(self.book.connection, self.book.station)
        self.lost = _beyond(self.book, self._head.number, self.path)

    def go_on(self, signer: Signer, why: str) -> Restored:
        """Go on with the same chain: quality says that the newer file is gone for good.

        Args:
            signer: quality, by the passphrase on record in the backup.
            why: what became of the newer file.
        """
        body = {"head": str(self._head.number), "digest": digest(self._head.text), "why": why}
        with writing(self.book) as w:
            appended = w.append(signer, "resumed", body)
        self.book.close()
        return self._put(self._aside, self.book.station, appended.reference)

    def begin_anew(
        self,
        *,
        station: str,
        zone: str,
        person: str,
        name: str,
        passphrase: str,
        why: str,
        scrypt_n: int = keys.LARGEST_N,
    ) -> Restored:
        """Go on under a new station code; the chains of the backup lie beside the new one and count there.

        Args:
            station: the new code.
            zone: the station's time zone.
            person, name: the new chain's first person, who holds every role there.
            passphrase: the first person's.
            why: the reason.
            scrypt_n: cost of the derivation.

        Raises:
            TorquelogError: station-held, where the backup holds a chain of that code.
        """
        if station in store.stations(self.book.connection):
            raise TorquelogError(
                "station-held",
                f"The backup holds a chain {station} already.",
                hint="Choose a code that was never used.",
            )
        anew = f"{self._aside}.anew"
        try:
            book, signer = found_station(
                anew, self._clock, station=station, zone=zone, policies={}, person=person, name=name,
                licence=None, passphrase=passphrase, scrypt_n=scrypt_n,
            )  # fmt: skip
            with book:
                last = _hold(book, signer, self.book, why)
            return self._put(anew, station, last)
        finally:
            placing.discard(anew)
            self.abandon()

    def abandon(self) -> None:
        """Leave everything as it was."""
        self.book.close()
        placing.discard(self._aside)

    def _put(self, finished: str, station: str, last: str) -> Restored:
        """Give the finished file its name; what lay there is kept under another."""
        kept = kept_name(self.path, self._clock)
        try:
            replaced = database.retire(self.path, kept)
            placing.give_name(finished, self.path)
        except OSError as trouble:
            raise storage_error(trouble, self.path) from trouble
        head = reference(self.book.station, self._head.number)
        return Restored(self.path, station, head, last, kept if replaced else "")


def _hold(book: Book, signer: Signer, backup: Book, why: str) -> str:
    """Take a backup's chains into a new record, and let count there what counted in the backup."""
    with writing(book) as w:
        fresh = introduce(w, signer)
    crib = Signer(signer.person, fresh.number, "sign-in", fresh.seed)
    source = backup.connection
    taken = take_in(book, crib, exporting.lines(source, exporting.parts(source)))
    last = ""
    for each in taken:
        if each.station == backup.station or stations.accepted(source, backup.station, each.station):
            body = {"code": each.station, "identity": each.identity, "why": why}
            with writing(book) as w:
                last = w.append(signer, "station-accepted", body).reference
    return last


def _head(connection: sqlite3.Connection, station: str) -> Head:
    head = store.head(connection, station)
    assert head is not None  # noqa: S101  an open book has its first entry
    return head


def _beyond(book: Book, through: int, path: str) -> str:
    """The entries of the book's own chain after `through` that the record at a path holds, if it can be read."""
    try:
        with closing(database.connect(path, "read")) as connection:
            station = stations.station(connection, book.station)
            head = store.head(connection, book.station)
    except (TorquelogError, sqlite3.Error):
        return ""
    if station is None or station.identity != book.identity or head is None or head.number <= through:
        return ""
    first, last = reference(book.station, through + 1), reference(book.station, head.number)
    return first if first == last else f"{first} to {last}"


def verified(source: sqlite3.Connection, path: str, progress: Progress | None = None) -> str:
    """The own station of a backup in which everything holds.

    Raises:
        TorquelogError: not-a-ledger, or the code of what does not hold.
    """
    home = store.own_station(source)
    if home is None:
        raise TorquelogError("not-a-ledger", f"{path} holds no station's record.")
    report = verify(source, home, progress)
    if not report.holds:
        first = report.findings[0]
        raise TorquelogError(
            first.code,
            f"{path} does not hold{f' at {first.entry}' if first.entry else ''}: {first.message}",
            why="Nothing was put back.",
            hint="Look for another backup.",
        )
    return home
