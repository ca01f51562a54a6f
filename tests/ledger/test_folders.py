"""Where a user's files lie."""

import os

import pytest

from torquelog.ledger.folders import data_folder, make_folder, runtime_folder

HOME = os.path.expanduser("~")


@pytest.mark.parametrize(
    ("platform", "environ", "folder"),
    [
        ("linux", {}, f"{HOME}/.local/share/torquelog"),
        ("linux", {"XDG_DATA_HOME": "/srv/data"}, "/srv/data/torquelog"),
        ("linux", {"XDG_DATA_HOME": "relative"}, f"{HOME}/.local/share/torquelog"),
        ("linux", {"XDG_DATA_HOME": ""}, f"{HOME}/.local/share/torquelog"),
        ("darwin", {}, f"{HOME}/Library/Application Support/torquelog"),
        ("win32", {"LOCALAPPDATA": "/local"}, "/local/torquelog"),
        ("win32", {}, f"{HOME}/torquelog"),
    ],
)
def test_the_data_folder_is_where_the_system_keeps_data(platform, environ, folder):
    """Each system's own place; a relative path in the environment is ignored."""
    assert data_folder(environ, platform) == folder


def test_the_runtime_folder_is_the_system_s_where_it_is_private(tmp_path):
    """A folder of one's own with mode 0700 is used; any other, or none, leaves the data folder."""
    environ = {"XDG_RUNTIME_DIR": str(tmp_path), "XDG_DATA_HOME": "/srv/data"}
    tmp_path.chmod(0o700)
    assert runtime_folder(environ, "linux") == f"{tmp_path}/torquelog"
    tmp_path.chmod(0o750)
    assert runtime_folder(environ, "linux") == "/srv/data/torquelog"
    assert (
        runtime_folder(environ | {"XDG_RUNTIME_DIR": f"{tmp_path}/missing"}, "linux") == "/srv/data/torquelog"
    )
    assert runtime_folder({"XDG_DATA_HOME": "/srv/data"}, "linux") == "/srv/data/torquelog"


def test_another_user_s_runtime_folder_is_not_used(tmp_path, monkeypatch):
    """After a change of user the environment still names the folder of the user before."""
    environ = {"XDG_RUNTIME_DIR": str(tmp_path), "XDG_DATA_HOME": "/srv/data"}
    tmp_path.chmod(0o700)
    owner = tmp_path.stat().st_uid
    monkeypatch.setattr(os, "geteuid", lambda: owner + 1)
    assert runtime_folder(environ, "linux") == "/srv/data/torquelog"
    monkeypatch.setattr(os, "geteuid", lambda: owner)
    assert runtime_folder(environ, "linux") == f"{tmp_path}/torquelog"


def test_a_file_is_no_runtime_folder(tmp_path):
    """What is named must be a folder."""
    file = tmp_path / "file"
    file.touch(0o600)
    environ = {"XDG_RUNTIME_DIR": str(file), "XDG_DATA_HOME": "/srv/data"}
    assert runtime_folder(environ, "linux") == "/srv/data/torquelog"


def test_folders_are_made_for_their_owner_only(tmp_path):
    """Every folder that was missing is closed to others, and one that exists keeps its mode."""
    tmp_path.chmod(0o755)
    make_folder(str(tmp_path / "a" / "b"))
    assert (tmp_path / "a").stat().st_mode & 0o777 == 0o700
    assert (tmp_path / "a" / "b").stat().st_mode & 0o777 == 0o700
    make_folder(str(tmp_path))
    assert tmp_path.stat().st_mode & 0o777 == 0o755


@pytest.mark.parametrize("above", [True, False])
def test_folders_are_made_from_the_first_that_is_missing(tmp_path, monkeypatch, above):
    """What is there is not made again; where nothing is, not even a drive, the system is asked from its root on."""
    made = []
    monkeypatch.setattr(os, "mkdir", lambda folder, mode: made.append((folder, mode)))
    if above:
        make_folder(str(tmp_path / "a" / "b"))
        assert made == [(str(tmp_path / "a"), 0o700), (str(tmp_path / "a" / "b"), 0o700)]
    else:
        monkeypatch.setattr(os.path, "isdir", lambda _: False)
        make_folder("/a/b")
        assert made == [("/", 0o700), ("/a", 0o700), ("/a/b", 0o700)]
