"""`wrench withdraw`: a certificate that counts no longer."""

import click

from torquelog.cli.answer import Answer
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.recall_data import cause_data
from torquelog.cli.signing import open_for, signed_in
from torquelog.ledger.text import gate_text


@command(
    "withdraw",
    short="Withdraw a certificate of a wrench, which counts no longer.",
    examples=(
        Example(
            "torquelog wrench withdraw W-0391 C-2026-047 --why 'the laboratory called it back, letter 12'"
        ),
    ),
)
@click.argument("number", metavar="NUMBER")
@click.argument("certificate", metavar="CERTIFICATE")
@click.option("--why", metavar="TEXT", required=True, help="Who withdrew it, and why.")
def withdraw(context: Context, number: str, certificate: str, why: str) -> Answer:
    """From now on the wrench has no certificate, and is refused. What was done by it calls for a recall by itself;
    what was judged by it stays on record as it was judged.
    """
    from torquelog.book.recall_causes import causes_of
    from torquelog.facts.members import target
    from torquelog.quality import withdrawal

    reason, named = gate_text(why, "why", reason=True), gate_text(certificate, "certificate")
    with open_for(context, "write") as book:
        done = withdrawal.withdraw(book, signed_in(context, book), number, named, reason, sort="wrench")
        found = done.calibration
        causes = causes_of(book.connection, found.tool, {target(done.entry)})
        return Answer(
            headline=f"Certificate {found.certificate} of {found.tool} is withdrawn. On record as {done.entry}.",
            body=tuple(f"It calls for a recall: {each.text}" for each in causes),
            next=tuple(f"torquelog recall open --wrench {each.tool}" for each in causes),
            data={
                "entry": done.entry,
                "wrench": found.tool,
                "certificate": found.certificate,
                "pending": [cause_data(book, each) for each in causes],
            },
        )
