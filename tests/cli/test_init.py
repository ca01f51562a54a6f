"""`init`: six answers, or none where everything is named."""

import json
import os
from pathlib import Path

import pytest

from tests.cli.terminal import NOON, play
from tests.project.dialogue import Keyboard, Screen
from torquelog.cli import init
from torquelog.cli.run import run
from torquelog.clock import SetClock

SAID = (
    "Station code, 2 to 8 letters or digits: qhr",
    "Time zone [Europe/Lisbon]:",
    "A wrench may be used until the end of its due (d)ay or its due (m)onth: d",
    "Your initials, as you sign a job card: tk",
    "Your full name: Tove Kallas",
)
PASSPHRASE = "nine apples on the wing\n"
NAMED = ["init", "--station", "QHR", "--zone", "Europe/Lisbon", "--first", "TK", "--name", "Tove Kallas"]


@pytest.fixture(autouse=True)
def lisbon(monkeypatch: pytest.MonkeyPatch) -> None:
    """The computer stands in Lisbon, and its terminal has no colours."""
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setattr(init, "local_zone", lambda: "Europe/Lisbon")


def talked(*said: str) -> tuple[int, str]:
    screen = Screen()
    status = run(["init"], clock=SetClock(NOON), stdin=Keyboard(screen, said), stdout=screen, stderr=screen)
    return status, screen.getvalue()


def test_six_answers_begin_a_record() -> None:
    """Each is asked for once; then the first person is signed in, and it is told until when."""
    status, screen = talked(*SAID)
    assert status == 0
    assert screen.startswith("A new record for one station.")
    assert "It will be kept in" in screen
    assert "\nQHR is ready. TK holds every role for now, so that you can begin.\n" in screen
    assert "Signed in as TK until 02:07 tomorrow, in 12 hours (Lisbon)." in screen
    assert screen.endswith("Next: torquelog wrench add\n")
    assert "nine apples" not in screen


def test_an_answer_that_cannot_be_is_asked_for_again() -> None:
    """What was wrong is told, and the question comes once more."""
    status, screen = talked("Station code, 2 to 8 letters or digits: 1QHR", *SAID)
    assert status == 0
    assert '"1QHR" cannot be a station code.' in screen
    assert screen.count("Station code,") == 2


def test_without_questions_everything_is_named() -> None:
    """The passphrase is read from standard input; the data names path, person and the end of the sign-in."""
    played = play([*NAMED, "--passphrase-stdin", "--json"], stdin=PASSPHRASE)
    answer = json.loads(played.out)
    assert played.exit == 0
    assert answer["station"] == "QHR"
    assert len(answer["ledger"]) == 64
    assert answer["data"] | {"path": ""} == {
        "station": "QHR", "zone": "Europe/Lisbon", "path": "", "person": "TK", "name": "Tove Kallas",
        "entry": "QHR-000002", "signed_in_until": "2026-11-26T02:07:31.000+00:00",
    }  # fmt: skip
    assert Path(answer["data"]["path"]).stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("missing", ["--station", "--zone", "--first", "--name", "--passphrase-stdin"])
def test_what_is_missing_is_told_where_nobody_can_be_asked(missing: str) -> None:
    """With the option that names it; nothing is made."""
    words = [*NAMED, "--passphrase-stdin"]
    place = words.index(missing)
    del words[place : place + (1 if missing == "--passphrase-stdin" else 2)]
    played = play([*words, "--json"], stdin=PASSPHRASE)
    (problem,) = json.loads(played.out)["problems"]
    assert (played.exit, problem["code"]) == (2, "needs-option")
    assert missing in problem["hint"]
    assert not os.path.exists(os.path.join(os.environ["XDG_DATA_HOME"], "torquelog", "ledger.db"))


@pytest.mark.parametrize(
    ("words", "stdin", "code"),
    [
        (["--station", "Q"], PASSPHRASE, "station-form"),
        (["--zone", "Europe/Lisboa"], PASSPHRASE, "zone-unknown"),
        (["--first", "T K"], PASSPHRASE, "identifier-form"),
        (["--name", "Tove\u202eKallas"], PASSPHRASE, "text-mark"),
        (["--due-through", "year"], PASSPHRASE, "rule-value"),
        ([], "short\n", "passphrase-short"),
        ([], "", "input-ended"),
        (["--db", "/nowhere/at/all.db"], PASSPHRASE, "storage"),
    ],
)
def test_what_cannot_be_makes_nothing(words: list[str], stdin: str, code: str) -> None:
    """A clear refusal, and no file, not even half of one."""
    played = play([*NAMED, *words, "--passphrase-stdin", "--json"], stdin=stdin)
    (problem,) = json.loads(played.out)["problems"]
    assert problem["code"] == code
    assert played.exit in (2, 6)
    data = Path(os.environ["XDG_DATA_HOME"]) / "torquelog"
    assert not data.exists() or list(data.iterdir()) == []


def test_a_record_is_never_overwritten() -> None:
    """A second time there is one already; nothing is asked."""
    talked(*SAID)
    status, screen = talked()
    assert status == 2
    assert "lies at" in screen
    assert "Station code" not in screen


def test_two_records_are_never_alike() -> None:
    """The same answers at the same moment give another identity: a nonce is drawn."""
    identities = set()
    for name in ("one.db", "two.db"):
        played = play([*NAMED, "--db", name, "--passphrase-stdin", "--json"], stdin=PASSPHRASE)
        identities.add(json.loads(played.out)["ledger"])
    assert len(identities) == 2


def test_the_due_month_is_a_rule_from_the_beginning() -> None:
    """As said at the beginning, it stands in entry 1."""
    play([*NAMED, "--due-through", "month", "--passphrase-stdin"], stdin=PASSPHRASE)
    shown = json.loads(play(["station", "show", "--json"]).out)["data"]
    assert shown["rules"]["due-through"] == "month"
    assert shown["rule_set"] == "1"
