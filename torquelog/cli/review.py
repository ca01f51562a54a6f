"""`review`: what the record raises questions about, and quality's answers."""

from typing import TYPE_CHECKING

import click

from torquelog.cli import words
from torquelog.cli.answer import Answer, Column, Json, Remark, Table
from torquelog.cli.audit import AS_OF, moment
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.progress import Progress
from torquelog.cli.signing import by_passphrase, open_for
from torquelog.cli.tool_options import demanded_reason
from torquelog.clock import day_start, offset_text, parse_date
from torquelog.errors import TorquelogError

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.quality.review import Asked


@command(
    "review",
    short="Show what the record raises questions about, and answer them.",
    examples=(
        Example("torquelog review"),
        Example("torquelog review --since 2026-11-01 --csv"),
        Example(
            'torquelog review answer QHR-000014 --why "copied from the worksheet" --passphrase-stdin',
            "quality answers",
            stdin="nine apples on the wing\n",
        ),
    ),
    csv=True,
    passphrase=True,
)
@click.argument("act", metavar="[answer", required=False)
@click.argument("entry", metavar="ENTRY]", required=False)
@click.option("--since", metavar="DATE", help="With something recorded on this day or later.")
@click.option("--all", "every", is_flag=True, help="The answered ones, too.")
@click.option("--why", metavar="TEXT", help="The answer.")
@AS_OF
def review(
    context: Context,
    act: str | None,
    entry: str | None,
    since: str | None,
    every: bool,
    why: str | None,
    as_of: str | None,
) -> Answer:
    """Readings closer than hands allow, one wrench in two places, a wrench used by somebody it was not issued to,
    readings finer than the graduation, signatures in a burst, inspections right after the work, earlier times that
    changed a verdict, entries long after the work, and dispositions about one's own work. The thresholds are rules of
    the station. An answer names one entry of a question, and what comes later asks anew.
    """
    if act is None:
        return asked(context, since, as_of, every=every)
    if act != "answer" or not entry:
        raise TorquelogError(
            "argument",
            f'"torquelog review {act}" is not complete, or not known.',
            hint="torquelog review answer ENTRY --why TEXT",
        )
    return answered(context, entry, why)


def asked(context: Context, since: str | None, as_of: str | None, *, every: bool) -> Answer:
    """The questions, open ones or all."""
    from torquelog.quality.review import questions

    with open_for(context, "read") as book:
        found = questions(
            book, since=day_start(parse_date(since), book.zone) if since else None,
            as_of=moment(book, as_of) if as_of else None, progress=Progress(context, "readings"),
        )  # fmt: skip
        open_ones = [each for each in found if each.answer is None]
        shown = found if every else tuple(open_ones)
        done = len(found) - len(open_ones)
        headline = f"{words.count(len(open_ones), 'question')} about the record."
        first = open_ones[0].question.entries[-1] if open_ones else ""
        return Answer(
            headline=headline if open_ones else "The record raises no open question.",
            facts=(("Answered", words.count(done, "question")),) if done else (),
            table=Table(
                (
                    Column("recorded"), Column("question", fold=True), Column("entries"), Column("answer", fold=True),
                ),
                tuple(_cells(book, each) for each in shown),
                tuple(_data(book, each) for each in shown),
            ) if shown else None,
            next=(f"torquelog review answer {first} --why TEXT",) if first else (),
            data={"open": str(len(open_ones)), "answered": str(done), "questions": [_data(book, each) for each in shown]},
        )  # fmt: skip


def _cells(book: "Book", each: "Asked") -> tuple[str, ...]:
    names = each.question.entries
    entries = names[0] if len(names) == 1 else f"{names[0]} to {names[-1].rpartition('-')[2]}, {len(names)}"
    given = f"{each.answer.signer}: {each.answer.why}" if each.answer else ""
    return words.day_and_time(each.question.recorded, book.zone), each.question.message, entries, given


def _data(book: "Book", each: "Asked") -> dict[str, Json]:
    question, given = each.question, each.answer
    return {
        "code": question.code,
        "message": question.message,
        "entries": list(question.entries),
        "people": list(question.people),
        "at": offset_text(question.at, book.zone),
        "recorded_at": offset_text(question.recorded, book.zone),
        "answer": given.why if given else None,
        "answered_by": given.signer if given else None,
        "answer_entry": given.reference if given else None,
    }


def answered(context: Context, entry: str, why: str | None) -> Answer:
    """Answer what is asked about an entry, with quality's passphrase."""
    from torquelog.quality.review import answer
    from torquelog.rules.grounds import REMARKS

    context.command = "review answer"
    why_text = demanded_reason(why)
    with open_for(context, "write") as book:
        signer = by_passphrase(context, book)
        found = answer(book, signer, entry.strip().upper(), why_text)
        return Answer(
            headline=f"{words.count(len(found.questions), 'question')} about {entry.strip().upper()} answered.",
            facts=(("Entry", found.reference),),
            body=tuple(each.message for each in found.questions),
            remarks=(Remark("own-answer", f"{REMARKS['own-answer'].capitalize()}."),) if found.own else (),
            next=("torquelog review",),
            data={
                "entry": found.reference,
                "answers": [each.code for each in found.questions],
                "own": found.own,
            },
        )
