"""`job open`, `job list`, `job show` and `job close`."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import click

from torquelog.cli import job_text, words
from torquelog.cli.answer import Answer, Column, Each, Json, Remark, Table
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.signing import open_for, signed_in

if TYPE_CHECKING:
    from torquelog.book.jobview import JobState
    from torquelog.book.opening import Book
    from torquelog.errors import TorquelogError
    from torquelog.facts.assemblies import Assembly
    from torquelog.facts.jobs import Job
    from torquelog.rules.closing import Hold
    from torquelog.work.jobs import Opened


@command(
    "open",
    short="Open a job by an approved card.",
    examples=(
        Example("torquelog job open J-20 --card MW-BUILD --assembly WH-2240", "on the bench"),
        Example(
            'torquelog job open J-21 --card MB-FIT --assembly brake=BR-0912 --aircraft QQ-HLB --position "main 1"',
            "on an aircraft",
        ),
    ),
)
@click.argument("job", metavar="JOB")
@click.option("--card", metavar="CARD", required=True, help="The card; its newest approved revision counts.")
@click.option("--aircraft", "on", metavar="REG", help="Registration or serial number; with --position.")
@click.option("--position", metavar="POS", help="Where on the aircraft, in your words: main 2.")
@click.option(
    "--assembly",
    "assemblies",
    metavar="[KIND=]SERIAL",
    multiple=True,
    help="A wheel, a brake, …; may be repeated.",
)
def open_job(
    context: Context, job: str, card: str, on: str | None, position: str | None, assemblies: tuple[str, ...]
) -> Answer:
    """Name what carries the card's fasteners: the wheel for its tie bolts, the aircraft and position for its axle
    nut. The job keeps this revision of the card, whatever is approved later.
    """
    from torquelog.ledger.text import gate_identifier, gate_text
    from torquelog.work import jobs

    name = gate_identifier(job, "a job")
    where = gate_text(position, "the position") if position is not None else None
    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        new = asked_for(context, book, card, assemblies)
        done = jobs.open_job(book, signer, name, card, on=on, position=where, named=assemblies, new=new)
        from torquelog.cli.carry import remember_job

        remember_job(context, book, signer.person, name)
        return opened(context, book, done)


def opened(context: Context, book: "Book", done: "Opened") -> Answer:
    """The answer to a job that was opened."""
    from torquelog.cli.card_text import document_text, size_text

    carried = f" {done.job.job} is now your job until you name another." if context.can_ask else ""
    parts = "".join(f", part {each.part}" for each in done.assemblies if len(done.assemblies) == 1)
    said = job_text.about(book, done.job)
    lead, comma, rest = said.partition(", ")
    cautions = job_text.caution_lines(done.card, done.job)
    data = job_text.job_data(book, done.job) | {
        "readings": {"taken": 0, "asked": done.card.readings},
        "added": [{"part": each.part, "serial": each.serial, "kind": each.sort} for each in done.added],
    }
    return Answer(
        headline=f"{done.job.job} is open: {lead}{parts}{comma}{rest}.",
        facts=(("Card", f"{done.card.card}, {document_text(done.card)}"), ("Entry", done.job.reference)),
        remarks=(*job_text.own_words(book, done.job), *beside(done)),
        body=(
            f"{size_text(done.card)} to take.{carried}",
            *taken_over(book, done),
            *([""] if cautions else []),
            *cautions,
        ),
        next=(f"torquelog job tools {done.job.job}",),
        data=data,
    )


def taken_over(book: "Book", done: "Opened") -> list[str]:
    """What earlier jobs left open on the same fasteners: rechecks, and fasteners that something has to be done about."""
    from torquelog.book.jobview import job_state
    from torquelog.cli import rechecks
    from torquelog.facts.jobs import owner_of
    from torquelog.rules.closing import left_open

    state = job_state(book.connection, done.job.job)
    left = [f"Open from an earlier job: {hold.text}" for hold in left_open(state.view)]
    return [*left, *rechecks.lines(book, [owner_of(done.job, group) for group in done.card.groups])]


def beside(done: "Opened") -> tuple[Remark, ...]:
    """The remark about other open jobs on the same fasteners."""
    if not done.beside:
        return ()
    verb = "is" if len(done.beside) == 1 else "are"
    return (Remark("beside", f"{words.listing(done.beside)} {verb} open on the same fasteners."),)


def asked_for(context: Context, book: "Book", card: str, named: Sequence[str]) -> "list[Assembly]":
    """Assemblies that are not on record, asked for on a terminal; elsewhere the act says what is missing."""
    from torquelog.book.named import approved_card, assembly_named
    from torquelog.errors import TorquelogError
    from torquelog.work.jobs import split_kind

    found: list[Assembly] = []
    if not context.can_ask:
        return found
    approved_card(book.connection, card)
    for text in named:
        kind, name = split_kind(text)
        try:
            assembly_named(book.connection, name)
        except TorquelogError as error:
            if error.code != "assembly-unknown":
                raise
            found.append(ask_for(context, kind, name, error))
    return found


def ask_for(context: Context, kind: str, name: str, error: "TorquelogError") -> "Assembly":
    """What an unknown assembly is; Enter where it was a slip of the finger."""
    from torquelog.book.named import assembly_key
    from torquelog.cli import ask
    from torquelog.facts.assemblies import Assembly
    from torquelog.ledger.text import gate_identifier, gate_name

    part, _, serial = assembly_key(name).rpartition(" ")
    ask.say(context, "")
    ask.say(context, f"{serial} is not known yet. {error.why}".strip())
    if not kind:
        question = "What is it? (wheel, brake, ...; Enter if it was mistyped)"
        kind = ask.text(
            context, question, option="--assembly", default="",
            read=lambda text: gate_name(text, "a kind of assembly") if text else "",
        )  # fmt: skip
        if not kind:
            raise error
    if not part:
        part = ask.text(
            context, "Its part number", option="torquelog assembly add",
            read=lambda text: gate_identifier(text, "a part number"),
        )  # fmt: skip
    ask.say(context, "")
    return Assembly(part, serial, kind)


@command(
    "list",
    short="List the open jobs.",
    examples=(Example("torquelog job list"), Example("torquelog job list --all --csv", "closed ones too")),
    csv=True,
)
@click.option("--all", "everything", is_flag=True, help="Closed jobs, too.")
def job_list(context: Context, everything: bool) -> Answer:
    """Oldest first, with how many of their readings are on record."""
    from torquelog.facts import jobs

    with open_for(context, "read") as book:
        every = jobs.Every(book.connection) if everything else None
        # Closed jobs are all that a station ever did: each is looked at as it is shown.
        context.stays_open = True
        found = tuple(jobs.open_jobs(book.connection)) if every is None else every.held()
        last = (
            every.last() if every is not None else found[-1] if isinstance(found, tuple) and found else None
        )
        shown = Each(found, lambda made: ((each, *state_of(book, each)) for each in made))
        columns = (
            Column("job"), Column("about", fold=True), Column("card"), Column("readings", right=True),
            Column("", fold=True),
        )  # fmt: skip
        records = shown.further(lambda made: record_of(book, *made))
        kind = "job" if everything else "open job"
        return Answer(
            headline=f"{words.count(len(found), kind)} at {book.station}.",
            table=Table(
                columns, shown.further(lambda made: row_of(book, *made)), records.further(flat), fields=FIELDS
            ),
            next=(f"torquelog job show {last.job}",) if last else ("torquelog card list",),
            data={"jobs": records},
        )


def state_of(book: "Book", job: "Job") -> tuple["JobState", int]:
    """How far a job is, and how many things hold it open."""
    from torquelog.book.jobview import job_state

    state = job_state(book.connection, job.job)
    return state, 0 if job.closed is not None else len(state.holds)


def row_of(book: "Book", job: "Job", state: "JobState", open_count: int) -> tuple[str, ...]:
    """A job's line in the list."""
    return (
        job.job, job_text.about(book, job), f"{job.card} {job.revision}", f"{state.taken} of {state.asked}",
        standing(book, job.closed, open_count),
    )  # fmt: skip


def record_of(book: "Book", job: "Job", state: "JobState", open_count: int) -> dict[str, Json]:
    """The same for programs."""
    readings = {"taken": state.taken, "asked": state.asked}
    return job_text.job_data(book, job) | {"readings": readings, "open": open_count}


FIELDS = (
    "job", "card", "revision", "registration", "msn", "position", "assemblies", "opened_by", "opened_at",
    "closed_at", "taken", "asked", "open",
)  # fmt: skip
"""The heading of the list as CSV."""


def flat(record: dict[str, Json]) -> dict[str, Json]:
    """A job for a spreadsheet: one cell for its assemblies, one each for its aircraft's names."""

    def cell(name: str, key: str) -> Json:
        value = record[name]
        return value.get(key) if isinstance(value, Mapping) else None

    named = record["assemblies"]
    parts = (
        []
        if not isinstance(named, Mapping)
        else [
            f"{kind} {each['part']} {each['serial']}"
            for kind, each in named.items()
            if isinstance(each, Mapping)
        ]
    )
    return {name: record.get(name) for name in FIELDS} | {
        "registration": cell("aircraft", "registration"),
        "msn": cell("aircraft", "msn"),
        "assemblies": "; ".join(parts),
        "taken": cell("readings", "taken"),
        "asked": cell("readings", "asked"),
    }


def standing(book: "Book", closed: int | None, open_count: int) -> str:
    """Closed when, or how many things hold it open."""
    if closed is not None:
        return f"closed {words.day(words.local(closed, book.zone).date())}"
    return f"{words.count(open_count, 'thing')} open" if open_count else "nothing open"


@command(
    "show",
    short="Show how far a job is, and what is open.",
    examples=(Example("torquelog job show J-5"), Example("torquelog job show J-5 --json")),
)
@click.argument("job", metavar="JOB")
def show(context: Context, job: str) -> Answer:
    """What is done of each group, and each thing that holds the job open with the command that clears it."""
    from torquelog.book.jobview import job_state
    from torquelog.book.named import job_named

    with open_for(context, "read") as book:
        found = job_named(book.connection, job)
        state = job_state(book.connection, found.job)
        opened_on = words.day_and_time(found.opened, book.zone)
        closed = found.closed is not None
        holds = () if closed else state.holds
        facts = (
            ("Card", f"{found.card} revision {found.revision}, {state.card.title}"),
            ("Opened", f"by {found.opened_by}, {opened_on}, {found.reference}"),
            ("Readings", f"{state.taken} of {state.asked} done"),
        )
        body = [*job_text.group_lines(state), *hold_lines(holds)]
        return Answer(
            headline=f"{found.job}, {job_text.about(book, found)}: {standing(book, found.closed, len(holds))}.",
            facts=facts,
            remarks=job_text.own_words(book, found),
            body=tuple(body),
            next=(following(found.job, holds, closed=closed),),
            data=job_text.job_data(book, found) | job_text.state_data(state),
        )


def following(job: str, holds: "Sequence[Hold]", *, closed: bool) -> str:
    """What clears the first thing that is open; a fastener is tightened by the lead of `work`."""
    if closed:
        return f"torquelog sheet job {job}"
    if not holds:
        return f"torquelog job close {job}"
    return f"torquelog work {job}" if "READING" in holds[0].command else holds[0].command


def hold_lines(holds: "Sequence[Hold]") -> list[str]:
    """What is open, numbered, each with the command that clears it below."""
    lines: list[str] = []
    for number, hold in enumerate(holds, start=1):
        lines += [""] if number == 1 else []
        lines.append(f"  {number}  {hold.text}")
        lines += [f"     {hold.detail}"] if hold.detail else []
        lines.append(f"         {hold.command}")
    return lines


@command(
    "close",
    short="Close a job that is complete.",
    examples=(Example("torquelog job close J-5", "refused while anything is open", exit=3),),
)
@click.argument("job", metavar="JOB")
@click.option("--why", metavar="TEXT", help="What is to be said beside it.")
def close(context: Context, job: str, why: str | None) -> Answer:
    """Every fastener, step, locking and check of the card has to be on record, and every tool returned.

    Closing records that the work is complete. It releases nothing to service.
    """
    from torquelog.ledger.text import gate_text
    from torquelog.work import jobs

    said = gate_text(why, "what is said", reason=True) if why is not None else None
    with open_for(context, "write") as book:
        done = jobs.close(book, signed_in(context, book), job, why=said)
        found = done.state.job
        data = job_text.job_data(book, found) | job_text.state_data(done.state)
        remarks = job_text.own_words(book, found)
        if not done.reference:
            things = words.count(len(done.state.holds), "thing")
            verb = "is" if len(done.state.holds) == 1 else "are"
            return Answer(
                headline=f"{found.job} cannot close yet. {things} {verb} open on {job_text.about(book, found)}.",
                problems=job_text.hold_problems(done.state),
                remarks=remarks,
                body=(f"Done so far: {done.state.taken} of {words.count(done.state.asked, 'reading')}.",),
                next=(f"torquelog job show {found.job}",),
                data=data,
                exit=3,
            )
        return Answer(
            headline=f"{found.job} is closed: {job_text.about(book, found)}.",
            facts=(
                ("Readings", f"{done.state.taken} of {done.state.asked} done"), ("Entry", done.reference),
            ),
            remarks=remarks,
            body=(*opened_rechecks(done.state), job_text.RELEASES_NOTHING),
            next=("torquelog job list",),
            data=data | {"closing": done.reference},
        )  # fmt: skip


def opened_rechecks(state: "JobState") -> list[str]:
    """A sentence for each recheck that the closing opens."""
    from torquelog.book.rechecks import opened_by
    from torquelog.rules.names import fasteners_name

    return [
        f"To be checked again {group.recheck}: {fasteners_name(group.id, range(1, group.count + 1))}."
        for group in opened_by(state.card)
    ]
