"""`clock`: going on after a time of the future came onto the record."""

import click

from torquelog.cli import words
from torquelog.cli.answer import Answer
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.signing import by_passphrase, open_for


@command(
    "release",
    short="Go on where the last entry bears a time of the future.",
    examples=(
        Example(
            "torquelog clock release --why 'the clock battery was changed' --passphrase-stdin",
            "here the last entry bears no such time",
            exit=2,
            stdin="nine apples on the wing\n",
        ),
    ),
    passphrase=True,
)
@click.option("--why", metavar="TEXT", required=True, help="How that time came onto the record.")
def release(context: Context, why: str) -> Answer:
    """Quality does this, once the computer's clock is right. It is the one entry that may step back in time. It
    revives nothing: sign-ins and codes of before end with it, and what was refused stays refused.
    """
    from torquelog.clock import offset_text
    from torquelog.ledger.text import gate_text
    from torquelog.quality.station import release_clock

    reason = gate_text(why, "the reason", reason=True)
    with open_for(context, "write") as book:
        found = release_clock(book, by_passphrase(context, book), reason)
        was = words.day_and_time(found.head, book.zone)
        return Answer(
            headline=f"The record goes on from {words.day_and_time(found.now, book.zone)}. Entry {found.reference}.",
            body=(f"The entry before it bears {was}. It stays as it is.", "Everybody has to sign in again."),
            next=("torquelog sign-in ID",),
            data={
                "entry": found.reference,
                "head": offset_text(found.head, book.zone),
                "now": offset_text(found.now, book.zone),
            },
        )
