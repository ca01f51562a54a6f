"""What `torquelog` alone answers: where one stands, and how to go on."""

import os

from torquelog.cli.answer import Answer
from torquelog.cli.context import Context, short_path
from torquelog.cli.table import top

BEGIN = (
    ("demo", "torquelog demo", "a week in an invented hangar, in ten seconds"),
    ("init", "torquelog init", "begins a record for your station"),
    ("setting", 'torquelog setting "130..140 ft-lb" --lever "12 in" --adapter "3 in"', ""),
    ("setting", "", "computes without any record"),
    ("", "torquelog --help", "all commands"),
)
"""How to begin, each line shown where its command exists."""

NOTE_COLUMN = 20


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
    return Answer(
        headline=f"The record is kept in {short_path(path)}.",
        next=("torquelog --help   all commands",),
        data={"record": path, "path": path},
    )
