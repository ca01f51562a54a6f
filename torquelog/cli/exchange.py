"""`export` and `take-in`: what goes to other stations and checkers, and what comes from them."""

import os
from collections.abc import Iterator
from shlex import quote
from typing import TYPE_CHECKING, Final

import click

from torquelog.cli import words
from torquelog.cli.answer import Answer, Json, Remark
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.progress import Progress
from torquelog.cli.signing import open_for, signed_in
from torquelog.cli.text import speaks_utf_8
from torquelog.errors import TorquelogError

if TYPE_CHECKING:
    from torquelog.book.exporting import Part
    from torquelog.book.opening import Book
    from torquelog.book.takein import Taken

CHUNK: Final = 1 << 16


@command(
    "export",
    short="Write every entry as lines, for other stations and for checkers.",
    examples=(
        Example("torquelog export record.jsonl"),
        Example("torquelog export november.jsonl --since 2026-11-01", "from a day on"),
        Example("torquelog export --since QHR-000003", "from an entry of its chain on, to standard output"),
    ),
)
@click.argument("file", metavar="[FILE]", required=False)
@click.option(
    "--since",
    metavar="DATE|ENTRY",
    multiple=True,
    help="Only what was recorded from this day on, or from this entry of its chain on.",
)
@click.option("--replace", is_flag=True, help="Write the file anew if it is there.")
def export(context: Context, file: str | None, since: tuple[str, ...], replace: bool) -> Answer:
    """A line is {"text": …, "signature": …}: an entry's text as it is signed, and the signature in hex. All chains in
    the file are exported. Without FILE the lines go to standard output.
    """
    from torquelog.book import exporting
    from torquelog.cli.files import demand_place

    with open_for(context, "read") as book, exporting.at_rest(book.connection):
        parts = chosen(book, since)
        progress = Progress(context, "entries")
        lines = exporting.lines(book.connection, parts, progress)
        if file is None or file == "-":
            return to_standard_output(context, lines, parts)
        demand_place(context, file, replace=replace)
        write_lines(file, lines, replace=replace)
        total = sum(part.through - part.first + 1 for part in parts)
        return Answer(
            headline=f"{words.count(total, 'entry')} written to {file}.",
            facts=tuple((part.station, f"{part.first} to {part.through}") for part in parts),
            next=(f"torquelog take-in {quote(file)}   at another station",),
            data=exported(file, parts),
        )


def chosen(book: "Book", since: tuple[str, ...]) -> "tuple[Part, ...]":
    """What the export holds, by the days and entries that were named."""
    from torquelog.book import exporting
    from torquelog.clock import day_start, parse_date
    from torquelog.ledger.form import parse_reference

    after: dict[str, int] = {}
    moment = None
    for text in since:
        try:
            station, number = parse_reference(text)
            after[station] = number - 1
        except TorquelogError:
            moment = day_start(parse_date(text), book.zone)
    return exporting.parts(book.connection, since=moment, after=after)


def to_standard_output(context: Context, lines: Iterator[str], parts: "tuple[Part, ...]") -> Answer:
    """Write the lines where they can be piped on; an envelope cannot hold them."""
    if context.json:
        raise TorquelogError(
            "argument", "With --json the lines need a file.", hint="torquelog export FILE --json"
        )
    plain = speaks_utf_8(context.stdout.encoding)
    for line in lines:
        context.stdout.write((line if plain else ascii_json(line)) + "\n")
    context.stdout.flush()
    return Answer(data=exported("-", parts), written=True)


def ascii_json(line: str) -> str:
    """A line of JSON in ASCII: what is none stands inside its strings, and may be escaped there."""
    from json import dumps

    return "".join(sign if sign.isascii() else dumps(sign)[1:-1] for sign in line)


def exported(file: str, parts: "tuple[Part, ...]") -> dict[str, Json]:
    """An export for programs."""
    return {"file": file, "chains": [dict(part._asdict()) for part in parts]}


def write_lines(path: str, lines: Iterator[str], *, replace: bool) -> None:
    """Write lines into a file, whole or not at all, without holding them in memory."""
    from torquelog.cli.files import written_aside

    with written_aside(path, replace=replace) as file:
        file.writelines(f"{line}\n".encode() for line in lines)


@command(
    "take-in",
    short="Take in what another station exported.",
    examples=(Example("torquelog take-in lgw.jsonl"),),
)
@click.argument("file", metavar="FILE")
def take_in(context: Context, file: str) -> Answer:
    """The crib does this. Every entry is checked before anything is written: form, links, signatures, authority in its
    own chain. What is held already is compared and passed over; files may come in any order as long as none leaves a
    gap. Another station's signatures count here once quality accepts it: torquelog station accept CODE
    """
    from torquelog.book.takein import exported_lines
    from torquelog.book.takein import take_in as act

    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        read = metered(chunks(context, file), file, Progress(context, "KiB read"))
        taken = act(book, signer, exported_lines(read), Progress(context, "entries"))
        new = sum(each.new for each in taken)
        return Answer(
            headline=f"{words.count(new, 'entry')} taken in." if new else "Nothing in it is new.",
            facts=tuple((each.station, told(each)) for each in taken),
            remarks=tuple(Remark("name-differs", question) for each in taken for question in each.questions),
            next=tuple(
                f"torquelog station accept {each.station} --why TEXT   lets its signatures count here (quality)"
                for each in taken
                if not each.accepted
            ),
            data={"stations": [dict(each._asdict()) | {"questions": list(each.questions)} for each in taken]},
        )


def told(taken: "Taken") -> str:
    """What was taken in of a station."""
    new = f"{words.count(taken.new, 'new entry', 'new entries')}, " if taken.new else "nothing new, "
    entry = f"   {taken.reference}" if taken.reference else ""
    return f"{new}held 1 to {words.number(taken.through)}   identity {taken.identity[:16]}…{entry}"


def metered(read: Iterator[bytes], path: str, progress: Progress) -> Iterator[bytes]:
    """The pieces of a file, with a word on how much of it was read; nobody knows how long standard input is."""
    done = 0
    for chunk in read:
        yield chunk
        done += len(chunk)
        if os.path.isfile(path):
            progress(done >> 10, os.path.getsize(path) >> 10)


def chunks(context: Context, path: str) -> Iterator[bytes]:
    """A file, or standard input for "-", piece by piece.

    Raises:
        TorquelogError: file-missing, file-unreadable.
    """
    from torquelog.cli.reading import chunks as standard_input

    if path == "-":
        yield from standard_input(context.stdin)
        return
    try:
        with open(path, "rb") as file:
            while chunk := file.read(CHUNK):
                yield chunk
    except FileNotFoundError as error:
        raise TorquelogError("file-missing", f"There is no file {path}.") from error
    except OSError as error:
        raise TorquelogError("file-unreadable", f"{path} cannot be read: {error.strerror}.") from error
