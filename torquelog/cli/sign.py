"""`sign-in` and `sign-out`."""

from typing import TYPE_CHECKING, Final

import click

from torquelog.cli import ask, words
from torquelog.cli.answer import Answer, Remark
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.signing import by_passphrase, named, open_for
from torquelog.errors import TorquelogError

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.clock import Moment
    from torquelog.work.signing import SignedIn

DAY: Final = 24 * 3_600_000


@command(
    "sign-in",
    short="Sign in for your shift, on this terminal.",
    examples=(Example("torquelog sign-in TK --passphrase-stdin", stdin="nine apples on the wing\n"),),
    passphrase=True,
)
@click.argument("person", metavar="ID")
def sign_in(context: Context, person: str) -> Answer:
    """A sign-in counts on this terminal until the end of the shift, and ends when it lies unused for an hour. Signing
    in again is no error.
    """
    from torquelog.ledger.text import gate_identifier
    from torquelog.work.signing import sign_in as act

    who = gate_identifier(person, "a person")
    with open_for(context, "write") as book:
        make_room(context, book, who)
        found = act(book, by_passphrase(context, book, who))
        return signed_in(context, book, found)


def make_room(context: Context, book: "Book", person: str) -> None:
    """Ask whether somebody who is signed in here shall be signed out first."""
    from torquelog.work.signing import all_signed_in, sign_out

    if not context.can_ask:
        return
    for other in all_signed_in(book):
        if other.person != person:
            until = words.time(other.until, book.zone)
            question = f"{other.person} is signed in here until {until}. Sign {other.person} out?"
            if ask.yes_no(context, question, option="sign-out"):
                sign_out(book, other.person)


def signed_in(context: Context, book: "Book", found: "SignedIn") -> Answer:
    """The answer after a sign-in."""
    from torquelog.clock import offset_text
    from torquelog.ledger.form import reference

    until = f"{words.time_near(found.until, context.now, book.zone)}, {words.distance(found.until, found.at)}"
    roles = words.listing(found.roles) or "with no role"
    last = found.last and reference(found.last.station, found.last.number)
    stands = f"The record stands at {found.head}."
    if last and not found.resumed and last != found.head:
        stands += f" It still holds {last}, the last entry you saw here."
    remarks: tuple[Remark, ...] = ()
    if found.resumed:
        remarks = (
            Remark(
                "resumed",
                f"What you saw here as {last} is not in it any more: the record was put back to an older copy "
                f"and went on from there, as {found.resumed} says.",
            ),
        )
    body = [stands, *backup_reminder(book, context.now)]
    if "inspector" in found.roles:
        body.append("Inspections ask for your passphrase each time. That is meant so.")
    return Answer(
        headline=f"Signed in as {found.person}, {roles}, on this terminal until {until}.",
        body=tuple(body),
        next=("torquelog",),
        remarks=remarks,
        data={
            "entry": found.reference,
            "person": found.person,
            "name": found.name,
            "roles": list(found.roles),
            "until": offset_text(found.until, book.zone),
            "head": found.head,
            "last_seen": last,
        },
    )


def backup_reminder(book: "Book", now: "Moment") -> list[str]:
    """A line for whoever begins a shift, where the last backup is older than a day and the record is, too."""
    from torquelog.book.backup import last_backup
    from torquelog.clock import from_utc_text
    from torquelog.ledger import store
    from torquelog.ledger.form import parse_entry

    last = last_backup(book.identity)
    first = store.entry_at(book.connection, book.station, 1)
    began = from_utc_text(parse_entry(first.text).recorded_at) if first else now
    if now - (last.at if last else began) <= DAY:
        return []
    what = (
        f"The last backup is of {words.time_near(last.at, now, book.zone)}"
        if last
        else "No backup is known here"
    )
    return [f"{what}: torquelog backup FILE"]


@command("sign-out", short="Sign out on this terminal.", examples=(Example("torquelog sign-out"),))
def sign_out(context: Context) -> Answer:
    """Where several people are signed in, --as names one."""
    from torquelog.work.signing import sign_out as act

    with open_for(context, "write") as book:
        try:
            person, entry = act(book, named(context))
        except TorquelogError as error:
            if error.code not in ("sign-in-none", "sign-in-ended", "key-ended"):
                raise
            return Answer(
                headline=f"{error.what} There is nothing to sign out.", data={"person": None, "entry": None}
            )
        return Answer(
            headline=f"{person} is signed out. Entry {entry}.",
            next=(f"torquelog sign-in {person}",),
            data={"person": person, "entry": entry},
        )
