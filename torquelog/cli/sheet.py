"""`sheet`: one file to print, staple and hang up."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from torquelog.cli.answer import Answer
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context, short_path
from torquelog.cli.files import STANDARD, demand_place, write_file
from torquelog.cli.progress import Progress
from torquelog.errors import TorquelogError
from torquelog.ledger.text import gate_identifier

if TYPE_CHECKING:
    from torquelog.sheets.model import Page

Function = Callable[..., Any]


def file_options(function: Function) -> Function:
    """`--out` and `--replace`, which every sheet takes."""
    for option in (
        click.option("--replace", is_flag=True, help="Write the file anew if it is there."),
        click.option(
            "--out", metavar="FILE", help="The file, or - for standard output; by default one in this folder."
        ),
    ):
        function = option(function)
    return function


def written(
    context: Context, page: "Page", kind: str, name: str, out: str | None, *, replace: bool, next_line: str
) -> Answer:
    """Write a sheet into its file, and say where it lies."""
    from torquelog.sheets.environment import html

    path = out or default_name(kind, name)
    if put(context, path, html(page), replace=replace):
        return Answer(written=True)
    return Answer(
        headline=f"{page.title} is written to {short_path(path)}.",
        body=("It needs nothing else: open it in any browser, and print it from there.",),
        next=(next_line,),
        data={"sheet": kind, "name": name, "path": path},
    )


def put(context: Context, path: str, text: str, *, replace: bool) -> bool:
    """Write a sheet to a file, or to standard output for "-"; whether it went there.

    Raises:
        TorquelogError: argument for "-" with --json; file-missing for a folder that is not there; exists.
    """
    if path != STANDARD:
        demand_place(context, path, replace=replace)
        write_file(path, text.encode(), replace=replace)
        return False
    if context.json:
        raise TorquelogError(
            "argument",
            "With --json a sheet goes to a file.",
            hint="Name one with --out, or leave --json out.",
        )
    # Signs beyond ASCII by their numbers, so that the sheet is whole whatever the encoding of the output is.
    context.stdout.write(text.encode("ascii", "xmlcharrefreplace").decode("ascii"))
    context.stdout.flush()
    return True


def default_name(kind: str, name: str) -> str:
    """The file of a sheet where none is named: "job-J-5.html"; an identifier's slash parts no folders."""
    return f"{kind}-{name.replace('/', '-')}.html"


@command(
    "job",
    short="Write the sheet of a job: every fastener, with what and by whom.",
    examples=(Example("torquelog sheet job J-5"), Example("torquelog sheet job J-5 --out j5.html --json")),
)
@click.argument("job")
@file_options
def job(context: Context, job: str, out: str | None, replace: bool) -> Answer:
    """Struck and refused entries are on it, and what is still open. It is a record of work and releases nothing."""
    from torquelog.sheets.job import job_sheet

    name = gate_identifier(job, "job")
    page = job_sheet(context.book("read"), name)
    return written(context, page, "job", name, out, replace=replace, next_line=f"torquelog job show {name}")


@command(
    "worksheet",
    short="Write a worksheet of a job, to fill in by hand.",
    examples=(
        Example("torquelog sheet worksheet J-5"),
        Example("torquelog sheet worksheet J-6 --adapter A-03", "settings through an adapter"),
    ),
)
@click.argument("job")
@click.option(
    "-a", "--adapter", metavar="NUMBER", multiple=True, help="An adapter in line, for the settings."
)
@file_options
def worksheet(context: Context, job: str, adapter: tuple[str, ...], out: str | None, replace: bool) -> Answer:
    """Boxes in the card's order, the tools that could be drawn with what to set, and how to enter it all later."""
    from torquelog.sheets.worksheet import worksheet_sheet

    name = gate_identifier(job, "job")
    line = [gate_identifier(each, "adapter") for each in adapter]
    page = worksheet_sheet(context.book("read"), name, adapters=line)
    return written(
        context, page, "worksheet", name, out, replace=replace, next_line=f"torquelog sheet job {name}"
    )


@command(
    "crib",
    short="Write the sheet of the crib: what may not be used, what is due.",
    examples=(Example("torquelog sheet crib"),),
)
@file_options
def crib(context: Context, out: str | None, replace: bool) -> Answer:
    """What may not be used and why; then every tool by its last day of use, week by week, with who has it."""
    from torquelog.sheets.crib import crib_sheet

    book = context.book("read")
    page = crib_sheet(book, Progress(context, "tools"))
    return written(
        context, page, "crib", book.station, out, replace=replace, next_line="torquelog wrench due"
    )


@command(
    "wrench",
    short="Write the sheet of a wrench: certificates, curves, drift, uses.",
    examples=(Example("torquelog sheet wrench W-0417"),),
)
@click.argument("number")
@file_options
def wrench(context: Context, number: str, out: str | None, replace: bool) -> Answer:
    """Every certificate as a curve and in numbers; how it drifted from one to the next, with what is expected on its
    due date where enough of them say so; and the jobs it was used in.
    """
    from torquelog.sheets.wrench import wrench_sheet

    name = gate_identifier(number, "wrench")
    page = wrench_sheet(context.book("read"), name)
    return written(
        context, page, "wrench", name, out, replace=replace, next_line=f"torquelog wrench show {name}"
    )


@command(
    "recall",
    short="Write the sheet of a recall: a summary, then every item.",
    examples=(Example("torquelog sheet recall R-1"),),
)
@click.argument("recall")
@file_options
def recall(context: Context, recall: str, out: str | None, replace: bool) -> Answer:
    """Judged by what is known now. What flies comes first, and of that the furthest outside."""
    from torquelog.sheets.recall import recall_sheet

    name = gate_identifier(recall, "recall")
    page = recall_sheet(context.book("read"), name)
    return written(
        context, page, "recall", name, out, replace=replace, next_line=f"torquelog recall show {name}"
    )


@command(
    "aircraft",
    short="Write the sheet of an aircraft: fitted, open, wrenches on it.",
    examples=(Example("torquelog sheet aircraft QQ-HLB"),),
)
@click.argument("registration")
@file_options
def aircraft(context: Context, registration: str, out: str | None, replace: bool) -> Answer:
    """What stands on it is counted with what its assemblies brought from the shop."""
    from torquelog.sheets.aircraft import aircraft_sheet

    name = gate_identifier(registration, "aircraft")
    page = aircraft_sheet(context.book("read"), name)
    return written(
        context, page, "aircraft", name, out, replace=replace, next_line=f"torquelog trace aircraft {name}"
    )
