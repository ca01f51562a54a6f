"""A record on disk for tests of acts: one station, its first person signed in, a clock that the test sets."""

from functools import cache
from pathlib import Path
from typing import NamedTuple

from torquelog.book.founding import found_station
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import writing
from torquelog.clock import Moment, SetClock, from_utc_text, offset_text
from torquelog.ledger import keys

PASSPHRASE = "correct horse battery staple"
ZONE = "Europe/Lisbon"
NOON: Moment = from_utc_text("2026-11-25T12:00:00.000Z")
HOUR: Moment = 3_600_000
DAY: Moment = 24 * HOUR


class Kept(NamedTuple):
    """An open record with its clock and its first person's two signers."""

    book: Book
    clock: SetClock
    quality: Signer
    signer: Signer


@cache
def _known_seed(passphrase: str, kdf: keys.Kdf) -> bytes:
    return _derive(passphrase, kdf)


_derive = keys.passphrase_seed


def new_book(
    folder: Path,
    *,
    clock: SetClock | None = None,
    station: str = "QHR",
    person: str = "TK",
    name: str = "Tove Kallas",
    policies: dict[str, str] | None = None,
) -> Kept:
    """Begin a record in `folder`; the first person holds every role and is signed in for 16 hours.

    The clock stands at noon UTC of 25 Nov 2026 unless the test hands one in; gaps are vouched for.
    """
    clock = clock or SetClock(NOON)
    book, quality = found_station(
        folder / f"{station.lower()}.db", clock, station=station, zone=ZONE, policies=policies or {},
        person=person, name=name, licence=None, passphrase=PASSPHRASE, scrypt_n=2**15,
    )  # fmt: skip
    book.clock_ok = True
    return Kept(book, clock, quality, sign_in(book, quality))


def sign_in(book: Book, by: Signer, *, hours: int = 16) -> Signer:
    """Sign a person in; gives the signer of that sign-in."""
    seed = keys.new_seed()
    with writing(book) as w:
        until = offset_text(w.time() + hours * HOUR, book.zone)
        entry = w.append(by, "sign-in", {"public_key": keys.public_key(seed), "until": until})
    return Signer(by.person, entry.number, "sign-in", seed)


def enrol(book: Book, quality: Signer, person: str, name: str, roles: list[str]) -> tuple[Signer, Signer]:
    """Add and enrol a person; gives their signers by passphrase and by sign-in."""
    code_seed, kdf = keys.new_seed(), keys.new_kdf(2**15)
    seed = _derive(f"{PASSPHRASE} of {person}", kdf)
    with writing(book) as w:
        until = offset_text(w.time() + 72 * HOUR, book.zone)
        body = {"person": person, "name": name, "roles": roles, "code_until": until}
        added = w.append(quality, "person", {**body, "code_key": keys.public_key(code_seed)})
    public = keys.public_key(seed)
    with writing(book) as w:
        proof = keys.sign(seed, keys.possession_message(book.identity, person, public))
        key_body = {"person": person, "public_key": public, "kdf": kdf.members(), "possession": proof}
        key = w.append(Signer(person, added.number, "code", code_seed), "key", key_body)
    own = Signer(person, key.number, "passphrase", seed)
    return own, sign_in(book, own)
