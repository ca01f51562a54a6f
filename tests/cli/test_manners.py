"""Good manners that every command has, walked through all of them; docs/reference/manners.md names each test."""

import ast
import json
import os
import re
import shlex
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

import torquelog
from tests.cli.hangar import Hangar
from tests.cli.terminal import Pipe, play
from tests.cli.test_render import KEYS, REFUSED
from tests.project.source import modules, tree
from torquelog.cli.app import root
from torquelog.cli.context import Context
from torquelog.cli.group import Group
from torquelog.cli.run import run
from torquelog.clock import SetClock

ESCAPE = re.compile(r"\x1b\[[0-9;]*m")
BARE = "LC_ALL=C PYTHONCOERCECLOCALE=0 PYTHONUTF8=0"
WAITED = 20.0


def walked(group: click.Command = root, path: tuple[str, ...] = ()) -> Iterator[tuple[str, click.Command]]:
    """Every command and group of the whole tree, with the words that lead to it."""
    yield " ".join(path), group
    if isinstance(group, Group):
        with click.Context(group) as ctx:
            for word in group.list_commands(ctx):
                command = group.get_command(ctx, word)
                assert command is not None
                yield from walked(command, (*path, word))


EVERY = dict(walked())
COMMANDS = [path for path, command in EVERY.items() if path and not isinstance(command, Group)]
BEGINNERS = {"demo", "convert", "setting", "applied", "sequence"}
"""Commands that need no record, and so do their work without one."""


@pytest.mark.parametrize("path", EVERY, ids=lambda path: path or "torquelog")
def test_every_command_tells_its_help(path: str) -> None:
    """--help and -h say the same, with exit 0, on standard output, where there is no record; a usage line in each."""
    long, short = play([*path.split(), "--help"]), play([*path.split(), "-h"])
    assert long == short
    assert (long.exit, long.err) == (0, "")
    assert f"\n\nUsage: torquelog {path}".rstrip() in long.out
    assert not Path(Context(stdin=Pipe(), stdout=Pipe(), stderr=Pipe()).database()).exists()


@pytest.mark.parametrize("width", [80, 40])
def test_every_help_fits(width: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """At 80 and at 40 columns; only what is to be pasted stays whole, and words that are longer than the line."""
    monkeypatch.setenv("COLUMNS", str(width))
    monkeypatch.setenv("NO_COLOR", "1")
    wide = [
        line
        for path in EVERY
        for line in play([*path.split(), "--help"], terminal=True).out.splitlines()
        if len(line) > width and not line.startswith("  torquelog") and " " in line.strip()
    ]
    assert wide == []


@pytest.mark.parametrize("path", COMMANDS)
def test_every_command_answers_json_with_one_envelope(path: str) -> None:
    """With nothing but --json, where there is no record: one line with the frozen keys, nothing beside it."""
    if path in BEGINNERS:
        return
    played = play([*path.split(), "--json"])
    assert played.err == ""
    (line,) = played.out.splitlines()
    envelope = json.loads(line)
    assert list(envelope) == KEYS
    assert (envelope["exit"], envelope["ok"]) == (played.exit, played.exit == 0)
    assert envelope["command"] == path


class Unread(Pipe):
    """Standard input of which nothing may be read."""

    def read(self, _size: int | None = -1, /) -> str:
        raise AssertionError("standard input was read")

    readline = read  # type: ignore[assignment]


LISTENING = {"desk"}
"""Commands that are there to read standard input, whatever it is."""


def test_nobody_is_asked_in_a_pipe(tmp_path: Path) -> None:
    """No command that was called without its options waits for a word; it says which one is missing, or does its work."""
    hangar = Hangar()
    for path in COMMANDS:
        if path in LISTENING | BEGINNERS:
            continue
        out, err = Pipe(), Pipe()
        run(path.split(), clock=SetClock(hangar.now), stdin=Unread(), stdout=out, stderr=err)
        assert "standard input was read" not in out.getvalue() + err.getvalue(), path
        assert "fault" not in err.getvalue(), path


SECRET = re.compile(r"pass(phrase|word|wd)|secret|private|\bpin\b|\bkey", re.IGNORECASE)


def test_no_secret_is_typed_on_the_command_line() -> None:
    """No argument or option takes one: --passphrase-stdin is a switch, and everything else has another name."""
    switches = set()
    for path, command in EVERY.items():
        for parameter in command.params:
            if SECRET.search(" ".join([*parameter.opts, parameter.name or ""])):
                assert isinstance(parameter, click.Option), path
                assert parameter.is_flag, path
                switches.add(parameter.name)
    assert switches == {"passphrase_stdin"}


def test_words_behind_two_hyphens_are_no_options(trial) -> None:
    """What begins with a hyphen can be named all the same."""

    @click.argument("words", nargs=-1)
    def command(context, words: tuple[str, ...]):
        from torquelog.cli.answer import Answer

        return Answer(headline=" ".join(words))

    trial(command)
    assert play(["trial", "--", "--json", "-h", "-x"]).out == "--json -h -x\n"


def test_a_state_is_never_told_by_colour_alone(trial, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without its escapes a coloured screen is the one without colours, letter by letter."""
    trial(lambda context: REFUSED)
    coloured = play(["trial"], terminal=True)
    monkeypatch.setenv("NO_COLOR", "1")
    plain = play(["trial"], terminal=True)
    assert coloured != plain
    assert ESCAPE.sub("", coloured.out) == plain.out


def test_a_screen_uses_few_styles() -> None:
    """Bold, bold red, and clearing the screen of guided work: nothing that fades on a white or a black background."""
    sent = {
        found
        for path in Path(torquelog.__file__).parent.rglob("*.py")
        for found in re.findall(r"\\x1b(\[[0-9;?]*[A-Za-z])", path.read_text(encoding="utf-8"))
    }
    assert sent == {"[1m", "[1;31m", "[0m", "[H", "[2J"}


def test_where_the_record_lies(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """What is typed counts before TORQUELOG_DB, and that before the data folder."""
    context = Context(stdin=Pipe(), stdout=Pipe(), stderr=Pipe())
    assert context.database() == str(tmp_path / "xdg_data_home" / "torquelog" / "ledger.db")
    monkeypatch.setenv("TORQUELOG_DB", "named.db")
    assert context.database() == str(tmp_path / "named.db")
    context.db = "typed.db"
    assert context.database() == str(tmp_path / "typed.db")


def test_the_computers_zone_counts_for_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Days and times are those of the station, wherever the computer thinks it is."""
    hangar = Hangar()
    told = set()
    for zone in ("UTC", "Pacific/Kiritimati", "America/Los_Angeles"):
        monkeypatch.setenv("TZ", zone)
        time.tzset()
        told.add(hangar.did("") + hangar.did("wrench due") + hangar.did("station show --json"))
    monkeypatch.undo()
    time.tzset()
    assert len(told) == 1


def shell(line: str) -> "subprocess.CompletedProcess[bytes]":
    """Run a line of bash in which `torquelog` is the program under test."""
    begin = f'torquelog() {{ {shlex.quote(sys.executable)} -m torquelog "$@"; }}; '
    surroundings = {**os.environ, "PYTHONPATH": str(Path(torquelog.__file__).parents[1])}
    return subprocess.run(["bash", "-c", begin + line], capture_output=True, check=False, env=surroundings)


def test_the_language_of_the_computer_counts_for_nothing() -> None:
    """A bare locale is answered with the same figures, in ASCII."""
    told = shell(f"export {BARE}; torquelog setting 60..80 N.m --lever '400 mm' --adapter '100 mm'")
    usual = shell("torquelog setting 60..80 N.m --lever '400 mm' --adapter '100 mm'")
    assert told.returncode == 0
    assert told.stdout.decode("ascii") == usual.stdout.decode().replace("·", "-").replace("×", "x")


WRENCH = "--type setting --range '20..100 N·m' --graduation 1 --every '1 year'"
QUESTIONS = (
    "wrench list --json",
    "wrench due",
    "person list",
    "job list --csv",
    "card list",
    "trace person TK",
)


def test_a_question_asked_again_is_answered_alike(tmp_path: Path) -> None:
    """In another process, with its sets and dictionaries in another order: the same bytes."""
    Hangar(*(f"wrench add W-{number} {WRENCH}" for number in (2, 1, 10)))
    asked = "; ".join(f"torquelog {question} | sed 's/[0-9][0-9]:[0-9][0-9]//g'" for question in QUESTIONS)
    first, second = (shell(f"export PYTHONHASHSEED={seed}; {asked}") for seed in (1, 2))
    assert first.stdout == second.stdout != b""


def heed_interrupts() -> None:
    """What a shell starts in the background ignores interrupts, and so would its children."""
    signal.signal(signal.SIGINT, signal.default_int_handler)


def test_ctrl_c_leaves_nothing_half_done(tmp_path: Path) -> None:
    """A beginning that is interrupted while it waits for its passphrase ends with 130, a sentence, and no file."""
    words = shlex.split("init --station QHR --zone Europe/Lisbon --first TK --name Tove --passphrase-stdin")
    surroundings = {**os.environ, "PYTHONPATH": str(Path(torquelog.__file__).parents[1])}
    child = subprocess.Popen(
        [sys.executable, "-X", "importtime", "-m", "torquelog", *words],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=surroundings,
        preexec_fn=heed_interrupts,
    )  # fmt: skip
    assert child.stderr is not None
    for line in child.stderr:  # it has begun to work once what it asks with is there
        if b"torquelog.cli.ask" in line:
            break
    child.send_signal(signal.SIGINT)
    _, err = child.communicate(timeout=WAITED)
    assert child.returncode == 130
    told = [line for line in err.decode().splitlines() if not line.startswith("import time:")]
    assert told == ["Interrupted. What was being written is either on record whole or not at all."]
    assert list(tmp_path.rglob("*.db")) == []


OPENS = re.compile(r"(?<!\w)(open|os\.fdopen|os\.open)\(|\.(read|write)_(text|bytes)\(")
OPENING = {
    "files": "the one place",
    "completing": "its own list of options",
    "exchange": "piece by piece",
    "fault": "the details",
    "run": "nowhere",
}
"""The modules of the command line that open a file, and what each opens."""


def test_files_are_opened_in_one_place() -> None:
    """Where "-" is standard input, a file is written aside and renamed, and nothing is overwritten unasked."""
    places = {
        name.rpartition(".")[2]
        for name, path in modules()
        if name.startswith("torquelog.cli.")
        for line in path.read_text(encoding="utf-8").splitlines()
        if OPENS.search(line)
    }
    assert places == set(OPENING)


def test_nothing_reaches_for_a_network() -> None:
    """No module imports anything that could."""
    networked = {"socket", "ssl", "http", "urllib", "ftplib", "smtplib", "asyncio", "webbrowser", "requests"}
    found = {
        (name, alias.name)
        for name, path in modules()
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Import | ast.ImportFrom)
        for alias in (node.names if isinstance(node, ast.Import) else [ast.alias(node.module or "")])
        if alias.name.partition(".")[0] in networked
    }
    assert found == set()
