"""What is asked of a record about something that is not in it, or was not told in full."""

import sqlite3
from contextlib import closing
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from tests.book.tampering import tamper
from tests.support.books import DAY, NOON, PASSPHRASE, ZONE
from tests.support.rows import Rows
from tests.support.story import Story
from torquelog.book import at_group, jobview, named, tester_checks, verification, writing
from torquelog.book.cases import case, settled_case
from torquelog.book.founding import found_station
from torquelog.book.opening import open_book
from torquelog.book.position import held_by
from torquelog.book.recall_causes import Facts, causes_of, outside
from torquelog.book.recall_life import Life
from torquelog.book.recent import Recent
from torquelog.book.rejudging import judged_again
from torquelog.clock import SetClock, zone
from torquelog.errors import TorquelogError
from torquelog.facts import cards, jobs, people, tools
from torquelog.facts.calibrations import calibrations
from torquelog.facts.recall_causes import Event, Withdrawn
from torquelog.ledger.form import parse_entry
from torquelog.ledger.store import entry_at, head

JOB = {
    "job": "J-1",
    "card": "BUILD",
    "revision": "B",
    "digest": "ab" * 32,
    "assemblies": {"wheel": "EX-1 WH-1"},
}


def code_of(act: Any, *given: Any, **named: Any) -> str:
    """The code of the error that a question ends with."""
    with pytest.raises(TorquelogError) as caught:
        act(*given, **named)
    return caught.value.code


def test_a_job_of_a_card_that_is_not_on_record_is_told() -> None:
    """Nobody can say what it asks."""
    rows = Rows()
    rows.put("job", JOB, NOON)
    assert code_of(jobview.job_state, rows.connection, "J-1") == "card-unknown"
    assert code_of(jobview.job_state, rows.connection, "J-2") == "job-unknown"
    assert code_of(at_group.place, rows.connection, "J-1", "tie-bolt", 1) == "card-unknown"
    assert code_of(at_group.place, rows.connection, "J-2", "tie-bolt", 1) == "job-unknown"


def test_a_name_like_that_of_a_job_is_shown_where_there_is_none_of_that_name(worked: Story) -> None:
    """The job that is there is found by its name in whatever case."""
    connection = worked.book.connection
    assert named.job_named(connection, "j-1").job == "J-1"
    with pytest.raises(TorquelogError) as caught:
        named.job_named(connection, "J-11")
    assert (caught.value.code, caught.value.message) == (
        "job-unknown",
        "There is no job J-11. Did you mean J-1?",
    )


def test_a_tool_that_is_on_no_record_is_looked_at_anew_each_time(worked: Story) -> None:
    """What is known of it may change whenever somebody puts it on record; that of W-0417 is settled."""
    book, now = worked.book, worked.clock.moment
    tool = tools.tool(book.connection, "W-0417")
    assert tool is not None
    strange = tool._replace(tool="W-NONE")
    recent = Recent(book.connection)
    assert settled_case(recent, "QHR", book.zone, strange, now) == (
        case(book.connection, "QHR", book.zone, strange, now),
        False,
    )
    assert settled_case(recent, "QHR", book.zone, tool, now)[1]


def test_a_job_that_stands_at_no_position_holds_nothing_there(worked: Story) -> None:
    """Although its card has a group that would hold the wheel it names."""
    job = jobs.job(worked.book.connection, "J-1")
    assert job is not None
    card = cards.card_by_digest(worked.book.connection, job.digest)
    assert card is not None
    group = card.groups[0]._replace(on="aircraft", holds="wheel")
    assert list(held_by(job, group)) == []
    placed = job._replace(aircraft="1001", position="main 2")
    assert list(held_by(placed, group)) == [("wheel", "EX-4410-1 WH-2231")]


def test_of_a_group_that_no_card_describes_nothing_is_undone(worked: Story) -> None:
    """The fasteners of a position whose jobs are not on record."""
    life = Life(worked.book.connection, "aircraft 1001 main 2", "axle-nut", ["J-NONE"], 0)
    assert life._endings == []


def test_what_is_told_of_a_tool_that_nobody_registered_calls_for_nothing(worked: Story) -> None:
    """No failed certificate, no measure, no event and no withdrawal of such a tool is a cause."""
    facts = Facts(worked.book.connection)
    event = Event("QHR", 99, "W-NONE", "dropped", NOON, NOON, "")
    gone = Withdrawn("QHR", 99, NOON, "", "QHR", 98)
    assert [*facts.failed("W-NONE", ("QHR", 99)), *facts.measured("W-NONE", ("QHR", 99))] == []
    assert [*facts.befell(event), *facts.withdrawn(gone)] == []
    assert facts.certificate("W-0417", ("QHR", 99)) is None


def test_a_certificate_without_anything_wrong_is_no_cause(worked: Story) -> None:
    """Only the certificate of a tool that failed calls for a recall."""
    good = calibrations(worked.book.connection, "W-0417")[-1]
    worked.until("2026-11-26T10:00")
    points = worked.results_of("20", "150", "N·m")
    bad = [each._replace(state="as-found", reference=each.reference._replace(value="120")) for each in points]
    worked.calibrate("W-0417", "2026-11-26", accept=False, points=(*bad, *points))
    failed = calibrations(worked.book.connection, "W-0417")[-1]
    facts = Facts(worked.book.connection)
    assert list(facts.failed("W-0417", (good.station, good.number))) == []
    (cause,) = facts.failed("W-0417", (failed.station, failed.number))
    assert cause.code == "failed-as-found"


def test_only_the_entries_that_are_asked_for_are_causes(worked: Story) -> None:
    """What befell the same tool besides is left out, and an entry that is none is passed over."""
    connection = worked.book.connection
    first = worked.says("report", {"tool": "W-0417", "what": "damaged", "why": "bent"})
    number = int(first.rpartition("-")[2])
    certificate = calibrations(connection, "W-0417")[-1].reference
    worked.says("withdrawal", {"calibration": certificate, "why": "the laboratory erred"})
    assert [each.number for each in causes_of(connection, "W-0417", [("QHR", number)])] == [number]
    assert causes_of(connection, "W-0417", [("QHR", 1)]) == []
    assert causes_of(connection, "W-0417", []) == []


def checked_body(**changes: Any) -> dict[str, Any]:
    """A check of a wrench on a tester, as an entry holds it."""
    reading = {"reading": {"value": "60", "unit": "N·m"}, "reference": {"value": "60", "unit": "N·m"}}
    return {"tool": "W-0417", "tester": "T-1", "readings": [reading], "outcome": "within", **changes}


def test_a_check_is_judged_again_by_its_outcome_its_certificate_and_its_tester(story: Story) -> None:
    """Each difference in a sentence; one whose tool or tester is not on record could not have been recorded."""
    story.wrench()
    story.says(
        "tool",
        {"tool": "T-1", "sort": "tester", "accuracy": {"value": "1", "unit": "%"}, "every": "12 months"},
    )
    certificate = story.calibrate("T-1", "2026-11-02", points=story.results_of("20", "150", "N·m"))
    connection, at = story.book.connection, story.clock.moment

    def again(**changes: Any) -> list[str]:
        body = checked_body(certificate=certificate, **changes)
        return list(tester_checks.judged_again(connection, "QHR", zone(ZONE), body, at, at))

    assert again() == []
    assert again(outcome="outside") == ["its outcome is given as outside and comes out as within"]
    for name in ("tool", "tester"):
        assert again(**{name: "W-NONE"}) == [
            "it could not have been recorded: its tool or tester, or the accuracy, is not on record"
        ]
    body = checked_body()
    (told,) = tester_checks.judged_again(connection, "QHR", zone(ZONE), body, at, at)
    assert told == f"its certificate is given as None and comes out as {certificate}"
    late = at + 400 * DAY
    body = checked_body(certificate=certificate)
    (told,) = tester_checks.judged_again(connection, "QHR", zone(ZONE), body, late, late)
    assert told == "its tester was not fit: T-1 was due Tue 2 Nov 2027, 58 days before."


def test_a_check_without_a_reading_rests_on_no_certificate(story: Story) -> None:
    """Nothing was read, so nothing is outside."""
    story.wrench()
    tool = tools.tool(story.book.connection, "W-0417")
    assert tool is not None
    found = tester_checks.judge(
        story.book.connection, "QHR", zone(ZONE), tool, Fraction(1, 25), (), NOON, NOON
    )
    assert found == tester_checks.Judged("within", (), None)


def test_the_first_person_may_bear_a_licence(tmp_path: Path) -> None:
    """It stands in the first entry, and is shown with the person."""
    book, _ = found_station(
        tmp_path / "new.db", SetClock(NOON), station="QHR", zone=ZONE, policies={}, person="TK",
        name="Tove Kallas", licence="EX.66.1234", passphrase=PASSPHRASE, scrypt_n=2**15,
    )  # fmt: skip
    with book:
        found = people.person(book.connection, "TK")
    assert found is not None
    assert found.licence == "EX.66.1234"


def test_a_file_without_its_home_is_no_record_and_is_let_go_of(worked: Story) -> None:
    """Whoever opens it is told, and nothing keeps it open."""
    path = worked.book.path
    worked.close_book()
    tamper(path, "DELETE FROM home")
    assert code_of(open_book, path, "read", SetClock(NOON)) == "not-a-ledger"
    Path(path).rename(f"{path}-moved")


def test_a_record_that_was_opened_for_reading_is_not_written_to(worked: Story) -> None:
    """Whoever tries is told before anything happens."""

    def write() -> None:
        with open_book(worked.book.path, "read", worked.clock) as book, writing.writing(book):
            raise AssertionError("nothing may be written")

    with pytest.raises(TorquelogError, match="This record was opened for reading only") as caught:
        write()
    assert caught.value.code == "read-only"


def test_what_others_write_is_not_seen_by_one_who_holds_on(worked: Story) -> None:
    """Every further question is answered by the record of that moment; asked for twice it is the same moment."""
    with open_book(worked.book.path, "read", worked.clock) as book:
        book.hold()
        before = head(book.connection, "QHR")
        worked.says("report", {"tool": "W-0402", "what": "dropped"})
        book.hold()
        assert head(book.connection, "QHR") == before
    assert head(worked.book.connection, "QHR") != before


def test_only_a_long_gap_is_a_doubt_to_ask_about(worked: Story) -> None:
    """A clock that is behind is no question: it is refused when something is written."""
    book, now = worked.book, worked.clock.moment
    book.clock_ok = False
    assert writing.clock_doubt(book) is None
    worked.clock.moment = now + 37 * 3_600_000
    doubt = writing.clock_doubt(book)
    assert doubt is not None
    assert doubt.code == "clock-ahead"
    worked.clock.moment = now - 3_600_000
    assert writing.clock_doubt(book) is None


def test_a_reading_of_a_job_that_is_not_there_could_not_have_been_recorded(worked: Story) -> None:
    """Judged again over a record without its job, it says so."""
    connection = worked.book.connection
    newest = head(connection, "QHR")
    assert newest is not None
    entries = [entry_at(connection, "QHR", number) for number in range(1, newest.number + 1)]
    reading = next(
        found for each in entries if each is not None and (found := parse_entry(each.text)).kind == "reading"
    )
    moved = reading._replace(body={**reading.body, "job": "J-NONE"})
    assert judged_again(connection, moved) == [
        "it could not have been recorded: There is no job J-NONE. Nothing was recorded."
    ]


def test_a_rule_by_which_nothing_can_be_decided_is_simple_acceptance(story: Story) -> None:
    """A certificate without uncertainties and a rule that needs them: the deviation alone decides."""
    points = tuple(
        each._replace(
            state="as-found",
            reference=each.reference._replace(value="140" if each.reference.value == "150" else "100"),
        )
        for each in story.results_of("100", "150", "N·m")
    )
    story.wrench(points=(*points, *story.results_of("20", "150", "N·m")))
    calibration = Facts(story.book.connection).calibrations("W-0417")[-1]
    for rule in ("guard-band", "simple-acceptance", "nobody-knows"):
        assert len(outside(calibration._replace(decision=rule), Fraction(1, 25))) == 1


def test_a_record_whose_chains_cannot_be_read_is_reported_and_not_stumbled_over(worked: Story) -> None:
    """The name of a station that is no text is a finding."""
    path = worked.book.path
    worked.close_book()
    tamper(path, "UPDATE entry SET station = CAST(x'ff' AS TEXT) WHERE number = 3")
    with closing(sqlite3.connect(path)) as connection:
        report = verification.verify(connection, "QHR")
    assert not report.holds
    assert {finding.code for finding in report.findings} <= {"damaged", "chain"}
