"""`import`: old records brought in from files, row by row, each judged by its own date."""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from mmap import mmap
from typing import TYPE_CHECKING, Any, BinaryIO, Final

import click

from torquelog.cli.answer import Answer
from torquelog.cli.command import Command, Example, command
from torquelog.cli.context import Context
from torquelog.cli.progress import Progress
from torquelog.cli.signing import open_for, signed_in
from torquelog.errors import TorquelogError

if TYPE_CHECKING:
    from torquelog.importing.rejects import Rejects
    from torquelog.importing.sheet import Sheet

LARGE: Final = 256 << 10
"""Bytes of a file from which on it is read by a process of its own: some thousand rows."""

OPTIONS: Final = (
    click.argument("file", metavar="FILE"),
    click.option("--dry-run", is_flag=True, help="Judge every row, and write nothing."),
    click.option(
        "--keep-going", is_flag=True, help="Bring in the rows that can be, and keep the others in a file of rejects."
    ),
    click.option("--rejects", metavar="FILE", help='The file of rejects, if not "old.rejects.csv" beside "old.csv".'),
    click.option("--replace", is_flag=True, help="Write the file of rejects anew if it is there."),
    click.option("--decimal-comma", is_flag=True, help="Numbers in the file are written with a comma: 26,5."),
    click.option("--lines", is_flag=True, help="Answer one envelope a row, then one for the whole file."),
)  # fmt: skip
"""What every kind of file takes."""


def with_options(function: Callable[..., Answer]) -> Callable[..., Answer]:
    """Give a command the options that every kind of file takes."""
    for option in reversed(OPTIONS):
        function = option(function)
    return function


def made(name: str, short: str, examples: tuple[Example, ...]) -> Callable[[Callable[..., Answer]], Command]:
    """A command that brings in one kind of file."""

    def make(function: Callable[..., Answer]) -> Command:
        return command(name, short=short, examples=examples)(with_options(function))

    return make


@made(
    "readings",
    "Bring in readings from a file.",
    (
        Example("torquelog import readings sample_data/old-readings.csv --dry-run", "judges, writes nothing"),
        Example('torquelog import readings sample_data/old-readings.csv --why "kept on paper"'),
    ),
)
@click.option("--why", metavar="TEXT", help="The reason of every row that has none of its own.")
def readings(context: Context, /, **given: Any) -> Answer:
    """A row is a reading; CSV with a header, or JSON Lines. Each is judged by its own date, as record judges it: a row
    whose tool could not be used then becomes a refusal on record.

    Bringing in the same row again changes nothing.
    """
    return bring_in(context, "readings", given)


@made(
    "wrenches",
    "Register wrenches from a file.",
    (Example("torquelog import wrenches sample_data/crib-wrenches.csv"),),
)
def wrenches(context: Context, /, **given: Any) -> Answer:
    """A row is a wrench; CSV with a header, or JSON Lines, with the columns of wrench add."""
    return bring_in(context, "wrenches", given)


@made(
    "calibrations",
    "Put certificates on record from a file.",
    (Example("torquelog import calibrations sample_data/crib-certificates.csv --accept"),),
)
@click.option("--accept", is_flag=True, help="Accept every certificate that can be accepted.")
def calibrations(context: Context, /, **given: Any) -> Answer:
    """A row is a result, and the rows of one certificate stand one below the other; CSV with a header, or JSON Lines.
    For wrenches, adapters and testers.
    """
    return bring_in(context, "calibrations", given)


@made(
    "assemblies",
    "Put assemblies on record from a file.",
    (Example("torquelog import assemblies sample_data/shop-assemblies.csv"),),
)
def assemblies(context: Context, /, **given: Any) -> Answer:
    """A row is an assembly; CSV with a header, or JSON Lines."""
    return bring_in(context, "assemblies", given)


def bring_in(context: Context, name: str, given: dict[str, Any]) -> Answer:
    """Bring in a file of one kind."""
    from torquelog.cli.imported import answer_of, line_teller, no_teller
    from torquelog.importing.bringing import bring_in as act
    from torquelog.importing.kinds import KINDS
    from torquelog.importing.setting import Setting
    from torquelog.importing.sheet import Sheet
    from torquelog.importing.ways import Ways
    from torquelog.ledger.text import gate_text

    context.json = context.json or given["lines"]
    why = gate_text(given["why"], "why", reason=True) if given.get("why") else ""
    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        written = Progress(context, "written")
        meter = Meter(context, given["file"], written)
        sheet = Sheet(name, meter.chunks(), decimal_comma=given["decimal_comma"])
        with suppress(Dropped), rejects_file(context, sheet, given) as (rejects, place):
            ways = Ways(
                Setting(book.zone, signer.person, why, bool(given.get("accept"))),
                keep_going=given["keep_going"],
                dry_run=given["dry_run"],
                rejects=rejects,
                tell=line_teller(context) if given["lines"] else no_teller,
                judging=meter,
                large=meter.size >= LARGE,
                written=written,
            )
            tally = act(book, signer, KINDS[name], sheet, ways)
            meter.clear()
            if tally.interrupted:
                raise Dropped
        return answer_of(
            context, name, given, tally, place if tally.rejected and not tally.interrupted else ""
        )


class Meter:
    """A file read piece by piece, and how far the judging of it has come.

    Attributes:
        size: the file's bytes, once its first piece was read; 0 where that cannot be told.
    """

    def __init__(self, context: Context, path: str, after: Progress) -> None:
        """Begin with nothing read.

        Args:
            context: the surroundings.
            path: the file.
            after: what shows the work that begins where the judging ends.
        """
        self._context, self._path, self._after = context, path, after
        self.size = 0
        self._read = mmap(-1, 8)  # shared with the process that reads, where it is another one
        self._progress = Progress(context, "KiB judged")

    def chunks(self) -> Iterator[bytes]:
        """The file's bytes, counted; raises `file-missing` or `file-unreadable`."""
        from torquelog.cli.exchange import chunks

        if self._path != "-" and os.path.isfile(self._path):
            self.size = os.path.getsize(self._path)
        read = 0
        for chunk in chunks(self._context, self._path):
            read += len(chunk)
            self._read[:] = read.to_bytes(8, sys.byteorder)
            yield chunk

    def __call__(self) -> None:
        """Show how far it has come, where that can be told."""
        self._after.begin()
        read = int.from_bytes(self._read, sys.byteorder)
        if read < self.size:
            self._progress(read >> 10, self.size >> 10)

    def clear(self) -> None:
        """Take away what is shown."""
        self._progress.clear()


class Dropped(Exception):  # noqa: N818  it is no error
    """Leaves the file of rejects unwritten, as the same command will be given again."""


class Utf8:
    """Takes text for a file of bytes."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file

    def write(self, text: str) -> None:
        """Take a piece of text."""
        self._file.write(text.encode())


@contextmanager
def rejects_file(
    context: Context, sheet: "Sheet", given: dict[str, Any]
) -> "Iterator[tuple[Rejects | None, str]]":
    """The file of rejects, where one is wanted: begun with the first row, written aside and then put in its place.

    Raises:
        TorquelogError: exists, live-file, file-missing, needs-option.
    """
    if not given["keep_going"] or given["dry_run"]:
        yield None, ""
        return
    from torquelog.cli.files import demand_place, written_aside
    from torquelog.importing.rejects import Rejects

    place, replace = given["rejects"] or beside(given["file"]), given["replace"]
    demand_place(context, place, replace=replace)
    with ExitStack() as stack:
        yield Rejects(sheet, lambda: Utf8(stack.enter_context(written_aside(place, replace=replace)))), place


def beside(path: str) -> str:
    """The name of the file of rejects: "old.rejects.csv" beside "old.csv" (code needs-option for standard input)."""
    if path == "-":
        raise TorquelogError("needs-option", "The file of rejects needs a name.", hint="Add --rejects FILE.")
    stem, ending = os.path.splitext(path)
    return f"{stem.removesuffix('.rejects')}.rejects{ending}"
