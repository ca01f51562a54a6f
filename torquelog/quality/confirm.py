"""Confirming: a second person vouches for an entry whose earlier time, or whose strike, changed a verdict."""

import sqlite3
from typing import NamedTuple

from torquelog.book.entries import the_entry
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import writing
from torquelog.errors import TorquelogError
from torquelog.facts import people, strikes
from torquelog.ledger.form import Entry
from torquelog.rules.authority import second_person


class Confirmed(NamedTuple):
    """A confirmation on record: its entry, the entry it confirms, and whether its own performer gave it."""

    reference: str
    entry: str
    own: bool


def confirm(book: Book, signer: Signer, name: str, why: str) -> Confirmed:
    """Confirm an entry that awaits a second person.

    Args:
        book: the record.
        signer: an inspector or quality, by passphrase, who neither performed nor signed it.
        name: the entry, `QHR-000123`.
        why: what the confirmation rests on.

    Raises:
        TorquelogError: `entry-unknown`, `not-awaiting`, `needs-another`, or what signing raises.
    """
    with writing(book) as w:
        entry = the_entry(w.connection, name)
        if "awaits" not in entry.body:
            raise TorquelogError("not-awaiting", f"{name} does not wait for anybody. Nothing was recorded.")
        if strikes.confirmed(w.connection, entry.station, entry.number):
            raise TorquelogError("not-awaiting", f"{name} is confirmed already. Nothing was recorded.")
        now = w.time()
        holders = _holders(w.connection, w.station, now)
        own = second_person(signer.person, _involved(w.connection, entry), holders, why, "own-confirmation")
        body = {"entry": name, "why": why} | ({"own": "yes"} if own else {})
        appended = w.append(signer, "confirmation", body, at=now)
    return Confirmed(appended.reference, name, bool(own))


def _involved(connection: sqlite3.Connection, entry: Entry) -> frozenset[str]:
    """Who signed or performed what is to be confirmed; for a strike, what it takes away as well."""
    people_of = {entry.signer, entry.body.get("performed_by", entry.signer)}
    if entry.kind == "strike":
        people_of |= _involved(connection, the_entry(connection, entry.body["entry"]))
    return frozenset(people_of)


def _holders(connection: sqlite3.Connection, station: str, moment: int) -> list[str]:
    return sorted(
        {
            *people.holders(connection, station, "inspector", moment),
            *people.holders(connection, station, "quality", moment),
        }
    )
