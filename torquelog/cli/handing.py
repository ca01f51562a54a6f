"""`job hand-over` and `job take-over`: a job changes hands, with what is open in it."""

from typing import TYPE_CHECKING

import click

from torquelog.cli import carry, job_text
from torquelog.cli.answer import Answer, Json, Remark
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.signing import open_for, signed_in
from torquelog.ledger.text import gate_identifier, gate_text

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.work.handing import Handed


@command(
    "hand-over",
    short="Hand a job over to somebody else.",
    examples=(Example("torquelog job hand-over J-5 --to TK --why 'end of shift'"),),
)
@click.argument("job", metavar="JOB")
@click.option("--to", metavar="PERSON", required=True, help="Who is to take it over.")
@click.option("--why", metavar="TEXT", help="What is to be said.")
def hand_over(context: Context, job: str, to: str, why: str | None) -> Answer:
    """What is open is put on record per fastener and pass. The job is held until it is taken over."""
    from torquelog.work import handing

    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        said = gate_text(why, "why", reason=True) if why else None
        done = handing.hand_over(book, signer, job, gate_identifier(to, "a person"), why=said)
        return answer(book, done, f"{done.state.job.job} is handed over to {done.taker}")


@command(
    "take-over",
    short="Take over a job that was handed over.",
    examples=(Example("torquelog job take-over J-5 --why 'TK was called away'"),),
)
@click.argument("job", metavar="JOB")
@click.option("--why", metavar="TEXT", help="The reason, where nobody handed it over to you.")
def take_over(context: Context, job: str, why: str | None) -> Answer:
    """You accept what is open as it stands now. It is your job from then on until you name another."""
    from torquelog.work import handing

    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        said = gate_text(why, "why", reason=True) if why else None
        done = handing.take_over(book, signer, job, why=said)
        carry.remember_job(context, book, signer.person, done.state.job.job)
        return answer(book, done, f"{done.state.job.job} is taken over by {done.taker}")


def answer(book: "Book", done: "Handed", said: str) -> Answer:
    """The answer to both: how far the job is, and what is open per fastener and pass."""
    state = done.state
    facts = [("Readings", f"{state.taken} of {state.asked} done"), ("Entry", done.reference)]
    facts += [("Accepts", f"{done.given}, by {done.giver}")] if done.given else []
    remarks = []
    if done.changed:
        remarks.append(
            Remark("told-late", "Something changed since it was handed over; this is how it stands.")
        )
    if done.given and done.giver == done.taker:
        remarks.append(Remark("own-hand-over", f"{done.taker} handed it over and took it over."))
    open_parts: list[Json] = [
        {"group": part.group, "slot": part.slot, "items": [str(item) for item in part.items]}
        for part in done.open
    ]
    name = state.job.job
    return Answer(
        headline=f"{said}: {job_text.about(book, state.job)}.",
        facts=tuple(facts),
        remarks=(*remarks, *job_text.own_words(book, state.job)),
        body=("Open", *(f"  {part.words}" for part in done.open))
        if done.open
        else ("Every reading is done.",),
        next=(f"torquelog work {name}",) if done.giver != done.taker else (f"torquelog job show {name}",),
        data=job_text.job_data(book, state.job)
        | {
            "entry": done.reference,
            "from": done.giver or None,
            "to": done.taker,
            "accepts": done.given or None,
            "readings": {"taken": state.taken, "asked": state.asked},
            "open": open_parts,
        },
    )
