"""Which session of the system a command belongs to."""

import os
import pty
import subprocess
import sys

from torquelog.ledger import session

PROBE = "from torquelog.ledger.session import session; print(session())"


def probe(**options):
    done = subprocess.run(
        [sys.executable, "-c", PROBE], capture_output=True, text=True, check=True, **options
    )
    return done.stdout.strip()


def test_commands_of_one_session_agree():
    """Two commands of one session have one session, however their streams are redirected."""
    assert probe(stdin=subprocess.DEVNULL) == probe() == session.session()


def test_another_session_differs():
    """A command that begins a session of its own does not share this one's sign-ins."""
    assert probe(start_new_session=True) != session.session()


def test_two_sessions_with_one_number_differ(monkeypatch):
    """Session numbers come again; the start of the first process tells them apart."""
    lines = {
        "/proc/self/stat": "9 (a) b) S 1 9 7 34816 9 0 0 0 0 0 0 0 0 0 20 0 1 0 500 0",
        "/proc/7/stat": "7 (sh) S 1 7 7 34816 9 0 0 0 0 0 0 0 0 0 20 0 1 0 400 0",
        session.BOOT: "boot",
    }
    monkeypatch.setattr(os, "getsid", lambda _: 7)
    monkeypatch.setattr(session, "_line", lambda path: lines.get(path, ""))
    assert session.session() == "7:34816:400:boot"
    lines["/proc/7/stat"] = lines["/proc/7/stat"].replace(" 400 ", " 401 ")
    assert session.session() == "7:34816:401:boot"


def test_a_system_without_sessions_has_one(monkeypatch):
    """Where sessions have no numbers, and nothing is told of processes, all is one session of one boot."""
    monkeypatch.setattr(session, "PROCESSES", "/nowhere")
    monkeypatch.setattr(session, "BOOT", "/nowhere/boot")
    monkeypatch.setattr(session, "TERMINAL", "/nowhere/tty")
    monkeypatch.delattr(os, "getsid")
    assert session.session() == "0:0::"


def test_whatever_the_system_tells_is_read(monkeypatch, tmp_path):
    """A name of bytes that are no text stands in nobody's way; of a long line the beginning counts."""
    for process, ticks in (("self", 500), ("7", 400)):
        (tmp_path / process).mkdir()
        fields = b") S 1 9 7 34816 9 0 0 0 0 0 0 0 0 0 20 0 1 0 %d 0"
        (tmp_path / process / "stat").write_bytes(b"9 (\xff" + fields % ticks)
    (tmp_path / "boot").write_text("b" * 5000, encoding="utf-8")
    monkeypatch.setattr(session, "PROCESSES", str(tmp_path))
    monkeypatch.setattr(session, "BOOT", str(tmp_path / "boot"))
    monkeypatch.setattr(os, "getsid", lambda _: 7)
    assert session.session() == f"7:34816:400:{'b' * 4096}"


def test_a_terminal_has_its_device_in_it():
    """The first process of a session that opens a terminal has it from then on, and its session names it."""
    ours, theirs = pty.openpty()
    try:
        code = f"import os; os.open({os.ttyname(theirs)!r}, os.O_RDWR); {PROBE}"
        command = [sys.executable, "-c", code]
        done = subprocess.run(command, capture_output=True, text=True, check=True, start_new_session=True)
        assert done.stdout.split(":")[1] == str(os.fstat(theirs).st_rdev)
    finally:
        os.close(ours)
        os.close(theirs)


def test_a_system_without_a_list_of_processes_still_tells_sessions_apart(monkeypatch):
    """Where nothing can be read of processes, the session's number stands alone with the terminal's device."""
    monkeypatch.setattr(session, "PROCESSES", "/nowhere")
    monkeypatch.setattr(session, "BOOT", "/nowhere/boot")
    assert session.session().startswith(f"{os.getsid(0)}:")
    assert session.session() == session.session()


def test_without_a_list_of_processes_the_terminals_device_stands_in(monkeypatch):
    """Where a terminal can be opened its device is named, else there is none."""
    monkeypatch.setattr(session, "PROCESSES", "/nowhere")
    monkeypatch.setattr(session, "BOOT", "/nowhere/boot")
    monkeypatch.setattr(session, "TERMINAL", os.devnull)
    assert session.session().split(":")[1] == str(os.stat(os.devnull).st_rdev)
    monkeypatch.setattr(session, "TERMINAL", "/nowhere/tty")
    assert session.session().split(":")[1] == "0"
