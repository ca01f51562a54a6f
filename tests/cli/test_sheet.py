"""The commands that write sheets and labels: one file each, never over another one."""

import json
import os
from html import unescape
from pathlib import Path

import pytest

from tests.cli.hangar import PASSPHRASE, Hangar


@pytest.fixture
def hangar() -> Hangar:
    return Hangar(
        "assembly add WH-2231 --part EX-4410-1 --kind wheel",
        "aircraft add QQ-HLB --type EX-200 --msn 1001 --on 2026-01-05",
        "card load sample_data/main-wheel-build.toml",
        "card approve MW-BUILD --why alone --passphrase-stdin",
        "wrench add W-0417 --type setting --range '20..100 ft-lb' --graduation 0.5",
        "adapter add A-03 --length '3 in'",
        "job open J-5 --card MW-BUILD --assembly WH-2231",
    )


SHEETS = {
    "sheet job J-5": ("job", "J-5", "job-J-5.html"),
    "sheet worksheet J-5": ("worksheet", "J-5", "worksheet-J-5.html"),
    "sheet crib": ("crib", "QHR", "crib-QHR.html"),
    "sheet wrench W-0417": ("wrench", "W-0417", "wrench-W-0417.html"),
    "sheet aircraft QQ-HLB": ("aircraft", "QQ-HLB", "aircraft-QQ-HLB.html"),
    "label wrench W-0417": ("label-wrench", "W-0417", "label-W-0417.html"),
    "label adapter A-03": ("label-adapter", "A-03", "label-A-03.html"),
}


@pytest.mark.parametrize("line", SHEETS)
def test_a_sheet_lies_in_a_file_that_the_answer_names(hangar: Hangar, line: str) -> None:
    """In the current folder; for programs with its kind, its name and its path."""
    kind, name, file = SHEETS[line]
    data = hangar.data(line)
    assert (data["sheet"], data["name"], data["path"]) == (kind, name, file)
    assert Path(file).read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert file in hangar.did(f"{line} --replace")


@pytest.mark.parametrize("line", SHEETS)
def test_a_file_that_is_there_is_left_as_it_is(hangar: Hangar, line: str) -> None:
    """Unless it may give way."""
    Path("mine.html").write_text("mine", encoding="utf-8")
    assert hangar.refused(f"{line} --out mine.html") == (2, ["exists"])
    assert Path("mine.html").read_text(encoding="utf-8") == "mine"
    hangar.did(f"{line} --out mine.html --replace")
    assert Path("mine.html").read_text(encoding="utf-8") != "mine"
    assert not list(Path().glob(".torquelog-*"))


def test_a_recall_has_a_sheet(hangar: Hangar) -> None:
    """By its number; one that is not there is said so, and leaves no file."""
    hangar.type("record tie-bolt:1 26.5 ft-lb --job J-5 --wrench W-0417")
    hangar.did("recall open --person TK --since 2026-11-01 --until 2026-11-25")
    assert hangar.data("sheet recall R-1")["path"] == "recall-R-1.html"
    assert hangar.refused("sheet recall R-9") == (2, ["recall-unknown"])
    assert not Path("recall-R-9.html").exists()


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("sheet job J-9", "job-unknown"),
        ("sheet worksheet J-9", "job-unknown"),
        ("sheet worksheet J-5 --adapter A-9", "tool-unknown"),
        ("sheet wrench A-03", "tool-unknown"),
        ("sheet aircraft QQ-XYZ", "aircraft-unknown"),
        ("label wrench W-0417 W-9", "tool-unknown"),
        ("label adapter W-0417", "tool-unknown"),
    ],
)
def test_what_is_not_there_leaves_no_file(hangar: Hangar, line: str, code: str) -> None:
    """The answer says what is known instead."""
    before = set(Path().iterdir())
    assert hangar.refused(line) == (2, [code])
    assert set(Path().iterdir()) == before


@pytest.mark.parametrize("line", SHEETS)
def test_a_sheet_can_go_to_standard_output(hangar: Hangar, line: str) -> None:
    """Whole and alone there, in ASCII, so that no encoding spoils it; not together with an envelope."""
    text = hangar.did(f"{line} --out -")
    assert text.startswith("<!DOCTYPE html>")
    assert text.isascii()
    hangar.did(f"{line} --out a.html")
    assert unescape(text) == unescape(Path("a.html").read_text(encoding="utf-8")).removesuffix("\n")
    assert hangar.refused(f"{line} --out -") == (2, ["argument"])
    assert not Path("-").exists()


def test_a_folder_that_is_not_there_is_said_so(hangar: Hangar) -> None:
    """Before anything is written."""
    assert hangar.refused("sheet crib --out nowhere/crib.html") == (2, ["file-missing"])


@pytest.mark.parametrize("line", SHEETS)
def test_a_sheet_never_takes_the_place_of_the_record(hangar: Hangar, line: str) -> None:
    """Not even with --replace: the record is no file that may give way."""
    record = f"{os.environ['XDG_DATA_HOME']}/torquelog/ledger.db"
    before = Path(record).read_bytes()
    status, _ = hangar.refused(f"{line} --out {record} --replace")
    assert status == 2
    assert Path(record).read_bytes()[:16] == before[:16]


def test_labels_say_what_they_hold(hangar: Hangar) -> None:
    """For programs each label with its code; a number that no code takes is told."""
    hangar.did("adapter add A_4 --length '3 in'")
    data = hangar.data("label adapter A-03 A_4")
    assert data["labels"] == [
        {
            "tool": "A-03",
            "code": "TQ1AA-03" + data["labels"][0]["code"][-1],
            "use_through": "no due date",
            "words": [],
        },
        {"tool": "A_4", "code": None, "use_through": "no due date", "words": []},
    ]
    assert "A_4: a sign that no code takes" in hangar.did("label adapter A_4 --out one.html")


def test_a_slash_in_a_name_parts_no_folders(hangar: Hangar) -> None:
    """The file stays in the current folder."""
    hangar.did("wrench add W/../1 --type setting --range '20..100 ft-lb' --graduation 0.5")
    assert hangar.data("sheet wrench W/../1")["path"] == "wrench-W-..-1.html"


def test_a_sheet_needs_nobody_signed_in_and_writes_nothing_on_record(hangar: Hangar) -> None:
    """It only reads."""
    hangar.did("sign-out")
    before = json.loads(hangar.did("verify --json"))["data"]
    hangar.did("sheet job J-5")
    assert json.loads(hangar.did("verify --json"))["data"] == before
    assert PASSPHRASE not in Path("job-J-5.html").read_text(encoding="utf-8")


def test_an_own_confirmation_is_a_remark_on_every_later_answer_and_the_sheet(hangar: Hangar) -> None:
    """TK is alone: what he confirmed of his own is said when it is confirmed, by the job, its closing, its sheet."""
    entry = hangar.data("found J-5 tie-bolt:3 sheared")["entry"]
    strike = hangar.data(f"correct {entry} --why 'the wrong bolt'")["entry"]
    said = f"{strike} was confirmed by one who did it, as nobody else could."
    hangar.did(f"confirm {strike} --why 'seen by torchlight' --passphrase-stdin", PASSPHRASE)
    assert said in hangar.did("job show J-5")
    told = json.loads(hangar.type("job close J-5 --json").out)
    assert {"code": "own-confirmation", "message": said} in told["remarks"]
    hangar.did("sheet job J-5")
    assert said in Path("job-J-5.html").read_text(encoding="utf-8")


def test_the_drafters_own_approval_is_a_remark_on_the_sheet(hangar: Hangar) -> None:
    """As on every later answer about such a job."""
    hangar.did("sheet job J-5")
    told = Path("job-J-5.html").read_text(encoding="utf-8")
    assert "The drafter approved this card, as nobody else could." in told
