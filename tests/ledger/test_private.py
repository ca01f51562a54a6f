"""Small files that only their owner may read."""

import os

import pytest

from torquelog.errors import TorquelogError
from torquelog.ledger import private
from torquelog.ledger.private import UnsafeError


@pytest.fixture(name="folder")
def _folder(tmp_path):
    return str(tmp_path / "own" / "sign-in")


def test_a_file_is_kept_and_read(folder):
    """Contents come back; file and folder are closed to others, whatever the mask."""
    before = os.umask(0)
    try:
        private.create(folder, "a", b"one")
        private.replace(folder, "b", b"two")
    finally:
        os.umask(before)
    assert private.read(folder, "a") == b"one"
    assert private.read(folder, "b") == b"two"
    assert os.stat(f"{folder}/a").st_mode & 0o777 == 0o600
    assert os.stat(f"{folder}/b").st_mode & 0o777 == 0o600
    assert os.stat(folder).st_mode & 0o777 == 0o700
    assert private.names(folder) == ["a", "b"]


@pytest.mark.parametrize("keep", [private.create, private.replace])
def test_a_later_file_takes_the_place(folder, keep):
    """The new contents stand alone: nothing else stays in the folder."""
    keep(folder, "a", b"a longer one")
    keep(folder, "a", b"new")
    assert private.read(folder, "a") == b"new"
    assert private.names(folder) == ["a"]


def test_what_is_not_there_is_not_there(folder):
    """No folder, no file: nothing is read, listed, changed or removed, and nothing is made."""
    assert private.read(folder, "a") is None
    assert private.names(folder) == []
    assert private.remove(folder, "a") is False
    assert private.rewrite_end(folder, "a", b"x", b"y") is False
    assert not os.path.exists(folder)
    private.create(folder, "b", b"")
    assert private.read(folder, "a") is None
    assert private.remove(folder, "a") is False
    assert private.remove(folder, "b") is True
    assert private.names(folder) == []


def test_the_end_is_rewritten_in_place_only_where_the_start_is_the_same(folder):
    """Another start or another length means another file: it is left alone."""
    private.create(folder, "a", b"start-end")
    assert private.rewrite_end(folder, "a", b"start-", b"new") is True
    assert private.read(folder, "a") == b"start-new"
    assert private.rewrite_end(folder, "a", b"stark-", b"bad") is False
    assert private.rewrite_end(folder, "a", b"start-", b"longer") is False
    assert private.read(folder, "a") == b"start-new"


def put_link(folder):
    os.rename(f"{folder}/a", f"{folder}/real")
    os.symlink("real", f"{folder}/a")


def put_dangling_link(folder):
    os.unlink(f"{folder}/a")
    os.symlink("/nowhere/at/all", f"{folder}/a")


def put_second_name(folder):
    os.link(f"{folder}/a", f"{folder}/b")


def put_folder(folder):
    os.unlink(f"{folder}/a")
    os.mkdir(f"{folder}/a", 0o700)


def put_pipe(folder):
    os.unlink(f"{folder}/a")
    os.mkfifo(f"{folder}/a", 0o600)


def put_folder_link(folder):
    os.rename(folder, folder + "-real")
    os.symlink(folder + "-real", folder)


@pytest.mark.parametrize(
    ("spoil", "why"),
    [
        (put_link, "is a link"),
        (put_dangling_link, "is a link"),
        (put_second_name, "second name"),
        (put_folder, "is not a regular file$"),
        (put_pipe, "is not a regular file$"),
        (put_folder_link, "folder that is a link"),
        (lambda folder: os.chmod(f"{folder}/a", 0o640), "open to others on this machine .mode 640"),
        (lambda folder: os.chmod(f"{folder}/a", 0o602), "open to others"),
        (lambda folder: os.chmod(folder, 0o701), "folder that is open to others"),
        (lambda folder: os.chmod(folder, 0o770), "folder that is open to others"),
    ],
)
def test_what_others_could_have_touched_is_not_read(folder, spoil, why):
    """Links, second names, pipes, folders, open modes: each is refused with its reason."""
    private.create(folder, "a", b"one")
    spoil(folder)
    with pytest.raises(UnsafeError, match=why):
        private.read(folder, "a")


def test_what_is_no_folder_is_not_looked_into(tmp_path, monkeypatch):
    """Where the system opens a file as it does a folder, what was opened is looked at."""
    monkeypatch.setattr(private, "_FOLDER", os.O_RDONLY)
    (tmp_path / "file").touch(0o600)
    with pytest.raises(UnsafeError, match=r"^lies in a folder that is not a regular folder$"):
        private.names(str(tmp_path / "file"))


def test_so_much_of_a_file_is_read(folder):
    """4,096 bytes: nothing of ours is longer."""
    private.create(folder, "a", b"x" * 5000)
    assert private.read(folder, "a") == b"x" * 4096


def test_nothing_stays_open(folder):
    """Whatever was done with a file, or refused, its handle and the folder's are given back."""

    def act() -> None:
        private.create(folder, "a", b"start-end")
        private.replace(folder, "b", b"two")
        private.read(folder, "a")
        private.rewrite_end(folder, "a", b"start-", b"new")
        private.names(folder)
        private.remove(folder, "b")
        os.chmod(f"{folder}/a", 0o640)
        with pytest.raises(UnsafeError):
            private.read(folder, "a")

    act()
    before = os.listdir("/proc/self/fd")
    act()
    assert os.listdir("/proc/self/fd") == before


def test_what_belongs_to_another_user_is_not_read(folder, monkeypatch):
    """The owner is looked at: seen by somebody else, file and folder are another user's."""
    private.create(folder, "a", b"one")
    monkeypatch.setattr(os, "geteuid", lambda: os.stat(folder).st_uid + 1)
    with pytest.raises(UnsafeError, match="belongs to another user"):
        private.read(folder, "a")


def test_a_link_is_removed_and_not_what_it_points_to(folder):
    """Removing takes the link away and leaves the other file."""
    private.create(folder, "a", b"one")
    put_link(folder)
    assert private.remove(folder, "a") is True
    assert private.read(folder, "real") == b"one"


@pytest.mark.parametrize("act", [private.create, private.replace])
def test_nothing_is_put_into_an_unsafe_folder(folder, act):
    """A folder that is open to others takes no secret; nor does a link to a folder."""
    os.makedirs(folder)
    os.chmod(folder, 0o755)
    with pytest.raises(UnsafeError, match="open to others"):
        act(folder, "a", b"one")
    os.chmod(folder, 0o700)
    put_folder_link(folder)
    with pytest.raises(UnsafeError, match="link"):
        act(folder, "a", b"one")
    assert os.listdir(folder) == []


def test_a_link_in_the_place_is_replaced_and_not_written_through(folder, tmp_path):
    """Whoever lays a link to a file of theirs gets no secret."""
    trap = tmp_path / "trap"
    trap.touch()
    os.makedirs(folder, mode=0o700)
    for keep, name in ((private.create, "a"), (private.replace, "b")):
        os.symlink(trap, f"{folder}/{name}")
        keep(folder, name, b"secret")
        assert private.read(folder, name) == b"secret"
    assert trap.read_bytes() == b""


def test_trouble_of_the_system_is_storage_trouble(tmp_path):
    """A file where the folder should be is no defect of ours but named as what it is."""
    (tmp_path / "own").touch()
    with pytest.raises(TorquelogError) as caught:
        private.create(str(tmp_path / "own" / "sign-in"), "a", b"one")
    assert caught.value.code == "storage"


def test_a_file_in_the_place_of_the_folder_is_named_as_storage_trouble(folder, tmp_path):
    """What is no folder is neither taken for a link nor for nothing."""
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "sign-in").touch()
    with pytest.raises(TorquelogError) as caught:
        private.read(folder, "a")
    assert caught.value.code == "storage"


def test_an_interrupted_replacing_leaves_the_earlier_file(folder, monkeypatch):
    """If the last step goes wrong, the earlier contents stay and no half file lies beside them."""
    private.replace(folder, "a", b"one")

    def fail(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", fail)
    with pytest.raises(KeyboardInterrupt):
        private.replace(folder, "a", b"two")
    assert private.read(folder, "a") == b"one"
    assert private.names(folder) == ["a"]
