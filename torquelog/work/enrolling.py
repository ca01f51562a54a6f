"""Choosing a passphrase of one's own with the one-time code that quality gave. Nobody need be signed in."""

from typing import NamedTuple

from torquelog.book.enrolled import person_named
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import writing
from torquelog.errors import TorquelogError
from torquelog.facts import people
from torquelog.ledger import keys


class Enrolled(NamedTuple):
    """A person with a key of their own: the entry, who, the roles held, and the key as a signer."""

    reference: str
    person: str
    name: str
    roles: tuple[str, ...]
    signer: Signer


def enrol(book: Book, person: str, code: str, passphrase: str, *, scrypt_n: int = keys.LARGEST_N) -> Enrolled:
    """Let a person's passphrase count here from now on. Slow on purpose.

    Args:
        book: the record, open for writing.
        person: who enrols.
        code: the one-time code, as it was given.
        passphrase: the person's own, 12 characters or more; never stored.
        scrypt_n: cost of the derivation, 2^15 or 2^16.

    Raises:
        TorquelogError: person-unknown, code-form, code-wrong, key-ended, passphrase-short, passphrase-is-code.
    """
    seed = keys.code_seed(code)
    number = code_number(book, person, seed)
    _demand_other(passphrase, seed)
    kdf = keys.new_kdf(scrypt_n)
    own = keys.passphrase_seed(passphrase, kdf)
    public = keys.public_key(own)
    possession = keys.sign(own, keys.possession_message(book.identity, person, public))
    body = {"person": person, "public_key": public, "kdf": kdf.members(), "possession": possession}
    with writing(book) as w:
        appended = w.append(Signer(person, number, "code", seed), "key", body)
        grants = people.grants(w.connection, w.station, person, appended.recorded)
    name = person_named(book.connection, person).name
    signer = Signer(person, appended.number, "passphrase", own)
    return Enrolled(appended.reference, person, name, tuple(grant.role for grant in grants), signer)


def code_number(book: Book, person: str, seed: bytes) -> int:
    """The number of the entry that introduced a person's open code, where the seed is that code's.

    Raises:
        TorquelogError: person-unknown; code-wrong, where no code is open or it is another one; key-ended, where
            the code's time has passed.
    """
    person_named(book.connection, person)
    key = people.open_code(book.connection, book.station, person)
    if key is None or key.public_key != keys.public_key(seed):
        raise TorquelogError(
            "code-wrong",
            f"That is not the code that {person} was given last, or it was used already.",
            why="A code works once, and a newer one ends it.",
            hint="Quality can give a new one: torquelog person code " + person,
        )
    assert key.until is not None  # noqa: S101  every code has its end
    if book.clock.now() >= key.until:
        raise TorquelogError(
            "key-ended",
            f"The code of {person} has ended.",
            why="A code works for 72 hours.",
            hint="Quality can give a new one: torquelog person code " + person,
        )
    return key.number


def _demand_other(passphrase: str, seed: bytes) -> None:
    """Raise where somebody takes the code, which others have seen, as the passphrase."""
    try:
        same = keys.code_seed(passphrase) == seed
    except TorquelogError:
        return
    if same:
        raise TorquelogError(
            "passphrase-is-code",
            "The code cannot be the passphrase: others have seen it.",
            hint="Choose your own.",
        )
