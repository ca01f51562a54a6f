"""Documents and examples play in folders of their own."""

from pathlib import Path

import pytest

from tests.project.dialogue import own_home
from tests.project.examples import Station


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A home and data folders of its own for every test, and a terminal without colours."""
    home = tmp_path / "home"
    home.mkdir(mode=0o700)
    own_home(monkeypatch, home)


@pytest.fixture(scope="session")
def station(tmp_path_factory: pytest.TempPathFactory) -> Station:
    """The station in which examples are tried; set up once."""
    return Station(tmp_path_factory.mktemp("station"))
