"""Documents and examples play in folders of their own."""

from pathlib import Path

import pytest

from tests.project.dialogue import own_home


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A home and data folders of its own for every test, and a terminal without colours."""
    home = tmp_path / "home"
    home.mkdir(mode=0o700)
    own_home(monkeypatch, home)
