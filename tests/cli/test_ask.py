"""Questions to a person."""

import io
import os
import pty
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

import torquelog
from tests.cli.terminal import Pipe, Terminal
from torquelog.cli import ask
from torquelog.cli.context import Context
from torquelog.errors import TorquelogError
from torquelog.torque.units import parse_torque


def surroundings(typed: str, *, terminal: bool = True) -> Context:
    kind = Terminal if terminal else Pipe
    return Context(stdin=kind(typed), stdout=kind(), stderr=kind())


def screen(context: Context) -> str:
    assert isinstance(context.stdout, io.StringIO)
    return context.stdout.getvalue()


def test_a_question_is_asked_until_its_answer_can_be_read() -> None:
    """What is wrong is told in the words of the error; the question comes again."""
    context = surroundings("44,5 Nm\n44.5 Nm\n")
    value = ask.text(context, "Smallest graduation", option="--graduation", read=parse_torque)
    assert str(value) == "44.5 N·m"
    assert screen(context).startswith('Smallest graduation: "44,5" is not a number')
    assert screen(context).count("Smallest graduation: ") == 2


def test_enter_takes_the_default_and_nothing_else() -> None:
    """Shown in brackets; without one, Enter asks again."""
    context = surroundings("\n\nx\n")
    assert (
        ask.text(context, "Time zone", option="--zone", read=str, default="Europe/Lisbon") == "Europe/Lisbon"
    )
    assert ask.text(context, "Name", option="--name", read=str) == "x"
    assert screen(context) == "Time zone [Europe/Lisbon]: Name: Name: "


def test_enter_may_mean_nothing() -> None:
    """Where the default is empty."""
    assert ask.text(surroundings("\n"), "Maker (Enter if none)", option="--maker", read=str, default="") == ""


@pytest.mark.parametrize("typed", ["y", "yes", "Y", "maybe\n\nyes"])
def test_yes_is_said_never_assumed(typed: str) -> None:
    """Enter alone agrees to nothing."""
    assert ask.yes_no(surroundings(typed + "\n"), "Sign TK out?", option="--yes")


def test_first_letters_choose() -> None:
    """As long as they fit one word alone."""
    context = surroundings("s\nsta\nstar\n")
    assert ask.choice(context, "Order", ("star", "stair", "line"), option="--order") == "star"
    assert screen(context).count("Type one of star, stair, line.") == 2


@pytest.mark.parametrize("json", [False, True])
def test_nobody_is_asked_without_a_terminal(json: bool) -> None:
    """The error names the option; the same with --json on a terminal."""
    context = surroundings("answer\n", terminal=json)
    context.json = json
    with pytest.raises(TorquelogError) as caught:
        ask.text(context, "The reason", option="--why", read=str)
    assert caught.value.code == "needs-option"
    assert "--why" in caught.value.hint
    with pytest.raises(TorquelogError) as caught:
        ask.secret(context, "Passphrase for TK")
    assert "--passphrase-stdin" in caught.value.hint


def test_an_input_that_ends_is_an_answer_to_nothing() -> None:
    """Not an empty answer, and no endless loop."""
    with pytest.raises(TorquelogError) as caught:
        ask.text(surroundings("\n"), "Name", option="--name", read=str)
    assert caught.value.code == "input-ended"


@pytest.mark.parametrize("content", [b"x" * 5000 + b"\n", b"\xff\n"])
def test_a_line_that_cannot_be_an_answer_is_refused(content: bytes) -> None:
    """Too long, or bytes that are no text."""
    context = surroundings("")
    context.stdin = io.TextIOWrapper(io.BytesIO(content), encoding="utf-8")
    with pytest.raises(TorquelogError, match="The line read"):
        ask.read_line(context)


def test_passphrases_come_from_standard_input_line_by_line() -> None:
    """With --passphrase-stdin, the signer's first; the context keeps them out of files of details."""
    context = surroundings("first words of tk\nsecond words of rs\n", terminal=False)
    context.passphrase_stdin = True
    assert ask.secret(context, "Passphrase for TK") == "first words of tk"
    assert ask.secret(context, "Passphrase for RS") == "second words of rs"
    assert context.secrets == ["first words of tk", "second words of rs"]


def test_a_new_passphrase_is_typed_twice() -> None:
    """Until both are the same."""
    context = surroundings("one\ntwo\nthree\nthree\n")
    assert ask.secret(context, "Passphrase", twice=True) == "three"
    assert "not the same" in screen(context)


ASK = """
import sys
from torquelog.cli import ask
from torquelog.cli.context import Context
context = Context(stdin=sys.stdin, stdout=sys.stdout, stderr=sys.stderr)
print("GOT", len(ask.secret(context, "Passphrase")), ask.text(context, "Name", option="--name", read=str))
"""


def test_a_passphrase_is_not_shown_on_a_real_terminal() -> None:
    """The terminal shows the question and the next answer, but not what was typed."""
    leader, follower = pty.openpty()
    environment = {**os.environ, "PYTHONPATH": str(Path(torquelog.__file__).parents[1])}
    line = shlex.join([sys.executable, "-c", ASK])
    with subprocess.Popen(
        ["setsid", "-c", "bash", "-c", line],
        stdin=follower,
        stdout=follower,
        stderr=follower,
        env=environment,
    ) as asked:
        os.close(follower)
        seen = read_until(leader, "(not shown): ")
        os.write(leader, b"nine apples\n")
        seen += read_until(leader, "Name: ")
        os.write(leader, b"tove\n")
        seen += read_until(leader, "GOT 11 tove")
        asked.wait(timeout=30)
    os.close(leader)
    assert "nine apples" not in seen


def read_until(terminal: int, text: str) -> str:
    """What the terminal shows until a text has come."""
    seen = ""
    while text not in seen:
        seen += os.read(terminal, 1024).decode()
    return seen


def test_a_question_breaks_between_its_words(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a narrow terminal the answer is typed behind the last line of the question."""
    monkeypatch.setenv("COLUMNS", "40")
    context = surroundings("\n")
    question = "A second scale on the same wrench? (Enter if none)"
    assert ask.text(context, question, option="--scale", read=str, default="") == ""
    assert screen(context) == "A second scale on the same wrench?\n(Enter if none): "
