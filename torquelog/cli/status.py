"""What `torquelog` alone answers: where one stands, and how to go on."""

import os
from typing import TYPE_CHECKING

from torquelog.cli.answer import Answer
from torquelog.cli.context import Context, short_path
from torquelog.cli.table import top

if TYPE_CHECKING:
    from torquelog.cli.overview import Overview

BEGIN = (
    ("demo", "torquelog demo", "a week in an invented hangar, in ten seconds"),
    ("init", "torquelog init", "begins a record for your station"),
    ("setting", 'torquelog setting "130..140 ft-lb" --lever "12 in" --adapter "3 in"', ""),
    ("setting", "", "computes without any record"),
    ("", "torquelog --help", "all commands"),
)
"""How to begin, each line shown where its command exists."""

NOTE_COLUMN = 20
MOST = 10
"""How many open jobs are listed."""


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
    from torquelog.cli.overview import data, look, mine, others, people
    from torquelog.cli.signing import open_for

    with open_for(context, "read") as book:
        found = look(context, book)
        body = [*people(book, found)]
        for title, lines in (*mine(book, found), ("Also open here", others(book, found, MOST))):
            body += ["", title, *lines] if lines else []
        body += ["", *lasting(book.zone_name and context, found)]
        return Answer(
            headline=f"{book.station}   {words.day_and_time(found.now, book.zone)}",
            body=tuple(body),
            next=next_commands(found),
            data={"record": path, "path": path} | data(book, found),
        )


def lasting(context: Context, found: "Overview") -> list[str]:
    """Tools that may not be used, and the last backup."""
    from torquelog.cli import words
    from torquelog.clock import zone

    lines = []
    if found.unfit:
        lines.append(f"Not to be used: {', '.join(found.unfit)}")
    if found.backup is not None:
        when = words.time_near(found.backup.at, found.now, zone(found.zone))
        lines.append(f"Last backup   {when}, {words.distance(found.backup.at, found.now)}")
    elif found.begun:
        lines.append("Last backup   none from this account")
    return lines
