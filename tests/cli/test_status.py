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


def test_what_waits_for_quality_is_told(hangar: Hangar) -> None:
    """Tools that wait for a recall, recalls that are open, entries that a second person has to confirm."""
    assert "recall" not in hangar.did("")
    hangar.did(
        "wrench add W-0417 --type setting --range '20..100 ft-lb' --graduation 0.5 --lever '12 in' "
        "--accuracy '4 %' --every '12 months'"
    )
    hangar.did(
        "wrench calibrate W-0417 --certificate C-1 --on 2026-11-09 --points sample_data/wrench-results.csv --accept"
    )
    hangar.did("job open J-1 --card MW-BUILD --assembly WH-2231")
    hangar.did("record tie-bolt:1 26.5 ft-lb --job J-1 --wrench W-0417")
    entry = hangar.data("found J-1 tie-bolt:2 sheared")["entry"]
    hangar.did(f"correct {entry} --why 'the wrong bolt'")
    said = hangar.did("wrench report W-0417 dropped")
    assert "torquelog recall open --wrench W-0417" in said
    told = hangar.did("")
    assert "Wait for a recall: W-0417\n" in told
    assert "Waiting for a second person: 1 entry\n" in told
    assert "what waits for a recall, and what is open" in told
    data = hangar.data("")
    assert (data["pending_recalls"], data["open_recalls"], data["awaiting_confirmation"]) == (
        ["W-0417"],
        [],
        1,
    )
    hangar.did("recall open --wrench W-0417 --since 2026-11-09")
    told = hangar.did("")
    assert "Recall R-1 is open, 1 fastener undecided\n" in told
    assert "Wait for a recall" not in told
    assert hangar.data("")["open_recalls"] == [{"recall": "R-1", "undecided": 1}]


def test_a_certificate_that_failed_as_found_offers_the_recall(hangar: Hangar) -> None:
    """Beside the look at its work."""
    hangar.did(
        "wrench add W-0388 --type setting --range '20..100 ft-lb' --graduation 0.5 --lever '12 in' "
        "--accuracy '4 %' --every '12 months'"
    )
    given = "wrench calibrate W-0388 --certificate {} --on {} --points sample_data/{}-results.csv"
    said = hangar.did(given.format("C-1", "2026-05-18", "wrench") + " --accept")
    assert "recall open" not in said
    said = hangar.did(given.format("C-2", "2026-11-24", "failed"))
    assert "torquelog recall open --wrench W-0388" in said


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


def test_an_empty_trace_says_so(hangar: Hangar) -> None:
    """One sentence with what was looked for, no empty table; as CSV the columns alone."""
    hangar.did("wrench add W-0417 --type setting --range '20..100 ft-lb' --graduation 0.5 --lever '12 in'")
    said = hangar.did("trace wrench W-0417 --since 2026-11-01 --until 2026-11-20")
    assert said.startswith("No reading names wrench W-0417 from Sun 1 Nov 2026 on through Fri 20 Nov 2026.\n")
    assert "oldest first" not in said
    assert hangar.did("trace person TK").startswith("No reading by TK.\n")
    assert hangar.did("trace lot L-1").startswith("No reading with hardware of lot L-1.\n")
    assert hangar.did("trace person TK --csv").startswith("entry,performed_at,job,person,fastener")
    assert hangar.data("trace wrench W-0417")["readings"] == []
