"""What each example of every help looks like on a screen: wide and narrow, in ASCII, as an envelope; and what is next."""

import io
import json
import re
import shlex
from collections.abc import Iterator
from typing import Final

import click
import pytest

from tests.cli.terminal import Terminal
from tests.cli.test_render import KEYS
from tests.project.examples import EXAMPLES, IDS, Station, typed
from torquelog.cli.app import root
from torquelog.cli.command import Example
from torquelog.cli.group import Group
from torquelog.cli.text import columns
from torquelog.torque.units import TORQUE_UNITS

QUANTITY = re.compile(
    r"\d\s*(c|da|m|k)?(N[-·.]?m|(lbf|lbs?|ozf?|kgf?)[-·.](in|ft|c?m)|(in|ft)[-·.](lbf?|oz)|gf)\b"
)
PASTED = re.compile(r"^(?:Next: | {6})(torquelog\b.*?)(?: {3}.*)?$")


class Typist(io.StringIO):
    """Standard input whose lines are seen on the screen as they are typed."""

    def __init__(self, content: str, screen: Terminal) -> None:
        super().__init__(content)
        self.screen = screen

    def readline(self, size: int | None = -1, /) -> str:
        line = super().readline(-1 if size is None else size)
        self.screen.write(line)
        return line


def stays_whole(line: str) -> bool:
    """Whether a line is not broken, however long: a command that is to be pasted, a single word, a line to be kept."""
    return "torquelog " in line or " " not in line.strip() or line.startswith('{"')


def followed(text: str) -> Iterator[str]:
    """The commands that stand after "Next:", without the notes behind them."""
    offered = False
    for line in text.splitlines():
        offered = line.startswith("Next: ") or (offered and line.startswith("      torquelog"))
        match = PASTED.match(line) if offered else None
        if match is not None:
            yield match[1]


@pytest.mark.parametrize(("width", "encoding"), [(80, "utf-8"), (40, "ascii")])
@pytest.mark.parametrize(("name", "example"), EXAMPLES, ids=IDS)
def test_the_answer_fits_the_screen(
    name: str, example: Example, width: int, encoding: str, station: Station, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No line is wider than the terminal, none holds an escape, and without UTF-8 all of it is ASCII."""
    station.lay(monkeypatch, name)
    monkeypatch.setenv("COLUMNS", str(width))
    screen = Terminal(encoding=encoding)
    typed(example.line, Typist(example.stdin, screen), screen=screen)
    shown = screen.getvalue()
    wide = [line for line in shown.splitlines() if columns(line) > width and not stays_whole(line)]
    assert wide == [] or "--csv" in example.line
    assert "\x1b" not in shown
    assert encoding != "ascii" or shown.isascii()


@pytest.mark.parametrize(("name", "example"), EXAMPLES, ids=IDS)
def test_the_answer_comes_as_envelopes(
    name: str, example: Example, station: Station, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With --json each line of standard output is an envelope with the frozen keys, and nothing stands beside it."""
    station.lay(monkeypatch, name)
    status, out, err = typed(example.line, example.stdin, "--json")
    envelopes = [json.loads(line) for line in out.splitlines()]
    assert err == ""
    assert envelopes
    for envelope in envelopes:
        assert list(envelope)[: len(KEYS)] == KEYS
        assert envelope["ok"] == (envelope["exit"] == 0)
    assert status in {envelope["exit"] for envelope in envelopes}


NOWHERE: Final = {"", "convert", "setting", "applied", "sequence", "completion", "desk"}
"""Computations, which need no record; a program for a shell; a dialogue that is ended by a word of its own."""


@pytest.mark.parametrize(("name", "example"), EXAMPLES, ids=IDS)
def test_what_is_next_can_be_pasted(
    name: str, example: Example, station: Station, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each answer that was not refused has a "Next:"; each command after it is one, with options that it has, and none
    offers a reading to be confirmed.
    """
    station.lay(monkeypatch, name)
    status, out, err = typed(example.line, example.stdin)
    for_programs = out.startswith("{") or "--csv" in example.line
    assert status or name in NOWHERE or for_programs or [*followed(out + err)], out
    for line in followed(out + err):
        assert not QUANTITY.search(line), line
        command, words = found(line)
        known = {name for parameter in [*root.params, *command.params] for name in parameter.opts}
        assert {word.partition("=")[0] for word in words if word.startswith("--")} <= known, line


def found(line: str) -> tuple[click.Command, list[str]]:
    """The command that a line names, and the words behind its name."""
    words = shlex.split(line)[1:]
    command: click.Command = root
    with click.Context(root) as ctx:
        while words and isinstance(command, Group) and not words[0].startswith("-"):
            below = command.get_command(ctx, words.pop(0))
            assert below is not None, line
            command = below
    return command, words


def test_no_unit_slips_through() -> None:
    """A reading in any unit that can be recorded is seen in a line that is offered."""
    for unit in TORQUE_UNITS:
        assert QUANTITY.search(f"torquelog record tie-bolt:1 26.5 {unit}"), unit
        assert QUANTITY.search(f"torquelog record tie-bolt:1 26.5 {unit.replace('·', '-')}"), unit


def test_only_what_follows_next_is_looked_at() -> None:
    """Commands stand one below the other, with a note behind them or none."""
    shown = "Done.\ntorquelog x\n\nNext: torquelog a --b   a note\n      torquelog c D\n\n      torquelog e\n"
    assert list(followed(shown)) == ["torquelog a --b", "torquelog c D"]
