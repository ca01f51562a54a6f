"""Backups: a copy of the record as it is at one moment, checked before it bears its name.

When the last one was made is noted beside what each person last saw, outside the record.
"""

import os
import sqlite3
from contextlib import closing, suppress
from typing import Final, NamedTuple

from torquelog.book.exporting import Part, parts, size
from torquelog.book.format import SCHEMA_DIGEST
from torquelog.book.opening import Book
from torquelog.book.walking import Walk
from torquelog.clock import Moment, from_utc_text, utc_text
from torquelog.counted import Progress, counted
from torquelog.errors import TorquelogError
from torquelog.ledger import database, placing, private, store
from torquelog.ledger.folders import data_folder
from torquelog.ledger.form import canonical, strict_json
from torquelog.ledger.storage import storage_error

FOLDER: Final = "backups"


class BackedUp(NamedTuple):
    """A backup: where it lies, what it holds of each chain, and how many bytes it has."""

    path: str
    parts: tuple[Part, ...]
    size: int


class LastBackup(NamedTuple):
    """When the last backup of a record was made from this account, and where it was put."""

    at: Moment
    path: str


def backup(book: Book, path: str, *, replace: bool = False, progress: Progress | None = None) -> BackedUp:
    """Copy the record to a file of its own, check the copy, and give it its name.

    Others may go on reading and writing. Checked are the file itself and every entry's form, link and signature.

    Args:
        book: the record.
        path: where the backup shall lie.
        replace: whether a file that lies there may give way.
        progress: told how many entries of the copy were checked.

    Raises:
        TorquelogError: live-file; exists; what does not hold in the copy; and what storage brings.
    """
    place = os.path.abspath(path)
    _demand_other_file(book, place)
    placing.demand_free(place, replace=replace)
    aside = f"{place}.{os.urandom(8).hex()}.new"
    try:
        database.copy(book.connection, aside)
        held = checked(aside, progress)
        copied = os.stat(aside).st_size
        placing.give_name(aside, place, replace=replace)
    except OSError as trouble:
        raise storage_error(trouble, place) from trouble
    finally:
        placing.discard(aside)
    with suppress(TorquelogError, private.UnsafeError):  # a note that cannot be kept spoils no backup
        _note(book, place)
    return BackedUp(place, held, copied)


def checked(path: str, progress: Progress | None = None) -> tuple[Part, ...]:
    """What a record that lies still holds, after its file and every entry's form, link and signature were checked.

    Raises:
        TorquelogError: damaged, entry-form, chain, signature and the like.
    """
    with closing(database.connect(path, "read", schema_digest=SCHEMA_DIGEST)) as connection:
        _demand_whole(connection, path)
        held = parts(connection)
        walks = {station: Walk(station) for station in store.stations(connection)}
        every = (
            (walk, stored) for station, walk in walks.items() for stored in store.entries(connection, station)
        )
        for walk, stored in counted(every, size(held), progress):
            walk.step(stored.text, stored.signature)
        return held


def last_backup(ledger: str) -> LastBackup | None:
    """The last backup of a record that this account noted, or nothing.

    Args:
        ledger: the record's identity, 64 hex digits.
    """
    try:
        contents = private.read(os.path.join(data_folder(), FOLDER), ledger)
        members = strict_json((contents or b"").decode())
        return LastBackup(from_utc_text(members["at"]), str(members["path"]))
    except (TorquelogError, private.UnsafeError, UnicodeDecodeError, KeyError, TypeError):
        return None


def _note(book: Book, place: str) -> None:
    members = {"at": utc_text(book.clock.now()), "path": place}
    private.replace(os.path.join(data_folder(), FOLDER), book.identity, canonical(members).encode())


def _demand_other_file(book: Book, place: str) -> None:
    own = os.path.realpath(book.path)
    live = {os.path.realpath(own + ending) for ending in ("", *placing.BESIDE)}
    if os.path.realpath(place) in live or _same_file(book.path, place):
        raise TorquelogError(
            "live-file",
            f"{place} is the record itself.",
            why="A backup on top of it would be none.",
            hint="Name another file, best on another disk: torquelog backup FILE",
        )


def _same_file(one: str, other: str) -> bool:
    with suppress(OSError):
        return os.path.samefile(one, other)
    return False


def _demand_whole(connection: sqlite3.Connection, path: str) -> None:
    (first,) = connection.execute("PRAGMA integrity_check(1)").fetchone()
    if first != "ok":
        raise TorquelogError("damaged", f"The file at {path} is damaged.", why=f"SQLite says: {first}.")
