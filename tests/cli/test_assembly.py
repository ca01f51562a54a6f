"""The commands of aircraft and assemblies, as they are typed and answered."""

import csv
import io

import pytest

from tests.cli.hangar import Hangar

PLACE = {"place", "registration", "msn", "position", "text", "since", "held"}


@pytest.fixture
def hangar() -> Hangar:
    return Hangar(
        "aircraft add QQ-HLB --type EX-200 --msn 1001 --on 2026-01-05",
        "assembly add WH-2231 --part EX-4410-1 --kind wheel",
        "assembly add WH-2240 --part EX-4410-1 --kind wheel",
    )


def test_an_aircraft_is_told_with_its_day(hangar: Hangar) -> None:
    """Sentence, day with its distance, entry; for programs the same as data."""
    said = hangar.did("aircraft add QQ-MRA --type EX-200 --msn 1002 --on '5 jan 2026'")
    assert said.startswith("QQ-MRA is on record: EX-200, serial number 1002.\n")
    assert "Mon 5 Jan 2026, 324 days ago" in said
    data = hangar.data("aircraft register 1002 QQ-XYZ --on 2026-11-24")
    assert set(data) == {"entry", "msn", "type", "registration", "before", "on"}
    assert (data["before"], data["on"]) == ("QQ-MRA", "2026-11-24")


def test_aircraft_are_listed_with_what_they_carry(hangar: Hangar) -> None:
    """By serial number; the same rows as JSON and as CSV."""
    hangar.did("assembly fit WH-2231 --aircraft QQ-HLB --position 'main 1'")
    expected = {
        "msn": "1001",
        "registration": "QQ-HLB",
        "since": "2026-01-05",
        "type": "EX-200",
        "assemblies": 1,
    }
    assert hangar.data("aircraft list")["aircraft"] == [expected]
    rows = list(csv.DictReader(io.StringIO(hangar.did("aircraft list --csv"))))
    assert rows == [{name: str(value) for name, value in expected.items()}]
    assert "1 assembly" in hangar.did("aircraft list")


def test_an_assembly_is_fitted_replaced_and_moved(hangar: Hangar) -> None:
    """Every answer says where it is now and was before, and names its entry."""
    said = hangar.did("assembly fit wh-2231 --aircraft qq-hlb --position 'Main  1'")
    assert said.startswith("Wheel WH-2231 is fitted to QQ-HLB, main 1.\n")
    data = hangar.data("assembly fit WH-2240 --aircraft QQ-HLB --position 'main 1' --replacing")
    assert set(data) == {"entry", "act", "part", "serial", "kind", "at", "before", "after", "replaced"}
    assert set(data["after"]) == PLACE
    assert data["after"] == {
        "place": "aircraft", "registration": "QQ-HLB", "msn": "1001", "position": "main 1", "text": None,
        "since": "2026-11-25T14:07:31.000+00:00", "held": None,
    }  # fmt: skip
    assert data["replaced"] == [{"part": "EX-4410-1", "serial": "WH-2231", "kind": "wheel"}]
    assert "Wheel WH-2240 is off QQ-HLB, main 1." in hangar.did("assembly remove WH-2240 --to stores")
    assert "Wheel WH-2240 is at Porto." in hangar.did("assembly move WH-2240 --to Porto")


def test_an_act_told_late_is_in_the_past_tense(hangar: Hangar) -> None:
    """Its time is the one that was said; what is on record since is pointed out."""
    hangar.did("assembly move WH-2231 --to stores --at '2026-11-25 12:00'")
    played = hangar.type("assembly move WH-2231 --to shop --at 2026-11-24T10:30")
    assert played.exit == 0
    assert played.out.startswith("Wheel WH-2231 was in the shop.\n")
    assert "On record after that time already: moved to stores Wed 25 Nov 2026 12:00 Lisbon." in played.out
    assert hangar.data("assembly show WH-2231")["place"] == "stores"


def test_an_assembly_is_shown_with_its_history(hangar: Hangar) -> None:
    """Where it is since when, why it is held, and each thing that was done."""
    hangar.did("assembly fit WH-2231 --aircraft QQ-HLB --position 'main 1' --at 2026-11-24T10:00")
    hangar.did("assembly hold WH-2231 --why 'recall R-7'")
    said = hangar.did("assembly show WH-2231")
    assert said.startswith("Wheel WH-2231, part EX-4410-1: on QQ-HLB, main 1, since Tue 24 Nov 2026.\n")
    assert "Held   recall R-7" in said
    data = hangar.data("assembly show WH-2231")
    assert [(each["act"], each["registration"], each["why"]) for each in data["history"]] == [
        ("fit", "QQ-HLB", None), ("hold", None, "recall R-7"),
    ]  # fmt: skip
    listed = hangar.data("assembly list")["assemblies"]
    assert [(each["serial"], each["place"], each["held"]) for each in listed] == [
        ("WH-2231", "aircraft", "recall R-7"), ("WH-2240", "unknown", None),
    ]  # fmt: skip
    assert hangar.did("assembly list --csv").startswith("part,serial,kind,place,registration,")


@pytest.mark.parametrize(
    ("line", "exit_status", "code"),
    [
        ("aircraft add QQ-HLB --type X --msn 1009", 2, "registration-taken"),
        ("aircraft add QQ-ABC --type X --msn 1001", 2, "exists"),
        ("aircraft add 'QQ HLB' --type X --msn 1009", 2, "identifier-form"),
        ("aircraft add QQ-ABC --type X --msn 1009 --on 03/04/26", 2, "date-unclear"),
        ("aircraft add QQ-ABC --type X --msn 1009 --on 2026-11-26", 2, "in-the-future"),
        ("aircraft add QQ-ABC --msn 1009", 2, "needs-option"),
        ("assembly add", 2, "needs-option"),
        ("assembly add WH-2231 --part EX-4410-1 --kind wheel", 2, "exists"),
        ("assembly add WH-1 --part EX-1 --kind 'main wheel'", 2, "name-form"),
        ("assembly fit WH-2231 --aircraft QQ-HLD --position x", 2, "aircraft-unknown"),
        ("assembly fit WH-2230 --aircraft QQ-HLB --position x", 2, "assembly-unknown"),
        ("assembly fit WH-2231 --aircraft QQ-HLB --position x --replacing", 2, "nothing-to-replace"),
        ("assembly fit WH-2231 --aircraft QQ-HLB --position x --at 25.11.2026", 2, "time-form"),
        ("assembly fit WH-2231 --aircraft QQ-HLB --position x --at 2026-11-25T14:08", 2, "in-the-future"),
        ("assembly fit WH-2231 --aircraft QQ-HLB --position ' '", 2, "text-empty"),
        ("assembly move WH-2231 --to 'a\u202eb'", 2, "text-mark"),
        ("assembly remove WH-2231", 3, "assembly-not-fitted"),
        ("assembly release WH-2231 --why x", 3, "assembly-not-held"),
        ("assembly hold WH-2231", 2, "needs-option"),
        ("assembly hold WH-2231 --why ''", 2, "text-empty"),
    ],
)
def test_what_is_wrong_has_its_code_and_records_nothing(
    hangar: Hangar, line: str, exit_status: int, code: str
) -> None:
    """The exit status of the table, the stable code, and no entry."""
    history = hangar.data("assembly show WH-2231")["history"]
    assert hangar.refused(line) == (exit_status, [code])
    assert hangar.data("assembly show WH-2231")["history"] == history
    assert len(hangar.data("aircraft list")["aircraft"]) == 1


def test_an_assembly_is_asked_for_on_a_terminal(hangar: Hangar) -> None:
    """Without options each thing is asked; a wrong answer is told and asked again."""
    status, screen = hangar.talked(
        "assembly add", "Its serial number: wh-9", "What is it? (wheel, brake, ...): wheel",
        "Its part number: ex-1",
    )  # fmt: skip
    assert status == 0
    assert "Wheel WH-9 is on record, part EX-1." in screen


def test_nobody_signed_in_changes_nothing(hangar: Hangar) -> None:
    """After signing out the error says how to sign in, exit 3."""
    hangar.did("sign-out")
    assert hangar.refused("assembly move WH-2231 --to stores")[0] == 3
    assert hangar.data("assembly show WH-2231")["place"] == "unknown"
