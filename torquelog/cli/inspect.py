"""`job inspect`: accept or reject, by item, signed with the inspector's passphrase."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from torquelog.cli import ask, job_text, words
from torquelog.cli.answer import Answer, Json, Remark
from torquelog.cli.asked import parse_fastener
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.signing import by_passphrase, open_for
from torquelog.errors import TorquelogError
from torquelog.ledger.text import gate_identifier, gate_name, gate_text
from torquelog.rules.names import fasteners_name
from torquelog.work.inspecting import Inspection, Verdict, inspect, ready, waiting
from torquelog.work.scan import item_number

if TYPE_CHECKING:
    from torquelog.book.jobview import JobState
    from torquelog.book.opening import Book
    from torquelog.book.signer import Signer
    from torquelog.facts.card_form import Group

ANSWERS = ("accept", "reject", "leave")


@command(
    "inspect",
    short="Accept or reject what a job's card wants inspected.",
    examples=(
        Example(
            "torquelog job inspect J-5 --item tie-bolt:1 --reject --why 'a thread is proud' --passphrase-stdin",
            "one of them",
            stdin="nine apples on the wing\n",
        ),
    ),
    passphrase=True,
)
@click.argument("job", metavar="JOB")
@click.option("--by", metavar="PERSON", help="Who inspects, if not the one signed in.")
@click.option("--item", "items", metavar="GROUP[:N]", multiple=True, help="What is meant; may be repeated.")
@click.option("--accept", is_flag=True, help="It is as the card and its document say.")
@click.option("--reject", is_flag=True, help="It is not; with --why.")
@click.option(
    "--wrench-seen",
    "seen",
    metavar="NUMBER",
    multiple=True,
    help="The wrench as you read it, beside the work.",
)
@click.option("--why", metavar="TEXT", help="What was found.")
def inspect_job(
    context: Context, job: str, by: str | None, items: tuple[str, ...], accept: bool, reject: bool,
    seen: tuple[str, ...], why: str | None,
) -> Answer:  # fmt: skip
    """By somebody who did none of that work, who reads the number of the wrench without being told it. An inspector
    alone lifts a rejection. Where nobody else is there, the performer may look again, with a reason; that is no
    independent inspection, and every answer says so.
    """
    from torquelog.book.jobview import job_state
    from torquelog.book.named import job_named

    with open_for(context, "write") as book:
        found = job_named(book.connection, job)
        state = job_state(book.connection, found.job)
        verdicts = named_verdicts(items, accept, reject, seen, why) if items else None
        if verdicts is None:
            ask.demand(context, "--item", "What is inspected")
        signer = by_passphrase(context, book, gate_identifier(by, "a person") if by else None)
        if verdicts is None:
            done = talked_through(context, book, signer, state)
        else:
            done = [inspect(book, signer, found.job, verdict) for verdict in verdicts]
        return inspected(book, signer.person, job_state(book.connection, found.job), done)


def named_verdicts(
    items: Sequence[str], accept: bool, reject: bool, seen: Sequence[str], why: str | None
) -> list[Verdict]:
    """What the options say, one verdict a group.

    Raises:
        TorquelogError: `needs-option` unless exactly one of `--accept` and `--reject` is given.
    """
    if accept == reject:
        raise TorquelogError(
            "needs-option",
            "Is it accepted or rejected? Nothing was recorded.",
            hint="Add --accept or --reject.",
        )
    groups: dict[str, list[int]] = {}
    for text in items:
        if ":" in text:
            group, item = parse_fastener(text)
            groups.setdefault(group, []).append(item)
        else:
            groups.setdefault(gate_name(text, "group"), [])
    wrenches = tuple(gate_identifier(number, "a wrench") for number in seen)
    said = gate_text(why, "why", reason=True) if why else None
    return [Verdict(group, tuple(numbers), accept, wrenches, said) for group, numbers in groups.items()]


def talked_through(context: Context, book: "Book", signer: "Signer", state: "JobState") -> list[Inspection]:
    """Each group that waits for an inspection, one after the other."""
    found = waiting(state)
    done: list[Inspection] = []
    for group, items in found:
        verdict = asked_verdict(context, state, group, items)
        if verdict is None:
            continue
        try:
            done.append(inspect(book, signer, state.job.job, verdict))
        except TorquelogError as error:
            ask.say(context, f"{error.message} {error.hint}".strip())
    return done


def asked_verdict(context: Context, state: "JobState", group: "Group", items: list[int]) -> Verdict | None:
    """What the inspector says of one group; nothing where it is left for later."""
    finished = ready(state, group, items)
    spec = group.spec.text if group.spec else ", ".join(step.spec.text for step in group.steps if step.spec)
    ask.say(context, "")
    ask.say(context, f"{words.sentence(fasteners_name(group.id, items))}: {spec}. {len(finished)} finished.")
    answer = ask.choice(context, "Accept, reject or leave for now", ANSWERS, option="--accept")
    if answer == "leave":
        return None
    if answer == "accept":
        return Verdict(group.id, tuple(items), True, asked_wrenches(context))
    numbers = ask.text(context, "Which numbers", option="--item", read=read_numbers)
    why = ask.text(
        context, "What was found", option="--why", read=lambda text: gate_text(text, "why", reason=True)
    )
    return Verdict(group.id, numbers, False, (), why)


def asked_wrenches(context: Context) -> tuple[str, ...]:
    """The wrenches that the inspector reads, without being told what is on record."""
    return ask.text(
        context, "Number on the wrench that was used", option="--wrench-seen",
        read=lambda text: tuple(gate_identifier(each, "a wrench") for each in text.replace(",", " ").split()),
    )  # fmt: skip


def read_numbers(text: str) -> tuple[int, ...]:
    """Several numbers, with blanks or commas between them."""
    parts = text.replace(",", " ").split()
    numbers = tuple(item_number(part) for part in parts)
    if not all(numbers) or not numbers:
        raise TorquelogError("fastener-form", "Type the numbers, such as 3 7.")
    return numbers


def inspected(book: "Book", person: str, state: "JobState", done: Sequence[Inspection]) -> Answer:
    """The answer after an inspection: what was accepted and rejected, and what still waits."""
    name = state.job.job
    if not done:
        said = "Nothing was inspected." if waiting(state) else f"Nothing in {name} waits for an inspection."
        return Answer(headline=said, next=(f"torquelog job show {name}",), data=data_of(book, state, done))
    parts = [f"{words.sentence(each.name)} {each.outcome}" for each in done]
    entries = words.listing([each.reference for each in done])
    left = waiting(state)
    body = [f"Still to be inspected: {fasteners_name(group.id, items)}." for group, items in left]
    return Answer(
        headline=f"{words.listing(parts)}, by {person}.",
        facts=(("On record", entries),),
        remarks=(
            *(Remark(*remark) for each in done for remark in each.remarks),
            *job_text.own_words(book, state.job),
        ),
        body=tuple(body),
        next=(f"torquelog job {'show' if state.holds else 'close'} {name}",),
        data=data_of(book, state, done),
    )


def data_of(book: "Book", state: "JobState", done: Sequence[Inspection]) -> dict[str, Json]:
    """An inspection for programs."""
    return job_text.job_data(book, state.job) | {
        "inspections": [
            {
                "entry": each.reference, "group": each.group, "items": [str(item) for item in each.items],
                "outcome": each.outcome, "independent": not each.own,
            }
            for each in done
        ],
        "open": [job_text.hold_data(hold) for hold in state.holds],
    }  # fmt: skip
