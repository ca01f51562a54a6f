"""Every example of every help is tried, in a station where it makes sense."""

import io
import shutil
from pathlib import Path

import pytest

from tests.project.dialogue import DAY, lay_samples, own_home, parsed
from tests.project.world import SET_UP
from torquelog.cli.app import root
from torquelog.cli.command import Command, Example
from torquelog.cli.group import load
from torquelog.cli.run import run
from torquelog.cli.table import paths
from torquelog.clock import SetClock

COMMANDS = [(name, load(entry)) for name, entry in paths()]
EXAMPLES = [
    (name, example)
    for name, command in [("", root), *COMMANDS]
    for example in getattr(command, "examples", ())
]
IDS = [f"{name or 'torquelog'}-{number}" for number, (name, _) in enumerate(EXAMPLES)]


BEGINNING = {"init"}
"""Commands that are tried where there is no record yet."""


def typed(line: str, stdin: str = "") -> tuple[int, str, str]:
    """Carry out a command line; its status and what it wrote."""
    words, source, target = parsed(line)
    given = Path(source).read_text(encoding="utf-8") if source else stdin
    out, err = io.StringIO(), io.StringIO()
    status = run(words, clock=SetClock(DAY), stdin=io.StringIO(given), stdout=out, stderr=err)
    if target:
        Path(target).write_text(out.getvalue(), encoding="utf-8")
    return status, out.getvalue(), err.getvalue()


@pytest.fixture(scope="module")
def station(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A folder with a station that is set up, and a copy to lay it anew from."""
    place = tmp_path_factory.mktemp("station")
    home, kept = place / "home", place / "kept"
    home.mkdir()
    lay_samples(home)
    with pytest.MonkeyPatch.context() as patch:
        own_home(patch, home)
        patch.chdir(home)
        for line, stdin in SET_UP:
            status, _, err = typed(line, stdin)
            assert status in {0, 4}, f"{line}\n{err}"
    shutil.copytree(home, kept)
    return home, kept


@pytest.mark.parametrize(("name", "example"), EXAMPLES, ids=IDS)
def test_the_example_works(
    name: str, example: Example, station: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """It ends with the status it tells, writes an answer, and shows no fault."""
    home, kept = station
    shutil.rmtree(home)
    if name in BEGINNING:
        home.mkdir()
    else:
        shutil.copytree(kept, home)
    own_home(monkeypatch, home)
    monkeypatch.chdir(home)
    status, out, err = typed(example.line, example.stdin)
    assert status == example.exit, err
    assert out or err
    assert name in example.line


def test_every_command_has_an_example() -> None:
    """One reads an example before anything else."""
    assert all(isinstance(command, Command) and command.examples for _, command in COMMANDS)
