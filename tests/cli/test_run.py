"""One run of one command line, whatever happens on the way."""

import errno
import json
import os
import shlex
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import torquelog
from tests.cli.terminal import Pipe, play
from torquelog.cli.answer import Answer
from torquelog.errors import CODES, TorquelogError


def shell(line: str) -> "subprocess.CompletedProcess[bytes]":
    """Run a line of bash in which `torquelog` is the program under test."""
    begin = f'torquelog() {{ {shlex.quote(sys.executable)} -m torquelog "$@"; }}; '
    surroundings = {**os.environ, "PYTHONPATH": str(Path(torquelog.__file__).parents[1])}
    return subprocess.run(["bash", "-c", begin + line], capture_output=True, check=False, env=surroundings)


def raising(error: BaseException):
    def command(context) -> Answer:
        raise error

    return command


def problem_of(played) -> dict[str, str]:
    (problem,) = json.loads(played.out)["problems"]
    return problem


def test_an_error_of_ours_ends_with_its_own_status(trial) -> None:
    """What happened and why on one line of standard error, what to do next on another."""
    trial(
        raising(
            TorquelogError("busy", "Another program is writing.", why="It has been.", hint="torquelog verify")
        )
    )
    assert play(["trial"]) == (6, "", "Another program is writing. It has been.\nNext: torquelog verify\n")


def test_an_error_comes_as_an_envelope_where_json_is_asked(trial) -> None:
    """Wherever --json stands, even where the line could not be parsed."""
    trial(raising(TorquelogError("number-form", "x", why="y", hint="z")))
    for args in (["--json", "trial"], ["trial", "--json"]):
        assert problem_of(play(args)) == {"code": "number-form", "message": "x y", "hint": "z"}
    played = play(["trial", "--nonsense", "--json"])
    assert problem_of(played)["code"] == "argument"
    assert (played.exit, played.err) == (2, "")


def test_interrupted_is_130(trial) -> None:
    """Ctrl-C ends with 130 and an envelope of its own."""
    trial(raising(KeyboardInterrupt()))
    assert play(["trial"]).exit == 130
    assert problem_of(play(["trial", "--json"]))["code"] == "interrupted"


def test_an_unforeseen_error_keeps_its_details_in_a_file(trial, tmp_path: Path) -> None:
    """No traceback on the screen; the file is for its owner alone and holds no secret."""

    def command(context) -> Answer:
        phrase = context.hide("correct horse battery")
        raise ValueError(f"cannot use {phrase}")

    trial(command)
    played = play(["trial"])
    assert (played.exit, played.out) == (1, "")
    assert "Traceback" not in played.err
    (file,) = tmp_path.rglob("fault-*.txt")
    assert file.name in played.err
    details = file.read_text()
    assert "ValueError: cannot use (hidden)" in details
    assert "horse" not in details.replace('context.hide("correct horse battery")', "")
    assert file.stat().st_mode & 0o077 == 0


def test_the_details_go_to_the_temporary_folder_where_there_is_no_other(trial, tmp_path, monkeypatch) -> None:
    """A data folder that cannot be written does not lose them."""
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "file"))
    trial(raising(RuntimeError("boom")))
    problem = problem_of(play(["trial", "--json"]))
    path = problem["message"].split("The details are in ")[1].rstrip(".")
    assert "RuntimeError: boom" in Path(os.path.expanduser(path)).read_text()
    os.unlink(path)


@pytest.mark.parametrize(
    ("trouble", "code"),
    [
        (OSError(errno.ENOSPC, "No space left on device"), "disk-full"),
        (PermissionError(errno.EACCES, "Permission denied"), "read-only"),
        (sqlite3.OperationalError("no such table: x"), "fault"),
        (sqlite3.ProgrammingError("closed"), "fault"),
    ],
)
def test_troubles_of_the_disk_have_codes_of_their_own(trial, trouble: Exception, code: str) -> None:
    """Storage ends with 6; a wrong statement is a defect of the program."""
    trial(raising(trouble))
    played = play(["trial", "--json"])
    assert problem_of(played)["code"] == code
    assert played.exit == CODES[code][0]


def test_a_locked_database_is_busy(trial, tmp_path) -> None:
    """SQLite's own complaint is never shown as it is."""

    def command(context) -> Answer:
        path = tmp_path / "x.db"
        first, second = sqlite3.connect(path), sqlite3.connect(path, timeout=0)
        first.execute("BEGIN EXCLUSIVE")
        try:
            second.execute("BEGIN EXCLUSIVE")
        finally:
            first.close()
            second.close()
        return Answer()

    trial(command)
    assert problem_of(play(["trial", "--json"]))["code"] == "busy"


def test_a_stray_byte_in_a_word_is_told() -> None:
    """The byte is shown by its number; nothing else is looked at."""
    assert play(["convert", "5\udcff"]) == (
        2,
        "",
        'The word "5\\xff" of the command line holds a byte that is not UTF-8 text.\n'
        "Type it again; if it was pasted, look at the encoding it came from.\n",
    )


def test_closed_streams_do_no_harm() -> None:
    """With every stream closed a command still ends with its status, without a word."""
    assert shell("torquelog --json >&- 2>&- <&-").returncode == 0


def test_a_reader_that_had_enough_is_no_error() -> None:
    """`torquelog --help | head -1` says nothing on standard error."""
    ran = shell("torquelog --help | true; exit ${PIPESTATUS[0]}")
    assert (ran.returncode, ran.stderr) == (0, b"")


def test_an_answer_that_cannot_be_written_is_told() -> None:
    """A full disk below the output is told on standard error; the status is not 0."""
    ran = shell("torquelog --help > /dev/full")
    assert ran.returncode == 1
    assert b"could not be written" in ran.stderr


def test_the_version_is_told() -> None:
    """Of every program one wants to know it."""
    assert play(["--version"]).out == "torquelog 0.1.0\n"
    assert json.loads(play(["--version", "--json"]).out)["data"] == {"version": "0.1.0"}


@given(
    st.lists(
        st.one_of(
            st.sampled_from(
                ["--json", "--db", "x.db", "--as", "tk", "-h", "--", "convert", "setting", "-", "-5", ""]
            ),
            st.text(max_size=8),
        ),
        max_size=6,
    )
)
@settings(max_examples=100, deadline=None)
def test_no_line_of_words_ends_in_a_traceback(args: list[str]) -> None:
    """Whatever is typed, the end is an answer or an error of ours, never a fault."""
    out, err = Pipe(), Pipe()
    from torquelog.cli.run import run

    assert run(args, stdin=Pipe(), stdout=out, stderr=err) != 1
    assert "Traceback" not in err.getvalue()
