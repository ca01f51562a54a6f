"""Completion: which words may follow, asked as a shell asks, and by bash, zsh and fish themselves."""

import hashlib
import os
import pty
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing, suppress
from pathlib import Path

import click
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.project.make_reference import options_text
from tests.project.source import ROOT
from torquelog.cli import completing, completion
from torquelog.cli.completion_words import FLAGS, OTHERWISE, PLACES, VALUES
from torquelog.cli.group import load
from torquelog.cli.table import paths, top
from torquelog.demo.story import tell

SHELLS = ("bash", "zsh", "fish")


@pytest.fixture(name="hangar", scope="module")
def _hangar(tmp_path_factory) -> Path:
    """The record of the demonstration, in which somebody laid names that no shell may ever see."""
    path = tmp_path_factory.mktemp("hangar") / "hangar.db"
    tell(str(path))
    with closing(sqlite3.connect(path)) as connection:
        for number, name in enumerate(
            ("W-$(touch HURT)", "W-`touch HURT`", "W-X; touch HURT", "W-'\"", "W-\n"), 900
        ):
            connection.execute(
                "INSERT INTO tool (station, number, at, recorded, known, tool, sort, owner) "
                "VALUES ('QVN', ?, 0, 0, 0, ?, 'wrench', 'company')",
                (number, name),
            )
        connection.execute(
            "INSERT INTO job_closed (station, number, at, recorded, known, job, closed_by) "
            "VALUES ('QVN', 950, 0, 0, 0, 'J-301', 'JS')"
        )
        connection.commit()
    return path


def asked(line: str, db: Path | str = "none.db", shell: str = "zsh", breaks: str = "") -> list[str]:
    """The words that may follow a line, or `files`."""
    environ = {
        "_TORQUELOG_COMPLETE": shell, "_TORQUELOG_LINE": line, "TORQUELOG_DB": str(db), "_TORQUELOG_BREAKS": breaks,
    }  # fmt: skip
    kind, *words = completing.answer(environ).splitlines()
    return ["files"] if kind == "files" else [word.partition("\t")[0] for word in words]


def test_the_tables_name_the_options_that_the_commands_have():
    """Which take a value and which do not; nothing is told of an option, a command or a place that is gone."""
    flags, valued, places = set(), set(), {}
    for name, entry in paths():
        parameters = load(entry).params
        places[name] = sum(isinstance(each, click.Argument) for each in parameters)
        for each in parameters:
            if isinstance(each, click.Option):
                (flags if each.is_flag else valued).update(each.opts)
    assert flags == FLAGS - {"--version"}
    assert VALUES.keys() <= valued
    assert not flags & valued
    assert {name.rpartition(" ")[2] for name in OTHERWISE} <= valued
    for name, kinds in PLACES.items():
        assert len(kinds) == places[name], name


def test_the_list_of_options_is_what_the_commands_have():
    """Made from them; a change shows here until it is made again."""
    listed = Path(completing.OPTIONS).read_text(encoding="utf-8")
    assert listed == options_text(), "out of date: python -m tests.project.make_reference"


def test_commands_are_completed_from_the_table():
    """The first word, the second one, and what begins in some way."""
    assert asked("torquelog ") == list(top())
    assert asked("torquelog rec") == ["record", "recall"]
    assert asked("torquelog wrench i") == ["issue", "interval"]
    assert asked("torquelog convert 3") == []
    assert asked("torquelog nothing ") == []


def test_options_are_completed_each_once():
    """Of the command, or of torquelog itself; one that stands on the line already is not offered again."""
    assert asked("torquelog record tie-bolt:1 --w") == ["--wrench", "--why"]
    assert asked("torquelog record --wrench W-1 --w") == ["--why"]
    assert asked("torquelog --j") == ["--json"]
    assert asked("torquelog wrench --j") == []
    assert "--clock-ok" not in asked("torquelog wrench list --")


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("torquelog wrench show w-2", ["W-204", "W-231", "W-260"]),
        ("torquelog wrench issue W-118 W-20", ["W-204"]),
        ("torquelog wrench issue W-118 --to j", ["JS"]),
        ("torquelog record brake-nut:1 27 ft-lb --adapter ", ["A-07"]),
        ("torquelog record brake-nut:1 --wrench=W-118 -a A", ["A-07"]),
        ("torquelog setting '60..80 N·m' --adapter ", []),
        ("torquelog job show J-3", ["J-301", "J-302"]),
        ("torquelog trace aircraft ", ["QQ-TAN", "QQ-ULM"]),
        ("torquelog trace assembly wh", ["WH-7104"]),
        ("torquelog job open J-9 --assembly wheel=W", ["wheel=WH-7104"]),
        ("torquelog job open J-9 --card ", ["BENCH-WHEEL", "LINE-BRAKE"]),
        ("torquelog recall show ", ["R-1"]),
        ("torquelog recall open --shop ", ["QVN"]),
        ("torquelog --as E", ["EV"]),
        ("torquelog record --job J-301 tie-bolt:1", ["tie-bolt:1", "tie-bolt:10"]),
        ("torquelog loosen J-302 brake-nut:", [f"brake-nut:{number}" for number in range(1, 5)]),
        ("torquelog trace fastener brake-nut:3", ["brake-nut:3"]),
        ("torquelog wrench report W-118 d", ["dropped", "damaged"]),
        ("torquelog person role JS --add te", ["technician"]),
        ("torquelog wrench calibrate W-118 --points ", ["files"]),
        ("torquelog --db ", ["files"]),
        ("torquelog wrench calibrate W-118 --certificate ", []),
    ],
)
def test_names_are_completed_from_the_record(hangar, line, words):
    """Wrenches, adapters, jobs, cards, fasteners, assemblies, aircraft, recalls, people; files where a file is meant."""
    assert asked(line, hangar) == words


def test_a_record_that_is_named_on_the_line_is_asked(hangar):
    """`--db` counts more than the surroundings."""
    assert asked(f"torquelog --db {hangar} recall show ") == ["R-1"]
    assert asked(f"torquelog --db '{hangar}' recall show ", "none.db") == ["R-1"]


def test_bash_is_told_what_follows_its_own_break(hangar):
    """It breaks words at a colon; what stands before is in an earlier word already."""
    line = "torquelog record --job J-301 tie-bolt:1"
    assert asked(line, hangar, "bash", " :=") == ["1", "10"]
    assert asked(line, hangar, "bash", " ") == ["tie-bolt:1", "tie-bolt:10"]


def test_open_jobs_are_offered_where_only_an_open_job_can_be_meant(hangar):
    """A closed one is shown, and never worked on."""
    assert "J-301" not in asked("torquelog work ", hangar)
    assert "J-301" in asked("torquelog job show ", hangar)


def test_a_name_that_is_none_is_never_offered(hangar):
    """Whatever lies in the file: only what an identifier may hold reaches the shell."""
    offered = asked("torquelog wrench show ", hangar)
    assert offered == ["W-118", "W-204", "W-231", "W-260"]


def test_a_file_that_is_no_record_offers_nothing(tmp_path):
    """Missing, another kind, a folder."""
    (tmp_path / "text").write_text("no record", encoding="utf-8")
    for path in ("missing.db", "text", "."):
        assert asked("torquelog wrench show ", tmp_path / path) == []


@given(st.text(max_size=60))
def test_whatever_is_typed_never_ends_badly(line):
    """Quotes that are never closed, signs of every alphabet, options without a command."""
    for typed in (
        line,
        f"torquelog {line}",
        f"torquelog wrench show {line}",
        f"torquelog record --job {line} x:",
    ):
        completing.answer(
            {"_TORQUELOG_COMPLETE": "bash", "_TORQUELOG_LINE": typed, "TORQUELOG_DB": "none.db"}
        )


def test_asking_writes_nothing_into_the_record(hangar):
    """The file's bytes and its time stay."""
    before = hashlib.sha256(hangar.read_bytes()).digest(), hangar.stat().st_mtime_ns
    for line in ("torquelog wrench show ", "torquelog work ", "torquelog record "):
        asked(line, hangar)
    assert (hashlib.sha256(hangar.read_bytes()).digest(), hangar.stat().st_mtime_ns) == before


def test_asking_for_names_imports_no_command(hangar):
    """Neither click nor a command, nor the floors above the registers."""
    code = "import sys; from torquelog.cli import completing; completing.main(); print(*sys.modules, file=sys.stderr)"
    environ = {
        **os.environ,
        "PYTHONPATH": str(ROOT),
        "TORQUELOG_DB": str(hangar),
        "_TORQUELOG_COMPLETE": "bash",
    }
    done = subprocess.run(
        [sys.executable, "-c", code], env={**environ, "_TORQUELOG_LINE": "torquelog wrench show W-20"},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout == "words\nW-204\t\n"
    loaded = set(done.stderr.split())
    assert not loaded & {
        "click",
        "torquelog.cli.app",
        "torquelog.facts.tools",
        "torquelog.book.opening",
        "json",
    }


# The shells themselves


@pytest.fixture(name="home")
def _home(tmp_path, hangar):
    """A folder with the program on its path, and the surroundings of a shell in it."""
    (tmp_path / "bin").mkdir()
    program = tmp_path / "bin" / "torquelog"
    program.write_text(f'#!/bin/sh\nexec {sys.executable} -m torquelog "$@"\n', encoding="utf-8")
    program.chmod(0o755)
    for shell, script in completion.SCRIPTS.items():
        (tmp_path / f"torquelog.{shell}").write_text(script, encoding="utf-8")
    (tmp_path / "points.csv").write_text("state\n", encoding="utf-8")
    environ = {
        "PATH": f"{tmp_path / 'bin'}:{os.environ['PATH']}", "PYTHONPATH": str(ROOT), "HOME": str(tmp_path),
        "TORQUELOG_DB": str(hangar), "TERM": "dumb", "LANG": "C.UTF-8", "XDG_CONFIG_HOME": str(tmp_path / "config"),
    }  # fmt: skip
    return tmp_path, environ


CASES = (
    ("torquelog wrench show W-20", ["W-204"]),
    ("torquelog checkp", ["checkpoint"]),
    ("torquelog record brake-nut:1 --run-on-w", ["--run-on-wrench"]),
    ("torquelog wrench show ", ["W-118", "W-204", "W-231", "W-260"]),
    ("torquelog trace fastener brake-nut:4", ["brake-nut:4"]),
)


@pytest.mark.parametrize(("line", "words"), CASES[:4])
def test_bash_asks_and_understands(home, line, words):
    """Its function, called as bash calls it."""
    folder, environ = home
    script = (
        f"source torquelog.bash; COMP_LINE={shlexed(line)}; COMP_POINT=${{#COMP_LINE}}; _torquelog_complete; "
        'printf "%s\\n" "${COMPREPLY[@]}"'
    )
    done = subprocess.run(
        ["bash", "--norc", "-c", script], cwd=folder, env=environ, capture_output=True, text=True, check=True
    )
    assert (done.stdout.split(), done.stderr) == (words, "")
    assert not (folder / "HURT").exists()


def shlexed(text: str) -> str:
    return "'" + text.replace("'", "'\\''") + "'"


@pytest.mark.parametrize(("line", "words"), CASES)
def test_fish_asks_and_understands(home, line, words):
    """`complete -C` answers as the Tab key would."""
    folder, environ = home
    done = subprocess.run(
        ["fish", "--no-config", "-c", f"source torquelog.fish; complete -C {shlexed(line)}"],
        cwd=folder, env=environ, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert ([each.partition("\t")[0] for each in done.stdout.splitlines()], done.stderr) == (words, "")
    assert not (folder / "HURT").exists()


TYPED = {
    "bash": (["bash", "--norc", "--noprofile", "-i"], "set +o history; source torquelog.bash\n"),
    "zsh": (["zsh", "-f", "-i"], "autoload -Uz compinit; compinit -u -D; source torquelog.zsh\n"),
}


@pytest.mark.parametrize("shell", TYPED)
@pytest.mark.parametrize(
    ("keys", "became"),
    [
        ("torquelog wrench show W-20\t", "torquelog wrench show W-204"),
        ("torquelog checkp\t", "torquelog checkpoint"),
        ("torquelog loosen J-302 brake-nut:4\t", "torquelog loosen J-302 brake-nut:4"),
        ("torquelog wrench show w-20\t", "torquelog wrench show W-204"),
        (
            "torquelog wrench calibrate W-118 --points poi\t",
            "torquelog wrench calibrate W-118 --points points.csv",
        ),
    ],
)
def test_the_tab_key_completes(home, shell, keys, became):
    """Typed into the shell on a terminal, then made the arguments of a command that writes them down."""
    folder, environ = home
    command, begin = TYPED[shell]
    said = terminal(command, environ, folder, f"{begin}{keys}\x01printf '%s\\n' \x05 > told\nexit\n")
    assert (folder / "told").read_text(encoding="utf-8").split() == became.split(), said
    assert not (folder / "HURT").exists()


def terminal(command: list[str], environ: dict[str, str], folder: Path, keys: str) -> str:
    """What stands on a terminal after these keys, the last of which leave the shell."""
    child, screen = pty.fork()
    if child == 0:
        os.chdir(folder)
        os.execvpe(command[0], command, environ)
    os.write(screen, keys.encode())
    said = b""
    with suppress(OSError):  # the terminal is gone when the shell is
        while more := os.read(screen, 65536):
            said += more
    os.close(screen)
    os.waitpid(child, 0)
    return said.decode("utf-8", "replace")


@pytest.mark.parametrize("shell", SHELLS)
def test_the_shell_reads_its_script(shell, home):
    """No shell has anything to say against it; `torquelog completion` prints the same."""
    folder, environ = home
    assert shutil.which(shell), f"{shell} is needed for these tests; .ci/run names the package"
    done = subprocess.run(
        [shell, "-n", f"torquelog.{shell}"],
        cwd=folder,
        env=environ,
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stderr == ""
    told = subprocess.run(
        [folder / "bin" / "torquelog", "completion", shell],
        env=environ,
        capture_output=True,
        text=True,
        check=True,
    )
    assert told.stdout == completion.SCRIPTS[shell]
