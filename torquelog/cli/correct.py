"""`torquelog correct` and `torquelog confirm`."""

import click

from torquelog.cli import recorded
from torquelog.cli.answer import Answer, Remark
from torquelog.cli.asked import parse_fastener
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.signing import by_passphrase, signed_in
from torquelog.ledger.form import parse_reference
from torquelog.ledger.text import gate_identifier, gate_text
from torquelog.quality import confirm as confirming
from torquelog.rules.sayings import own_confirmation
from torquelog.torque.units import parse_torque
from torquelog.work import correct as correcting


@command(
    "correct",
    short="Strike a mistaken entry, and record a reading again.",
    examples=(
        Example("torquelog correct QHR-000010 --why 'typed the wrong nut' --fastener tie-bolt:8"),
        Example("torquelog correct QHR-000010 --why 'not done at all'", "only strikes it"),
    ),
    passphrase=True,
)
@click.argument("entry")
@click.option("--why", metavar="TEXT", required=True, help="The reason.")
@click.option("--reading", metavar="TORQUE", help="What was set or read in truth.")
@click.option("--wrench", metavar="NUMBER", help="The wrench in truth.")
@click.option("--fastener", metavar="GROUP:N", help="The fastener in truth.")
@click.option("--as-quality", is_flag=True, help="Sign by passphrase: somebody else's entry, by quality.")
def correct(
    context: Context,
    entry: str,
    why: str,
    reading: str | None,
    wrench: str | None,
    fastener: str | None,
    as_quality: bool,
) -> Answer:
    """Nothing is erased: the entry is struck, and a new one bears the time of the struck one.

    One's own entry is struck by whoever is signed in; somebody else's takes quality's passphrase.
    """
    book = context.book("write")
    name = entry.strip().upper()
    parse_reference(name)
    change = correcting.Change(
        parse_torque(reading) if reading else None,
        gate_identifier(wrench, "wrench") if wrench else None,
        parse_fastener(fastener) if fastener else None,
    )
    reason = gate_text(why, "why", reason=True)
    signer = by_passphrase(context, book) if as_quality else signed_in(context, book)
    done = correcting.correct(book, signer, name, reason, change)
    again = recorded.data_of(book, done.reading) if done.reading else None
    waits = (
        " It takes away what left the fastener open, so a second person has to confirm it."
        if done.awaits
        else ""
    )
    return Answer(
        headline=f"{name} is struck, by {done.strike}.{waits}",
        facts=(("In its place", f"{done.reading.reference}, {done.reading.outcome}"),)
        if done.reading
        else (),
        next=(f"torquelog confirm {done.strike} --why REASON" if done.awaits else "torquelog job list",),
        data={
            "struck": name,
            "entry": done.strike,
            "awaits": done.awaits,
            "recorded": again,
        },
        exit=recorded.EXITS[done.reading.outcome] if done.reading else 0,
    )


@command(
    "confirm",
    short="Confirm an entry that waits for a second person.",
    examples=(
        Example(
            "torquelog confirm QHR-000014 --why 'seen on the paper card' --passphrase-stdin",
            stdin="nine apples on the wing\n",
        ),
    ),
    passphrase=True,
)
@click.argument("entry")
@click.option("--why", metavar="TEXT", required=True, help="What the confirmation rests on.")
def confirm(context: Context, entry: str, why: str) -> Answer:
    """An inspector or quality, who neither did the work nor signed the entry, gives the passphrase.

    While nobody else here holds either role, the same person may do it; every answer says so then.
    """
    book = context.book("write")
    name = entry.strip().upper()
    parse_reference(name)
    reason = gate_text(why, "why", reason=True)
    signer = by_passphrase(context, book)
    done = confirming.confirm(book, signer, name, reason)
    own = (Remark("own-confirmation", own_confirmation(*parse_reference(name))),) if done.own else ()
    return Answer(
        headline=f"{name} is confirmed, by {done.reference}.",
        remarks=own,
        next=("torquelog job list",),
        data={"entry": done.reference, "confirmed": name, "own": done.own},
    )
