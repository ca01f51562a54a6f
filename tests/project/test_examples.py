"""Every example of every help is tried, in a station where it makes sense."""

import pytest

from tests.project.examples import COMMANDS, EXAMPLES, IDS, Station, typed
from torquelog.cli.command import Command, Example


@pytest.mark.parametrize(("name", "example"), EXAMPLES, ids=IDS)
def test_the_example_works(
    name: str, example: Example, station: Station, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It ends with the status it tells, writes an answer, and shows no fault."""
    station.lay(monkeypatch, name)
    status, out, err = typed(example.line, example.stdin)
    assert status == example.exit, err
    assert out or err
    assert name in example.line


def test_every_command_has_an_example() -> None:
    """One reads an example before anything else."""
    assert all(isinstance(command, Command) and command.examples for _, command in COMMANDS)
