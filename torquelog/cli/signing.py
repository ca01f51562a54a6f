"""Who signs: the person signed in on this terminal, or a person who gives the passphrase for this one act."""

from collections.abc import Iterator
from contextlib import contextmanager
from time import sleep
from typing import TYPE_CHECKING, Final, Literal

from torquelog.cli.context import Context
from torquelog.errors import TorquelogError

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.book.signer import Signer

TRIES: Final = 5
"""How often a person on a terminal may type a passphrase."""

PAUSES: Final = (0, 2, 8, 15)
"""Seconds before the next try after the first, second, … wrong one."""

ORDINALS: Final = ("First", "Second", "Third", "Fourth")


@contextmanager
def open_for(context: Context, mode: Literal["read", "write"]) -> "Iterator[Book]":
    """The open record of this run; from here on the answer names its station and ledger.

    It stays open after the block: the end of the command closes it.

    Raises:
        TorquelogError: what `Context.book` raises; clock-ahead where somebody doubts the clock.
    """
    book = context.book(mode)
    if mode == "write":
        vouch_for_clock(context, book)
    yield book


def signed_in(context: Context, book: "Book") -> "Signer":
    """The person signed in on this terminal; `--as` names one where several are.

    Raises:
        TorquelogError: sign-in-none, sign-in-ended, sign-in-elsewhere, sign-in-unsafe, signer-ambiguous;
            older-copy, fork.
    """
    from torquelog.work.signing import signed_in as find

    try:
        return find(book, named(context))
    except TorquelogError as error:
        error.why = error.why or "Nothing was recorded."
        raise


def by_passphrase(context: Context, book: "Book", person: str | None = None) -> "Signer":
    """A person who gives the passphrase now; asked on a terminal, naming the signer, else read from a pipe.

    Args:
        context: the surroundings.
        book: the record; must not be held for writing.
        person: who shall sign; without one `--as` names the person, else whoever is signed in here.

    Raises:
        TorquelogError: needs-option, passphrase-wrong, person-unknown, not-enrolled, sign-in-none and the like.
    """
    from torquelog.book.enrolled import passphrase_key, person_named
    from torquelog.work.signing import demand_same_record

    signer = person or named(context) or who_signs(context, book)
    passphrase_key(book.connection, book.station, signer)
    demand_same_record(book, signer)
    return unlocked(context, book, signer, person_named(book.connection, signer).name)


def who_signs(context: Context, book: "Book") -> str:
    """Whoever is signed in here; else a person on the terminal says who signs.

    Raises:
        TorquelogError: signer-ambiguous, older-copy, fork; needs-option where nobody is signed in or asked.
    """
    from torquelog.cli import ask
    from torquelog.ledger.text import gate_identifier

    try:
        return signed_in(context, book).person
    except TorquelogError as error:
        if not error.code.startswith("sign-in-"):
            raise
        return ask.text(
            context, "Who signs (initials)", option="--as", what=f"{error.what} Who signs",
            read=lambda text: gate_identifier(text, "a person"),
        )  # fmt: skip


def unlocked(context: Context, book: "Book", person: str, name: str) -> "Signer":
    """Ask for a passphrase until it is the right one; without a terminal once."""
    from torquelog.cli import ask
    from torquelog.work.signing import unlock

    for wrong in range(1, TRIES + 1):
        passphrase = ask.secret(context, f"Passphrase for {person}, {name}")
        try:
            return unlock(book, person, passphrase)
        except TorquelogError as error:
            if error.code not in ("passphrase-wrong", "passphrase-short") or context.passphrase_stdin:
                raise
            if wrong == TRIES:
                raise refused(person) from None
        wait(context, person, wrong)
    raise refused(person)


def new_passphrase(context: Context, question: str) -> str:
    """Ask for a passphrase that somebody chooses now, twice on a terminal, until it is long enough.

    Raises:
        TorquelogError: needs-option, input-ended; passphrase-short and the like where nobody can be asked again.
    """
    from torquelog.cli import ask
    from torquelog.ledger.keys import demand_passphrase

    while True:
        passphrase = ask.secret(context, question, twice=True)
        try:
            demand_passphrase(passphrase)
        except TorquelogError as error:
            if context.passphrase_stdin:
                raise
            ask.say(context, f"{error.message} {error.hint}")
        else:
            return passphrase


def wait(context: Context, person: str, wrong: int) -> None:
    """Say that it was not the passphrase, and let the next try wait a little longer each time."""
    from torquelog.cli import ask

    seconds = PAUSES[wrong - 1]
    told = f" {ORDINALS[wrong - 1]} try: the next one is taken in {seconds} seconds." if seconds else ""
    ask.say(context, f"That is not {person}'s passphrase.{told}")
    if seconds:
        sleep(seconds)


def refused(person: str) -> TorquelogError:
    """The error after too many wrong passphrases."""
    return TorquelogError(
        "passphrase-wrong",
        f"That was not {person}'s passphrase, {TRIES} times. Nothing was recorded.",
        hint="A lost passphrase cannot be looked up: quality can give a new one-time code.",
    )


def named(context: Context) -> str | None:
    """The person whom `--as` names, as kept, or nobody."""
    if not context.as_person:
        return None
    from torquelog.ledger.text import gate_identifier

    return gate_identifier(context.as_person, "a person")


def vouch_for_clock(context: Context, book: "Book") -> None:
    """Ask whether the clock is right after a long gap, where somebody is there to be asked.

    Elsewhere `--clock-ok` says so; without it nothing is recorded (clock-ahead).
    """
    book.clock_ok = book.clock_ok or context.clock_ok
    if book.clock_ok or not context.can_ask:
        return
    from torquelog.book.writing import clock_doubt
    from torquelog.cli import ask

    doubt = clock_doubt(book)
    if doubt is not None:
        ask.say(context, doubt.what)
        book.clock_ok = ask.yes_no(context, "Is this computer's clock right?", option="--clock-ok")
