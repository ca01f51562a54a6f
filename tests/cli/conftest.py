"""What the tests of the command line share."""

from collections.abc import Callable
from pathlib import Path

import click
import pytest

from torquelog.cli import group
from torquelog.cli.app import root
from torquelog.cli.command import command
from torquelog.cli.table import Branch, Entry


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every test has folders of its own and no terminal settings of whoever runs it."""
    for name in ("XDG_DATA_HOME", "XDG_RUNTIME_DIR", "XDG_STATE_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / name.lower()))
        (tmp_path / name.lower()).mkdir(mode=0o700)
    for name in ("TORQUELOG_DB", "NO_COLOR", "FORCE_COLOR", "COLUMNS"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.chdir(tmp_path)


@pytest.fixture
def trial(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Adds a command "trial", and "box trial" below a group, that does what a test wants."""

    def add(function: Callable[..., object], **settings: object) -> None:
        made = command("trial", short="Try something.", **settings)(function)  # type: ignore[arg-type]
        usual = group.load

        def load(entry: Entry) -> click.Command:
            return made if entry.module == "trial" else usual(entry)

        entry = Entry("trial", "trial", "Try something.")
        monkeypatch.setattr(group, "load", load)
        monkeypatch.setitem(root.table, "trial", entry)
        monkeypatch.setitem(root.table, "box", Branch("Try a group.", {"trial": entry}))

    return add
