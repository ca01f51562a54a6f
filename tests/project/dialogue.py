"""Plays the console blocks of a document and compares what is said.

A console block is a terminal of 80 columns: lines that begin with "$ " are typed, the others are what
torquelog says. Lines of "..." stand for any number of lines. Where torquelog asks, the answer is what stands behind its
question in the document. A typed line is `torquelog` with its words, and may end in "< FILE" or "> FILE"; CODE in it
stands for the one-time code that was shown last. A block in another language that bears a name, such as
"toml my-wheel.toml", is that file. All blocks of one document share a folder and a record. Blocks of python and of sql
are played by tests/project/programs.py.

What has to happen before a block stands in a comment above it, which readers do not see:

    <!-- played here
    clock 2026-11-20T09:00:00.000Z
    torquelog init --station QHR …
    -->

Its lines are carried out without a terminal, whatever passphrase they read is the one below, and a line that begins
with "!" is one that torquelog refuses. A line "clock" sets the time for those after it.
"""

import io
import os
import re
import shlex
import shutil
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.project.blocks import Block, blocks
from tests.project.programs import play_program
from tests.project.source import ROOT
from torquelog.cli.run import run
from torquelog.clock import Clock, SetClock, from_utc_text

ANY = "..."
PROMPT = "$ "
PASSPHRASE = "nine apples on the wing"
"""Typed where a question does not show its answer."""

DAY = from_utc_text("2026-11-25T14:07:31.000Z")
"""When documents play: a Wednesday."""


FOREIGN = ("XDG_DATA_HOME", "XDG_RUNTIME_DIR", "XDG_STATE_HOME", "TORQUELOG_DB", "COLUMNS", "FORCE_COLOR")
"""Settings of whoever runs the tests that must not be seen in them."""


class Exchange(NamedTuple):
    """A typed line and what is said to it; nothing said means that nothing is compared."""

    line: int
    typed: str
    said: tuple[str, ...]


def own_home(patch: pytest.MonkeyPatch, home: Path) -> None:
    """Give what is played a home of its own, and a terminal without colours."""
    patch.setenv("HOME", str(home))
    patch.setenv("NO_COLOR", "1")
    for name in FOREIGN:
        patch.delenv(name, raising=False)


def lay_samples(folder: Path) -> None:
    """Lay the project's sample data into a folder, where a document or an example may name its files."""
    samples = ROOT / "sample_data"
    if samples.is_dir():
        shutil.copytree(samples, folder / samples.name)


def exchanges(block: Block) -> Iterator[Exchange]:
    """The typed lines of a console block, each with the lines up to the next one."""
    typed, at, said = "", 0, []
    for number, line in enumerate(block.lines, start=block.line):
        if line.startswith(PROMPT):
            if typed:
                yield Exchange(at, typed, tuple(said))
            typed, at, said = line.removeprefix(PROMPT), number, []
        else:
            said.append(line)
    if typed:
        yield Exchange(at, typed, tuple(said))


class Screen(io.StringIO):
    """A terminal on which everything is written: what is said, and what is typed."""

    encoding = "utf-8"

    def isatty(self) -> bool:
        return True


class Keyboard(io.StringIO):
    """Answers the question that stands last on the screen with what the document says behind it."""

    encoding = "utf-8"

    def __init__(self, screen: Screen, said: Sequence[str]) -> None:
        super().__init__()
        self.screen = screen
        self.said = iter(said)

    def isatty(self) -> bool:
        return True

    def readline(self, _longest: int = -1, /) -> str:  # type: ignore[override]
        question = self.screen.getvalue().rpartition("\n")[2].rstrip()
        if question.endswith("(not shown):") or question == "The same again:":
            self.screen.write("\n")
            return PASSPHRASE + "\n"
        for line in self.said:
            if line.startswith(question):
                answer = line.removeprefix(question).strip()
                self.screen.write(answer + "\n")
                return answer + "\n"
        return ""


class Typed(NamedTuple):
    """A typed line in its parts.

    Attributes:
        words: what stands behind "torquelog".
        source: the file behind "<", or nothing.
        target: the file behind ">", or nothing.
    """

    words: list[str]
    source: str
    target: str


def parsed(line: str) -> Typed:
    """A typed line as a shell would read it; only torquelog can be typed."""
    program, *words = shlex.split(line)
    assert program == "torquelog", f"only torquelog can be typed here, not {program}"
    files = {"<": "", ">": ""}
    for sign in files:
        if sign in words:
            place = words.index(sign)
            files[sign] = words[place + 1]
            del words[place : place + 2]
    return Typed(words, files["<"], files[">"])


def play(exchange: Exchange, clock: Clock) -> tuple[int, str]:
    """Carry out what was typed; the exit status and everything that stands on the screen."""
    try:
        words, source, target = parsed(exchange.typed)
    except AssertionError as error:
        raise AssertionError(f"line {exchange.line}: {error}") from None
    screen = Screen()
    keyboard: io.StringIO = Keyboard(screen, exchange.said)
    if source:
        keyboard = io.StringIO(Path(source).read_text(encoding="utf-8"))
    out: io.StringIO = io.StringIO() if target else screen
    status = run(words, clock=clock, stdin=keyboard, stdout=out, stderr=screen)
    if target:
        Path(target).write_text(out.getvalue(), encoding="utf-8")
    return status, screen.getvalue()


def fits(expected: Sequence[str], actual: Sequence[str]) -> bool:
    """Whether the lines are the expected ones, a line of "..." standing for any number of lines."""
    if not expected:
        return not actual
    if expected[0].strip() == ANY:
        return any(fits(expected[1:], actual[skipped:]) for skipped in range(len(actual) + 1))
    return bool(actual) and matches(expected[0], actual[0]) and fits(expected[1:], actual[1:])


def matches(expected: str, actual: str) -> bool:
    """Whether a line is the expected one; a "..." at its end fits any rest."""
    expected, actual = expected.rstrip(), actual.rstrip()
    if expected.endswith(f" {ANY}"):
        return actual.startswith(expected.removesuffix(ANY).rstrip())
    return expected == actual


UNSEEN = re.compile(r"^<!-- played here\n(.*?)^-->$", re.MULTILINE | re.DOTALL)
CODE = re.compile(r"\b(?:[0-9A-HJKMNP-TV-Z]{5}-){4}[0-9A-HJKMNP-TV-Z]{6}\b")
PASSPHRASES = f"{PASSPHRASE}\n" * 3


def unseen(document: str) -> list[tuple[int, list[str]]]:
    """The comments that are played: the line each begins at, and what it holds."""
    return [
        (document.count("\n", 0, found.start()) + 1, found[1].splitlines())
        for found in UNSEEN.finditer(document)
    ]


def carry_out(lines: Sequence[str], clock: SetClock, code: str) -> str:
    """Carry out the lines of a comment; the one-time code that was given last.

    Raises:
        AssertionError: where a line ends otherwise than it should.
    """
    day = clock.moment
    for line in lines:
        if line.startswith("clock "):
            clock.moment = from_utc_text(line.removeprefix("clock "))
            continue
        words = parsed(line.removeprefix("! ")).words
        out = io.StringIO()
        given = [code if word == "CODE" else word for word in words]
        status = run(
            [*given, "--json"], clock=clock, stdin=io.StringIO(PASSPHRASES), stdout=out, stderr=io.StringIO()
        )
        assert status in ({3} if line.startswith("!") else {0, 4}), f"{line}\n{out.getvalue()}"
        code = last_code(out.getvalue(), code)
    clock.moment = day
    return code


def last_code(screen: str, before: str) -> str:
    """The one-time code that a screen shows last, else the one known before."""
    return (CODE.findall(screen) or [before])[-1]


def trimmed(lines: Sequence[str]) -> list[str]:
    """The lines without blank ones at either end."""
    kept = list(lines)
    while kept and not kept[0].strip():
        kept.pop(0)
    while kept and not kept[-1].strip():
        kept.pop()
    return kept


def check(document: str, folder: Path, *, clock: SetClock | None = None) -> int:
    """Play every console block of a document in a folder; how many lines were typed.

    Raises:
        AssertionError: where something else is said than the document tells, with both.
    """
    clock = clock or SetClock(DAY)
    before, typed = os.getcwd(), 0
    os.chdir(folder)
    try:
        code, waiting = "CODE", unseen(document)
        found, names = blocks(document), {"__name__": "__main__"}
        for place, block in enumerate(found):
            while waiting and waiting[0][0] < block.line:
                code = carry_out(waiting.pop(0)[1], clock, code)
            if block.language == "console":
                for exchange in exchanges(block):
                    typed += 1
                    typing = exchange._replace(typed=exchange.typed.replace("CODE", code))
                    status, screen = play(typing, clock)
                    compare(exchange, status, screen)
                    code = last_code(screen, code)
            elif block.name:
                Path(block.name).write_text("\n".join(block.lines) + "\n", encoding="utf-8")
            else:
                play_program(block, found[place + 1 :], names)
    finally:
        os.chdir(before)
    return typed


def seen(screen: str) -> list[str]:
    """The lines that remain on a screen: what is written after a carriage return stands over what was there."""
    return trimmed([line.rpartition("\r")[2] for line in screen.split("\n")])


def compare(exchange: Exchange, status: int, screen: str) -> None:
    """Raise where something else is said than is told; where nothing is told, where it ends badly."""
    expected, actual = trimmed(exchange.said), seen(screen)
    if fits(expected, actual) if expected else status == 0:
        return
    told, said = "\n".join(expected), "\n".join(actual)
    raise AssertionError(
        f"line {exchange.line}: $ {exchange.typed}\n--- the document tells\n{told}\n"
        f"--- torquelog says, ending with {status}\n{said}"
    )
