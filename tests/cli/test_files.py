"""Files that a command reads and writes."""

from pathlib import Path

import pytest

from tests.cli.terminal import Pipe
from torquelog.cli import files
from torquelog.cli.context import Context
from torquelog.errors import TorquelogError


def surroundings(stdin: str = "") -> Context:
    return Context(stdin=Pipe(stdin), stdout=Pipe(), stderr=Pipe())


def code_of(act) -> str:
    with pytest.raises(TorquelogError) as caught:
        act()
    return caught.value.code


def test_a_dash_is_standard_input() -> None:
    """The same for text and bytes."""
    assert files.read_text(surroundings("a·b"), "-") == "a·b"
    assert files.read_bytes(surroundings("a"), "-") == b"a"


def test_a_byte_order_mark_is_no_text(tmp_path: Path) -> None:
    """Spreadsheets write one."""
    (tmp_path / "x").write_bytes(b"\xef\xbb\xbfa,b\n")
    assert files.read_text(surroundings(), str(tmp_path / "x")) == "a,b\n"


def test_what_cannot_be_read_is_told(tmp_path: Path) -> None:
    """Missing, a folder, too large, no text: each has its code."""
    (tmp_path / "bytes").write_bytes(b"ab\xff")
    path = str(tmp_path / "bytes")
    assert code_of(lambda: files.read_text(surroundings(), str(tmp_path / "none"))) == "file-missing"
    assert code_of(lambda: files.read_text(surroundings(), str(tmp_path))) == "file-unreadable"
    assert code_of(lambda: files.read_bytes(surroundings(), path, largest=2)) == "file-too-large"
    assert code_of(lambda: files.read_text(surroundings(), path)) == "file-encoding"


def test_a_file_is_never_overwritten_unasked(tmp_path: Path) -> None:
    """With --replace it is; what is left behind is the file alone."""
    path = tmp_path / "x"
    files.write_file(str(path), b"one", replace=False)
    assert code_of(lambda: files.write_file(str(path), b"two", replace=False)) == "exists"
    assert path.read_bytes() == b"one"
    files.write_file(str(path), b"two", replace=True)
    assert path.read_bytes() == b"two"
    assert [entry.name for entry in tmp_path.iterdir() if entry.is_file()] == ["x"]


def test_a_file_that_appears_meanwhile_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The look beforehand is a courtesy; the name itself is taken in one step."""
    path = tmp_path / "x"
    path.write_bytes(b"theirs")
    monkeypatch.setattr(files, "_demand_free", lambda _path, *, replace: None)
    assert code_of(lambda: files.write_file(str(path), b"ours", replace=False)) == "exists"
    assert path.read_bytes() == b"theirs"
    assert [entry.name for entry in tmp_path.iterdir() if entry.is_file()] == ["x"]


def test_an_interrupted_write_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither half a file nor the one beside it."""

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    assert code_of(lambda: files.write_file(str(tmp_path / "x"), b"one", replace=False)) == "disk-full"
    assert not [entry for entry in tmp_path.iterdir() if entry.is_file()]
