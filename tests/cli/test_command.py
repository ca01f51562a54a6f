"""Commands and groups: options anywhere, examples first, numbers below zero, help without imports."""

import json

import click
import pytest

from tests.cli.terminal import play
from torquelog.cli.answer import Answer
from torquelog.cli.app import root
from torquelog.cli.command import Command, Example, joined
from torquelog.cli.group import load
from torquelog.cli.table import SECTIONS, Branch, Entry, paths, top


@pytest.mark.parametrize(
    "args",
    [
        ["--db", "x.db", "--as", "tk", "--json", "box", "trial"],
        ["box", "--db", "x.db", "trial", "--json", "--as", "tk"],
        ["box", "trial", "--as=tk", "--db=x.db", "--json"],
        ["--db", "other.db", "box", "trial", "--as", "tk", "--db", "x.db", "--json"],
    ],
)
def test_the_common_options_stand_anywhere(trial, args: list[str]) -> None:
    """Before the command, between its words or behind it; the one nearer to the command counts."""
    trial(lambda context: Answer(data={"db": context.db, "as": context.as_person}))
    envelope = json.loads(play(args).out)
    assert envelope["data"] == {"db": "x.db", "as": "tk"}
    assert envelope["command"] == "box trial"


def test_numbers_below_zero_are_values(trial) -> None:
    """-5 is never taken for an option, as a word, behind an option, or after a quantity's first word."""

    @click.argument("words", nargs=-1)
    @click.option("--adapter", multiple=True)
    def command(context, words: tuple[str, ...], adapter: tuple[str, ...]) -> Answer:
        return Answer(data={"words": joined(words), "adapter": list(adapter)})

    trial(command)
    played = play(["trial", "-5", "N·m", "--adapter", "-2in", "−3", "--adapter=-1.5 in", "-.5", "--json"])
    assert json.loads(played.out)["data"] == {"words": "-5 N·m −3 -.5", "adapter": ["-2in", "-1.5 in"]}


def test_an_unknown_option_shows_the_close_one(trial) -> None:
    """A did-you-mean is text; it never runs. The mask over "-5" is not seen."""

    @click.option("--reading")
    def command(context, reading: str | None) -> Answer:
        return Answer()

    trial(command)
    assert play(["trial", "--raeding", "x"]).err == (
        "There is no option --raeding here. Did you mean --reading?\nNext: torquelog trial --help\n"
    )
    assert "(-5)" in play(["trial", "-5"]).err


@pytest.mark.parametrize(
    ("args", "code", "begin"),
    [
        (["trial"], "needs-option", "--why is needed."),
        (["trial", "--why"], "argument", "--why needs a value."),
        (["trial", "--why", "x", "--json=yes"], "argument", "--json takes no value."),
        (
            ["trial", "--why", "x", "--pick", "blue"],
            "argument",
            "--pick: 'blue' is not one of 'red', 'green'.",
        ),
    ],
)
def test_a_wrong_line_is_told_in_our_words(trial, args: list[str], code: str, begin: str) -> None:
    """A demanded option that is missing has a code of its own."""

    @click.option("--why", required=True)
    @click.option("--pick", type=click.Choice(["red", "green"]))
    def command(context, why: str, pick: str | None) -> Answer:
        return Answer()

    trial(command)
    played = play(["--json", *args])
    (problem,) = json.loads(played.out)["problems"]
    assert (played.exit, problem["code"]) == (2, code)
    assert problem["message"].startswith(begin)
    assert problem["hint"] == "torquelog trial --help"


@pytest.mark.parametrize(
    ("args", "meant"),
    [(["convrt"], "torquelog convert"), (["box", "trail"], "torquelog box trial")],
)
def test_an_unknown_command_shows_the_close_one(trial, args: list[str], meant: str) -> None:
    """Within a group the whole command is shown, so that it can be pasted."""
    trial(lambda context: Answer())
    played = play(args)
    assert played.exit == 2
    assert 'Did you mean "torquelog ' in played.err
    assert f'"{meant}"' in played.err


def test_a_word_that_needs_another_says_which(trial) -> None:
    """A group alone does nothing."""
    trial(lambda context: Answer())
    assert play(["box"]) == (2, "", '"box" needs one more word: trial.\nNext: torquelog box --help\n')


@pytest.mark.parametrize(
    "args", [["trial", "-h"], ["trial", "--help"], ["--db", "x", "box", "trial", "--help"]]
)
def test_examples_stand_first_in_the_help(trial, args: list[str]) -> None:
    """Purpose, examples, usage, details, options."""

    def command(context) -> Answer:
        """More about it.

        And a second paragraph.
        """
        raise AssertionError("help runs nothing")

    trial(command, examples=(Example("torquelog trial --json", "for a program"),))
    told = play(args).out
    assert told.startswith(
        "Try something.\n\nExamples:\n  torquelog trial --json\n      for a program\n\nUsage: torquelog "
    )
    assert "\n\nMore about it.\n\nAnd a second paragraph.\n\nOptions:\n" in told


def test_help_can_be_had_as_an_envelope(trial) -> None:
    """One envelope and nothing else, on every path."""
    trial(lambda context: Answer())
    assert json.loads(play(["trial", "--help", "--json"]).out)["data"]["help"].startswith("Try something.")


@pytest.mark.parametrize(("name", "entry"), list(paths()))
def test_the_table_and_the_commands_agree(name: str, entry: Entry) -> None:
    """Each entry leads to a command of ours with that name and that short help, and with an example."""
    command = load(entry)
    assert isinstance(command, Command)
    assert command.name == name.split()[-1]
    assert command.short == entry.help
    assert command.examples, f"{name} has no example"


def test_short_helps_are_sentences() -> None:
    """A verb first, a full stop last, and none so long that it breaks at 80 columns."""
    groups = [entry.help for entry in top().values() if isinstance(entry, Branch)]
    for help_text in [entry.help for _, entry in paths()] + groups:
        assert help_text[0].isupper()
        assert help_text.endswith(".")
        assert len(help_text) <= 64, help_text


def test_the_help_shows_every_command() -> None:
    """Under its heading, once."""
    told = play(["--help"]).out
    for title, commands in SECTIONS:
        assert (f"\n{title}:\n" in told) is bool(commands)
    for word, entry in top().items():
        assert sum(line.split()[:1] == [word] and entry.help[:20] in line for line in told.split("\n")) == 1


def test_a_group_shows_its_commands(trial) -> None:
    """From the table alone."""
    trial(lambda context: Answer())
    assert "Commands:\n  trial   Try something.\n" in play(["box", "--help"]).out
    assert root.list_commands(click.Context(root))[-1] == "box"
