"""The commands of jobs: opened, listed, shown, and not closed while anything is open."""

import csv
import io
import json

import pytest

from tests.cli.hangar import Hangar
from torquelog.cli.job import following
from torquelog.facts import jobs as facts_of_jobs
from torquelog.rules.closing import Hold

APPROVE = "--why 'nobody else is here' --passphrase-stdin"


@pytest.fixture
def hangar() -> Hangar:
    return Hangar(
        "aircraft add QQ-HLB --type EX-200 --msn 1001 --on 2026-01-05",
        "assembly add WH-2231 --part EX-4410-1 --kind wheel",
        "card load sample_data/main-wheel-build.toml",
        f"card approve MW-BUILD {APPROVE}",
        "card load sample_data/main-wheel-fit.toml",
        f"card approve MW-FIT {APPROVE}",
    )


def test_a_job_on_the_bench_is_told_in_one_sentence(hangar: Hangar) -> None:
    """What it is about, its card with revision and date, how much there is to do, the cautions of a wheel."""
    said = hangar.did("job open J-1 --card mw-build --assembly wh-2231")
    assert said.startswith("J-1 is open: wheel WH-2231, part EX-4410-1, on the bench.\n")
    assert "MW-BUILD, EX-MANUAL 32-40, revision B of Mon 2 Nov 2026" in said
    assert "12 tie bolts, 24 readings to take.\n" in said
    assert "Inflate only in a cage." in said
    assert "Hot brakes" not in said
    assert "The drafter approved this card, as nobody else could." in said
    assert "is now your job" not in said


def test_a_job_is_data_for_programs(hangar: Hangar) -> None:
    """Its card, aircraft, position and assemblies, and the remark about the approval."""
    line = "job open J-3 --card MW-FIT --aircraft QQ-HLB --position 'Main 2' --assembly wheel=WH-2231 --json"
    envelope = json.loads(hangar.did(line))
    data = envelope["data"]
    assert set(data) == {
        "job", "entry", "card", "revision", "digest", "aircraft", "position", "assemblies", "opened_by",
        "opened_at", "closed_at", "readings", "added",
    }  # fmt: skip
    assert data["aircraft"] == {"registration": "QQ-HLB", "msn": "1001"}
    assert data["position"] == "main 2"
    assert data["assemblies"]["wheel"]["serial"] == "WH-2231"
    assert data["readings"] == {"taken": 0, "asked": 4}
    assert [remark["code"] for remark in envelope["remarks"]] == ["own-approval"]


def test_an_unknown_assembly_is_asked_for(hangar: Hangar) -> None:
    """Kind and part number on a terminal, then the job carries over; a slip of the finger ends with Enter."""
    status, screen = hangar.talked(
        "job open J-1 --card MW-BUILD --assembly WH-2299",
        "What is it? (wheel, brake, ...; Enter if it was mistyped): wheel",
        "Its part number: EX-4410-1",
    )
    assert status == 0, screen
    assert "WH-2299 is not known yet. Did you mean WH-2231?" in screen
    assert "J-1 is now your job until you name another." in screen
    status, screen = hangar.talked(
        "job open J-2 --card MW-BUILD --assembly WH-2213",
        "What is it? (wheel, brake, ...; Enter if it was mistyped):",
    )
    assert status == 2
    assert [each["serial"] for each in hangar.data("assembly list")["assemblies"]] == ["WH-2231", "WH-2299"]


def test_jobs_are_listed_while_they_are_open(hangar: Hangar) -> None:
    """With their readings and how many things hold them open; a second job on one wheel is pointed out."""
    hangar.did("job open J-1 --card MW-BUILD --assembly WH-2231")
    beside = json.loads(hangar.did("job open J-2 --card MW-BUILD --assembly WH-2231 --json"))
    assert "beside" in [remark["code"] for remark in beside["remarks"]]
    assert hangar.did("job list").startswith("2 open jobs at QHR.\n")
    jobs = hangar.data("job list")["jobs"]
    assert [(each["job"], each["readings"], each["open"]) for each in jobs] == [
        ("J-1", {"taken": 0, "asked": 24}, 2), ("J-2", {"taken": 0, "asked": 24}, 2),
    ]  # fmt: skip
    rows = list(csv.DictReader(io.StringIO(hangar.did("job list --all --csv"))))
    assert rows[0]["assemblies"] == "wheel EX-4410-1 WH-2231"
    assert (rows[0]["taken"], rows[0]["asked"], rows[0]["registration"]) == ("0", "24", "")


def test_many_jobs_are_listed_one_by_one(hangar: Hangar, monkeypatch: pytest.MonkeyPatch) -> None:
    """With the same words, the same records and the same CSV as few, which are held at once."""
    hangar.did("job open J-1 --card MW-BUILD --assembly WH-2231")
    hangar.did("job open J-2 --card MW-BUILD --assembly WH-2231")
    asked = ("job list --all", "job list --all --csv", "job list --all --json")
    few = [hangar.did(words) for words in asked]
    monkeypatch.setattr(facts_of_jobs, "_HELD", 1)
    many = [hangar.did(words) for words in asked]
    assert [text.split() for text in many[:2]] == [text.split() for text in few[:2]]
    assert json.loads(many[2])["data"] == json.loads(few[2])["data"]


def test_a_job_shows_what_is_open_and_how_to_clear_it(hangar: Hangar) -> None:
    """Numbered, each with its command; what was recorded is no longer among them."""
    hangar.did("job open J-3 --card MW-FIT --aircraft QQ-HLB --position 'main 2'")
    said = hangar.did("job show j-3")
    assert said.startswith("J-3, QQ-HLB main 2: 4 things open.\n")
    assert (
        "  2  Axle nut: cotter pin is not recorded.\n         torquelog step J-3 axle-nut cotter-pin\n"
        in said
    )
    hangar.did("step J-3 axle-nut cotter-pin")
    data = hangar.data("job show J-3")
    assert [each["code"] for each in data["open"]] == ["not-tightened", "not-tightened", "locking-open"]
    assert data["groups"][1]["owner"] == "aircraft 1001 main 2"
    assert data["groups"][1]["fasteners"] == [
        {"fastener": f"lock-bolt:{item}", "tight": False, "done": False, "open": "not-tightened"}
        for item in (1, 2)
    ]


def test_a_job_with_open_things_is_not_closed(hangar: Hangar) -> None:
    """Exit 3; each thing is a problem with the command that clears it, and the job stays open."""
    hangar.did("job open J-3 --card MW-FIT --aircraft QQ-HLB --position 'main 2'")
    played = hangar.type("job close J-3")
    assert played.exit == 3
    assert played.out.startswith("J-3 cannot close yet. 4 things are open on QQ-HLB main 2.\n")
    assert "torquelog step J-3 axle-nut cotter-pin" in played.err
    status, codes = hangar.refused("job close J-3")
    assert (status, codes) == (3, ["not-tightened", "locking-open", "not-tightened", "locking-open"])
    assert hangar.data("job show J-3")["closed_at"] is None


@pytest.mark.parametrize(
    ("line", "exit_status", "code"),
    [
        ("job open J-1 --card MW-BUILD --assembly WH-2231", 2, "exists"),
        ("job open J-2 --card MW-BUILD", 2, "job-place"),
        ("job open J-2 --card MW-BUILD --aircraft QQ-HLB --position x", 2, "job-owner"),
        ("job open J-2 --card MW-BUILD --aircraft QQ-HLB --assembly WH-2231", 2, "job-place"),
        ("job open J-2 --card MW-BUILD --assembly WH-2213", 2, "assembly-unknown"),
        ("job open J-2 --card MW-BUILD --assembly brake=WH-2231", 2, "assembly-kind"),
        ("job open J-2 --card MW-BIULD --assembly WH-2231", 2, "card-unknown"),
        ("job open 'J 2' --card MW-BUILD --assembly WH-2231", 2, "identifier-form"),
        ("job open J-2 --assembly WH-2231", 2, "needs-option"),
        ("job show J-9", 2, "job-unknown"),
        ("job close J-9", 2, "job-unknown"),
    ],
)
def test_what_is_wrong_has_its_code(hangar: Hangar, line: str, exit_status: int, code: str) -> None:
    """Exit status and code of the table, and no second job."""
    hangar.did("job open J-1 --card MW-BUILD --assembly WH-2231")
    assert hangar.refused(line) == (exit_status, [code])
    assert [each["job"] for each in hangar.data("job list")["jobs"]] == ["J-1"]


@pytest.mark.parametrize(
    ("commands", "closed", "said"),
    [
        ((), True, "torquelog sheet job J-1"),
        ((), False, "torquelog job close J-1"),
        (
            ("torquelog record bolt:1 READING --job J-1", "torquelog job inspect J-1"),
            False,
            "torquelog work J-1",
        ),
        (("torquelog job inspect J-1",), False, "torquelog job inspect J-1"),
    ],
)
def test_a_job_leads_to_what_is_open_first(commands: tuple[str, ...], closed: bool, said: str) -> None:
    """Never to a reading: a fastener is tightened by the lead of `work`."""
    holds = [Hold("open", "Something is open.", "", command) for command in commands]
    assert following("J-1", holds, closed=closed) == said
