"""`torquelog demo`: a week in an invented hangar."""

import os
from collections.abc import Iterator
from textwrap import wrap

import click

from torquelog.book.opening import Book
from torquelog.cli.answer import Answer
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context, short_path
from torquelog.demo.hangar import PASSPHRASE
from torquelog.demo.story import Told, Week, tell
from torquelog.errors import TorquelogError

FOLDER = "torquelog-demo"
FILE = "demo.db"
WIDTH = 76
MOST_FOLDERS = 1000


@command(
    "demo",
    short="Live through a week in an invented hangar, in a few seconds.",
    examples=(Example("torquelog demo", "in a new folder, which the answer names"),),
)
@click.option("--at", metavar="PATH", help="The file to make, instead of one in a new folder.")
def demo(context: Context, at: str | None) -> Answer:
    """Everything in it is invented: aircraft, people, parts and torque values. Use none of it.

    The record stays, for you to look around in.
    """
    path = at or _new_path()
    week = tell(path)
    context.db = path
    book = context.book("read")
    counted = _checked(book)  # the word of the program that every record is checked by
    shown = short_path(path)
    return Answer(
        headline=f"One week in an invented hangar, in {len(week.steps)} steps.",
        body=tuple(_lines(week, counted, shown)),
        next=(
            f"torquelog --db {shown} trace wrench W-118",
            f"torquelog --db {shown} recall show R-1",
            "torquelog init        begins a record of your own",
        ),
        data={
            "path": path,
            "entries": week.entries,
            "steps": [{"day": step.day, "text": " ".join(step.lines)} for step in week.steps],
            "standing": week.trace.standing,
            "complete_as_of": week.trace.complete_as_of,
        },
    )


def _new_path() -> str:
    """A file in a new folder of the current one."""
    for number in range(1, MOST_FOLDERS):
        folder = FOLDER if number == 1 else f"{FOLDER}-{number}"
        try:
            os.mkdir(folder, mode=0o700)
        except FileExistsError:
            continue
        except OSError as trouble:
            from torquelog.ledger.storage import storage_error

            raise storage_error(trouble, os.path.abspath(folder)) from trouble
        return os.path.join(folder, FILE)
    raise TorquelogError("exists", f"There are {MOST_FOLDERS} folders named {FOLDER} here already.")


def _checked(book: Book) -> int:
    """How many entries stand, each with its signature, its link and its judgement."""
    from torquelog.book.verification import verify

    report = verify(book.connection, book.station)
    if report.findings:
        raise TorquelogError(report.findings[0].code, report.findings[0].message)
    return sum(chain.held for chain in report.chains)


def _lines(week: Week, counted: int, shown: str) -> Iterator[str]:
    yield "Nothing in it is real: not the aircraft, the people, the parts or the torque"
    yield "values. Use none of it."
    yield ""
    for number, step in enumerate(week.steps, 1):
        yield from _step(number, step)
        yield ""
    yield f"The record checks: {counted} entries, every signature and every link in order."
    yield f"It is kept in {shown} for you to look around in."
    yield f"Everybody's passphrase there is: {PASSPHRASE}"


def _step(number: int, step: Told) -> Iterator[str]:
    text = f"{step.day} {' '.join(step.lines)}"
    yield from wrap(text, WIDTH, initial_indent=f"{number:>2}  ", subsequent_indent="    ")
