"""`torquelog` alone: where everybody stands."""

import json

import pytest

from tests.cli.hangar import PASSPHRASE, Hangar
from tests.cli.terminal import play

APPROVE = "--why 'nobody else is here' --passphrase-stdin"


@pytest.fixture
def hangar() -> Hangar:
    return Hangar(
        "assembly add WH-2231 --part EX-4410-1 --kind wheel",
        "card load sample_data/main-wheel-build.toml",
        f"card approve MW-BUILD {APPROVE}",
    )


def test_without_a_record_it_is_told_how_to_begin() -> None:
    """Where was looked, and what can be typed; nothing is made."""
    played = play([])
    assert played.exit == 0
    assert played.out.startswith("There is no record here yet.\n")
    assert "torquelog init" in played.out
    assert json.loads(play(["--json"]).out)["data"]["record"] is None


def test_a_record_at_its_beginning(hangar: Hangar) -> None:
    """Station, time, who is signed in and for how long; that there is no backup yet."""
    said = hangar.did("")
    assert said.startswith("QHR   Wed 25 Nov 2026 14:07 Lisbon\n")
    assert (
        "TK    Tove Kallas, technician, inspector, crib and quality, signed in until 02:07, in 12 hours"
        in said
    )
    assert "Last backup   none that this account knows of" in said
    assert "torquelog wrench add" in said
    assert "torquelog sign-in" not in said


def test_an_open_job_is_told_with_what_is_open(hangar: Hangar) -> None:
    """As open here, while nobody on this terminal is at it."""
    hangar.did("job open J-1 --card MW-BUILD --assembly WH-2231")
    said = hangar.did("")
    assert "Also open here\n" in said
    assert "J-1    wheel WH-2231, on the bench" in said
    assert "open before it can close" in said
    data = hangar.data("")
    assert [job["job"] for job in data["open_jobs"]] == ["J-1"]
    assert data["signed_in"][0]["person"] == "TK"


def test_the_job_that_was_named_last_is_with_you(hangar: Hangar) -> None:
    """On a terminal it carries over, with how far it is."""
    hangar.talked("job open J-1 --card MW-BUILD --assembly WH-2231")
    status, screen = hangar.talked("")
    assert status == 0
    assert "With you\n  J-1    wheel WH-2231, on the bench    0 of 24 readings\n" in screen
    assert "torquelog job show J-1" in screen


def test_tools_that_may_not_be_used_are_named(hangar: Hangar) -> None:
    """A wrench without a certificate, and what is issued to whoever is signed in."""
    hangar.did(
        "wrench add W-0417 --type setting --range '20..100 N·m' --graduation '0.5 N·m' --lever '380 mm' "
        "--accuracy '4 %' --every '12 months'"
    )
    said = hangar.did("")
    assert "Not to be used: W-0417\n" in said
    assert "torquelog wrench due   why those may not be used" in said
    assert hangar.data("")["not_to_be_used"] == ["W-0417"]


def test_nobody_signed_in(hangar: Hangar) -> None:
    """Then that is the next thing to do."""
    hangar.did("sign-out")
    said = hangar.did("")
    assert "Nobody is signed in on this terminal.\n" in said
    assert "Next: torquelog sign-in ID\n" in said


def test_the_last_backup_is_told(hangar: Hangar) -> None:
    """When it was, and how long ago."""
    hangar.did("backup copy.db")
    hangar.now += 21 * 3_600_000
    said = hangar.did("")
    assert "Last backup   14:07 yesterday, 21 hours ago\n" in said
    assert hangar.data("")["last_backup"]["path"].endswith("copy.db")


def test_the_status_writes_nothing(hangar: Hangar) -> None:
    """Neither an entry nor a sign-in."""
    before = hangar.data("station show")
    hangar.did("")
    assert hangar.data("station show") == before
    assert PASSPHRASE
