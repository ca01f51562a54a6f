"""Signing in and out, and a signer made from a passphrase.

A passphrase opens a key of its owner's; the key signs the sign-in, and the acts that ask for the passphrase each
time. Deriving it takes a fifth of a second, so it is done before the record is held for writing.
"""

import json
from contextlib import suppress
from typing import NamedTuple

from torquelog.book.opening import Book
from torquelog.book.sign_ins import HOUR, LONGEST_HOURS, introduce
from torquelog.book.signer import Signer
from torquelog.book.writing import writing
from torquelog.clock import Moment
from torquelog.errors import TorquelogError
from torquelog.facts import people, stations
from torquelog.ledger import keys, seen, signin, store
from torquelog.ledger.form import digest, reference
from torquelog.ledger.seen import Seen
from torquelog.ledger.signin import SignIn

MINUTE: Moment = 60_000


class SignedIn(NamedTuple):
    """A sign-in.

    Attributes:
        reference: its entry.
        person, name: who.
        roles: held now.
        at, until: its beginning and its end, in milliseconds since 1970 UTC.
        head: the entry at which the record stood before, as `QHR-000123`.
        last: what the person saw last here, which the record still holds; nothing the first time.
        resumed: where the record went on from an older copy since then, the entry that says so.
        signer: the person with the fresh key.
    """

    reference: str
    person: str
    name: str
    roles: tuple[str, ...]
    at: Moment
    until: Moment
    head: str
    last: Seen | None
    resumed: str
    signer: Signer


def unlock(book: Book, person: str, passphrase: str) -> Signer:
    """A signer by passphrase, checked against the public key on record. Slow on purpose.

    Args:
        book: the record; not held for writing meanwhile.
        person: whose passphrase it is.
        passphrase: as it was typed.

    Raises:
        TorquelogError: passphrase-wrong, passphrase-short, person-unknown, not-enrolled.
    """
    from torquelog.book.enrolled import passphrase_key

    key = passphrase_key(book.connection, book.station, person)
    kdf = keys.parse_kdf(json.loads(key.kdf or "null"))
    seed = keys.unlock(passphrase, kdf, key.public_key, person)
    return Signer(person, key.number, key.level, seed)


def sign_in(book: Book, signer: Signer) -> SignedIn:
    """Sign a person in for a shift, on this terminal; an earlier sign-in of theirs here is replaced.

    Args:
        book: the record, open for writing.
        signer: the person, by passphrase.

    Raises:
        TorquelogError: damaged, chain; older-copy, fork; sign-in-unsafe; and what writing raises.
    """
    from torquelog.book.soundness import demand_sound

    demand_sound(book)
    last, resumed = demand_same_record(book, signer.person)
    with writing(book) as w:
        head = store.head(w.connection, w.station)
        fresh = introduce(w, signer)
        grants = people.grants(w.connection, w.station, signer.person, fresh.at)
    kept = SignIn(signer.person, book.station, fresh.number, fresh.seed, fresh.until, book.clock.now())
    signin.write(signin.place(book.identity), kept)
    remember(book, signer.person)
    found = people.person(book.connection, signer.person)
    return SignedIn(
        fresh.reference, signer.person, found.name if found else signer.person,
        tuple(grant.role for grant in grants), fresh.at, fresh.until,
        reference(book.station, head.number) if head else "", last, resumed,
        Signer(signer.person, fresh.number, "sign-in", fresh.seed),
    )  # fmt: skip


def signed_in(book: Book, person: str | None = None) -> Signer:
    """Whoever is signed in on this terminal, ready to sign.

    Args:
        book: the record.
        person: whom `--as` names; nobody where one alone is signed in.

    Raises:
        TorquelogError: sign-in-none, sign-in-ended, sign-in-elsewhere, sign-in-unsafe, signer-ambiguous;
            older-copy, fork.
    """
    at = signin.place(book.identity)
    now = book.clock.now()
    idle = stations.rules(book.connection, book.station).whole("idle-minutes") * MINUTE
    found = signin.choose(at, person, now, idle=idle, zone=book.zone)
    demand_same_record(book, found.person)
    signin.touch(at, found, now)
    with suppress(TorquelogError):  # a note that cannot be kept is no reason to keep no record
        remember(book, found.person)
    return Signer(found.person, found.key, "sign-in", found.seed)


def all_signed_in(book: Book) -> list[SignIn]:
    """Everybody whose sign-in counts on this terminal now, by id."""
    at = signin.place(book.identity)
    idle = stations.rules(book.connection, book.station).whole("idle-minutes") * MINUTE
    found = []
    for person in signin.people(at):
        with suppress(TorquelogError):
            found.append(signin.read(at, person, book.clock.now(), idle=idle, zone=book.zone))
    return found


def sign_out(book: Book, person: str | None = None) -> tuple[str, str]:
    """Sign a person out: the key signs nothing after this, and its file is removed whatever happens.

    Args:
        book: the record, open for writing.
        person: who; nobody where one alone is signed in.

    Returns:
        The person, and the entry.

    Raises:
        TorquelogError: as `signed_in`; and what writing raises.
    """
    at = signin.place(book.identity)
    found = signin.choose(at, person, book.clock.now(), idle=LONGEST_HOURS * HOUR, zone=book.zone)
    signer = Signer(found.person, found.key, "sign-in", found.seed)
    try:
        with writing(book) as w:
            appended = w.append(signer, "sign-out", {"sign_in": reference(found.station, found.key)})
    finally:
        signin.remove(at, found.person)
    with suppress(TorquelogError):
        remember(book, found.person)
    return found.person, appended.reference


def demand_same_record(book: Book, person: str) -> tuple[Seen | None, str]:
    """What a person saw last of this record; raises where the record does not hold it any more.

    A record that was put back and says so, by an entry of kind `resumed`, may lack what came after it.

    Returns:
        What was seen, or nothing; and the entry by which the record went on from an older copy since, or "".

    Raises:
        TorquelogError: older-copy, fork, memory-unsafe.
    """
    last = seen.last_seen(book.identity, person)
    if last is None or last.station != book.station:
        return None, ""

    def digest_of(number: int) -> str | None:
        stored = store.entry_at(book.connection, book.station, number)
        return digest(stored.text) if stored else None

    head = store.head(book.connection, book.station)
    try:
        seen.still_holds(last, person, head.number if head else 0, digest_of)
    except TorquelogError:
        resumed = stations.resumed_after(book.connection, book.station, last.number)
        if resumed is None:
            raise
        return last, reference(book.station, resumed)
    return last, ""


def remember(book: Book, person: str) -> None:
    """Note for a person where the record stands now."""
    head = store.head(book.connection, book.station)
    if head is not None:
        note = Seen(book.station, head.number, digest(head.text), book.clock.now())
        seen.remember(book.identity, person, note)
