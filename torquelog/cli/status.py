"""What `torquelog` alone answers: where one stands, and how to go on."""

import os
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from torquelog.cli.answer import Answer
from torquelog.cli.context import Context, short_path
from torquelog.cli.table import top

if TYPE_CHECKING:
    from torquelog.book.jobview import JobState
    from torquelog.book.opening import Book
    from torquelog.cli.overview import Held, Here, Overview

BEGIN: Final = (
    ("demo", "torquelog demo", "a week in an invented hangar, in ten seconds"),
    ("init", "torquelog init", "begins a record for your station"),
    ("setting", 'torquelog setting "130..140 ft-lb" --lever "12 in" --adapter "3 in"', ""),
    ("setting", "", "computes without any record"),
    ("", "torquelog --help", "all commands"),
)
"""How to begin, each line shown where its command exists."""

NOTE_COLUMN: Final = 20
GAP: Final = 4
MOST: Final = 10
"""How many open jobs, or tools that may not be used, are listed."""


def status(context: Context) -> Answer:
    """Who is signed in, what is open or due; without a record, how to begin. Writes nothing."""
    path = context.database()
    if not os.path.exists(path):
        return no_record(path)
    return record_status(context, path)


def no_record(path: str) -> Answer:
    """The answer where there is no record yet."""
    known = top()
    shown = [(line, note) for word, line, note in BEGIN if not word or word in known]
    return Answer(
        headline="There is no record here yet.",
        facts=(("Looked in", short_path(path)),),
        body=tuple(f"  {line.ljust(NOTE_COLUMN)}{note}".rstrip() for line, note in shown),
        data={"record": None, "path": path},
    )


def record_status(context: Context, path: str) -> Answer:
    """The answer where there is a record."""
    from torquelog.cli import words
    from torquelog.cli.overview import data, look
    from torquelog.cli.signing import open_for

    with open_for(context, "read") as book:
        found = look(context, book)
        title = f"{book.station}   {words.day_and_time(found.now, book.zone)}"
        parts = [people(book, found), *mine(book, found), others(book, found), lasting(book, found)]
        body = [line for part in parts if part for line in ("", *part)]
        return Answer(
            headline=title,
            body=tuple(body[1:]),
            next=next_commands(found),
            data={"record": path, "path": path} | data(book, found),
        )


def people(book: "Book", found: "Overview") -> list[str]:
    """A line for everybody who is signed in here."""
    from torquelog.cli import words

    if not found.here:
        return ["Nobody is signed in on this terminal."]
    return aligned(
        [
            (
                each.person,
                f"{each.name}, {words.listing(each.roles) or 'no role'}, signed in until "
                f"{words.time(each.until, book.zone)}, {words.distance(each.until, found.now)}",
            )
            for each in found.here
        ],
        indent="",
    )


def mine(book: "Book", found: "Overview") -> Iterator[list[str]]:
    """What is with those who are signed in: the job they are at and the tools they have."""
    for each in found.here:
        rows = [*job_at_work(book, each, found), *(tool_row(held, book, found) for held in each.tools)]
        if rows:
            yield ["With you" if len(found.here) == 1 else f"With {each.person}", *aligned(rows)]


def job_at_work(book: "Book", each: "Here", found: "Overview") -> Iterator[tuple[str, ...]]:
    """The job that somebody is at: how far it is, and since when it rests."""
    from torquelog.cli import job_text, words

    if each.job is not None:
        said = f"{each.job.taken} of {words.count(each.job.asked, 'reading')}"
        stopped = "" if each.stopped is None else f"stopped {words.distance(each.stopped, found.now)}"
        yield each.job.job.job, job_text.about(book, each.job.job), said, stopped


def tool_row(held: "Held", book: "Book", found: "Overview") -> tuple[str, ...]:
    """A tool that somebody has: what it is, and until when it may be used."""
    from torquelog.cli import toolwords
    from torquelog.clock import local_date

    today = local_date(found.now, book.zone)
    ground = next(iter(held.fitness.grounds), None)
    said = f"not to be used: {toolwords.briefly(held.tool, ground)}" if ground else ""
    return held.tool.tool, toolwords.nature(held.tool), said or toolwords.due_words(held.fitness.due, today)


def others(book: "Book", found: "Overview") -> list[str]:
    """The jobs that are open besides, oldest first."""
    from torquelog.cli import job_text, words

    if not found.open:
        return []
    rows = [(state.job.job, job_text.about(book, state.job), standing(state)) for state in found.open[:MOST]]
    more = len(found.open) - MOST
    rest = [f"  and {words.count(more, 'job')} more: torquelog job list"] if more > 0 else []
    return ["Also open here" if found.here else "Open here", *aligned(rows), *rest]


def standing(state: "JobState") -> str:
    """How much of a job is open."""
    from torquelog.cli import words

    if not state.holds:
        return "nothing is open, it can close"
    return f"{words.count(len(state.holds), 'thing')} open before it can close"


def lasting(book: "Book", found: "Overview") -> list[str]:
    """Tools that may not be used, recalls, entries that wait for a second person, and the last backup."""
    from torquelog.cli import words

    lines = []
    if found.unfit:
        more = f" and {len(found.unfit) - MOST} more" if len(found.unfit) > MOST else ""
        lines.append(f"Not to be used: {', '.join(found.unfit[:MOST])}{more}")
    if found.pending:
        more = f" and {len(found.pending) - MOST} more" if len(found.pending) > MOST else ""
        lines.append(f"Wait for a recall: {', '.join(found.pending[:MOST])}{more}")
    for name, undecided in found.recalls[:MOST]:
        lines.append(f"Recall {name} is open, {words.count(undecided, 'fastener')} undecided")
    if found.waiting:
        lines.append(f"Waiting for a second person: {words.count(found.waiting, 'entry', 'entries')}")
    if found.backup is None:
        lines.append("Last backup   none that this account knows of")
    else:
        when = words.time_near(found.backup.at, found.now, book.zone)
        lines.append(f"Last backup   {when}, {words.distance(found.backup.at, found.now)}")
    return lines


def next_commands(found: "Overview") -> tuple[str, ...]:
    """What one may want next; commands that work as they stand."""
    known = top()
    job = next((each.job for each in found.here if each.job is not None), None)
    recalled = bool(found.pending or found.recalls)
    offered = [
        ("sign-in", "torquelog sign-in ID", not found.here),
        ("work", f"torquelog work {job.job.job if job else ''}   goes on with it", job is not None),
        ("job", f"torquelog job show {job.job.job if job else ''}   what is open in it", job is not None),
        ("wrench", "torquelog wrench due   why those may not be used", bool(found.unfit)),
        ("recall", "torquelog recall list   what waits for a recall, and what is open", recalled),
        ("wrench", "torquelog wrench add   registers the first wrench", not found.tools),
        ("", "torquelog --help   all commands", True),
    ]
    return tuple(line for word, line, holds in offered if holds and (not word or word in known))


def aligned(rows: Sequence[tuple[str, ...]], *, indent: str = "  ") -> list[str]:
    """Rows in columns, the last one as long as it is."""
    from torquelog.cli.text import columns, padded

    count = max(map(len, rows))
    full = [(*row, *[""] * (count - len(row))) for row in rows]
    widths = [max(columns(row[place]) for row in full) for place in range(count)]
    return [
        indent + "".join(padded(cell, width + GAP) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in full
    ]
