"""Whoever waits at a terminal sees how far a long piece of work has come, and about how long it still takes."""

import pytest

from tests.cli.hangar import Hangar
from tests.cli.technician import SET_UP
from tests.cli.terminal import Pipe, Terminal
from torquelog.cli import progress
from torquelog.cli.context import Context
from torquelog.cli.progress import Progress
from torquelog.cli.run import run
from torquelog.clock import SetClock


def shown(stream: Pipe, *, json: bool = False, quiet: float = 0.0) -> str:
    """What is written while three of four things are done within a minute, and then the last."""
    passing = iter((0.0, 20.0, 40.0, 60.0, 80.0))
    context = Context(stdin=stream, stdout=Pipe(), stderr=stream)
    context.json = json
    told = Progress(context, "entries", lambda: next(passing), quiet=quiet)
    for done in range(1, 5):
        told(done, 4)
    return stream.getvalue()


def test_only_a_person_sees_how_far_it_has_come() -> None:
    """With the time that is left; at the end the line is blank. A pipe and a program get nothing."""
    lines = [line.rstrip() for line in shown(Terminal()).split("\r")]
    assert lines == [
        "", "1 of 4 entries, about 60 seconds left", "2 of 4 entries, about 40 seconds left",
        "3 of 4 entries, about 20 seconds left", "", "",
    ]  # fmt: skip
    assert shown(Pipe()) == ""
    assert shown(Terminal(), json=True) == ""


def test_what_is_done_at_once_shows_nothing() -> None:
    """Within the quiet time nothing is written, so that short work leaves no flicker."""
    assert shown(Terminal(), quiet=1000.0) == ""


WRENCH = "--type setting --range '20..100 N·m' --graduation 1 --every '1 year'"
WORK = (
    *SET_UP,
    *(f"wrench add W-{number} {WRENCH}" for number in (1, 2)),
    *(f"record tie-bolt:{number} 26.5 ft-lb --job J-5 --wrench W-0417" for number in (1, 7, 4)),
)
LONG = (
    "verify", "export all.jsonl", "backup copy.db", "rebuild", "sheet crib", "take-in lgw.jsonl", "review",
    "recall open --wrench W-0417",
    "restore kept.db --old-file-is-gone --why gone --replace --as TK --passphrase-stdin",
)  # fmt: skip


@pytest.mark.parametrize("line", LONG, ids=lambda line: line.split(" -")[0])
def test_everything_that_can_take_long_tells_how_far_it_is(
    line: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a terminal a word is said while it lasts, and the line is blank in the end."""
    hangar = Hangar(*WORK)
    if line.startswith("take-in"):
        hangar.did(
            "init --db lgw.db --station LGW --zone Europe/London --first AB --name 'Ann Bold' --passphrase-stdin",
            "nine apples on the wing\n",
        )
        hangar.did("export lgw.jsonl --db lgw.db")
    hangar.did("backup kept.db")
    monkeypatch.setattr(progress, "QUIET", 0.0)
    monkeypatch.setattr("torquelog.counted.STRIDE", 1)
    monkeypatch.setattr("torquelog.book.verification.STRIDE", 1)
    screen = Terminal()
    words = line.split()
    status = run(
        words,
        clock=SetClock(hangar.now),
        stdin=Pipe("nine apples on the wing\n"),
        stdout=Pipe(),
        stderr=screen,
    )
    told = [part.strip() for part in screen.getvalue().split("\r")]
    assert status == 0, screen.getvalue()
    assert any(" of " in part for part in told), told
    assert told[-1] == ""
