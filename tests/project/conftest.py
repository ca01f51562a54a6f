"""Documents and examples play in folders of their own."""

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A home and data folders of its own for every test, and a terminal without colours."""
    home = tmp_path / "home"
    home.mkdir(mode=0o700)
    monkeypatch.setenv("HOME", str(home))
    for name in (
        "XDG_DATA_HOME",
        "XDG_RUNTIME_DIR",
        "XDG_STATE_HOME",
        "TORQUELOG_DB",
        "COLUMNS",
        "FORCE_COLOR",
    ):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("NO_COLOR", "1")
