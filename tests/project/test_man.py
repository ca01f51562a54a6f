"""The pages for man: one a command, as the command tells itself, without a complaint of those who read them."""

import re
import subprocess
import tomllib

import click
import pytest

from tests.project import make_man
from tests.project.source import ROOT
from torquelog.cli.group import load
from torquelog.cli.table import Branch, paths, top

NAMES = sorted(make_man.pages())


def test_there_is_a_page_for_every_command_and_no_other():
    """One for torquelog, one for each word that needs another one, one for each command."""
    words = [
        "",
        *(name for name, entry in top().items() if isinstance(entry, Branch)),
        *(name for name, _ in paths()),
    ]
    assert sorted(f"torquelog {word}".strip().replace(" ", "-") + ".1" for word in words) == NAMES
    assert sorted(path.name for path in make_man.FOLDER.iterdir()) == NAMES


def test_every_page_is_up_to_date():
    """A change of a command shows here until the pages are made again."""
    made = make_man.pages()
    stale = [name for name in NAMES if (make_man.FOLDER / name).read_text(encoding="utf-8") != made[name]]
    assert stale == [], "out of date: python -m tests.project.make_man"


def test_every_page_tells_the_options_examples_and_words_of_its_command():
    """Read back from the page as it is laid out: nothing is lost on the way."""
    for name, entry in paths():
        shown = read(f"torquelog-{name.replace(' ', '-')}.1")
        command = load(entry)
        for each in command.params:
            if isinstance(each, click.Option) and not each.hidden:
                assert all(option in shown for option in each.opts), f"{name}: {each.opts}"
        for example in command.examples:  # type: ignore[attr-defined]  # every command of ours has them
            assert example.line in shown, f"{name}: {example.line}"


def read(name: str) -> str:
    """A page as plain text, no line broken; bold signs, which are struck twice, once."""
    words = ["mandoc", "-T", "utf8", "-O", "width=900", make_man.FOLDER / name]
    return re.sub(".\b", "", subprocess.run(words, capture_output=True, text=True, check=True).stdout)


def test_mandoc_has_nothing_to_say_against_them():
    """Warnings and errors; none of them."""
    said = subprocess.run(
        ["mandoc", "-T", "lint", "-W", "warning", *(make_man.FOLDER / name for name in NAMES)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (said.stdout, said.stderr, said.returncode) == ("", "", 0)


def test_groff_has_nothing_to_say_against_them():
    """All its warnings, over every page."""
    said = subprocess.run(
        ["groff", "-z", "-ww", "-man", "-Kutf8", "-Tutf8", *(make_man.FOLDER / name for name in NAMES)],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert (said.stdout, said.stderr) == ("", "")


def test_man_shows_one():
    """`man --warnings` finds nothing, and the page is the command's."""
    said = subprocess.run(
        ["man", "--warnings", "-l", make_man.FOLDER / "torquelog-record.1"],
        capture_output=True, text=True, check=True, env={"PATH": "/usr/bin:/bin", "LANG": "C.UTF-8", "MANPAGER": "cat"},
    )  # fmt: skip
    assert said.stderr == ""
    assert "torquelog record" in said.stdout


@pytest.mark.parametrize("words", [".begins", "'begins", "a\\b", "--db `x`", "it's"])
def test_no_sign_of_a_command_is_taken_for_one_of_the_language(words):
    """A point or an apostrophe at the beginning, a backslash, hyphens, quotation marks."""
    page = f'.TH T 1 2026-11-25 "t" "t"\n.SH NAME\nt \\- t\n.SH TEXT\n{make_man.plain(words)}\n'
    done = subprocess.run(
        ["mandoc", "-T", "utf8", "-man"], input=page, capture_output=True, text=True, check=True
    )
    assert f" {words}\n" in done.stdout


def test_they_are_installed_where_man_looks():
    """Below share/man/man1 of wherever torquelog is installed."""
    told = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert told["tool"]["hatch"]["build"]["targets"]["wheel"]["shared-data"] == {"docs/man": "share/man/man1"}
