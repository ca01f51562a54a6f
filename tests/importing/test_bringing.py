"""Facts about bringing in a file: judged first, all or nothing or with rejects, safe to repeat, what is told of it."""

import io
from typing import Any

import pytest

from tests.importing.files import ASSEMBLY, READING, RESULT, WRENCH, bring, csv_of, json_of, reading, wrongs
from tests.support.story import Story
from torquelog.book.opening import open_book
from torquelog.errors import TorquelogError
from torquelog.facts import calibrations, tools
from torquelog.importing import turns
from torquelog.importing.unit import Done


def readings_of(story: Story) -> list[tuple[str, int, str]]:
    """The readings on record: fastener's number, time, outcome."""
    rows = story.book.connection.execute("SELECT item, at, outcome FROM reading ORDER BY at, item, number")
    return [tuple(row) for row in rows]


def test_readings_come_in_with_their_own_dates(story: Story) -> None:
    """Judged by their own time, signed now, and the record holds."""
    story.bench()
    tally = bring(story, csv_of([reading(1), reading(2, 1, reading="120"), reading(3, 2, reading="90")]))
    assert tally.outcomes == {"within": 1, "above": 1, "below": 1}
    assert (tally.rows, tally.errors, tally.left) == (3, 0, 0)
    assert int(tally.last[-6:]) - int(tally.first[-6:]) == 2
    assert [item for item, _, _ in readings_of(story)] == [1, 2, 3]
    (stored,) = story.book.connection.execute("SELECT min(at) FROM reading").fetchone()
    assert stored == story.moment("2026-11-25 09:00")


def test_the_same_file_again_changes_nothing(story: Story) -> None:
    """Also in another form, in another order of columns, and with another reason for the whole file."""
    story.bench()
    rows = [reading(1), reading(2, 1), reading(2, 1)]
    bring(story, csv_of(rows))
    before = story.entries()
    again = [
        bring(story, csv_of(rows)),
        bring(story, csv_of(rows, ";", names=list(reversed(READING)))),
        bring(story, json_of(rows), why="kept on paper"),
    ]
    assert all(tally.outcomes == {"on-record": 3} for tally in again)
    assert story.entries() == before


def test_a_file_with_more_rows_than_before_brings_in_those(story: Story) -> None:
    """The rows that were there are on record before."""
    story.bench()
    bring(story, csv_of([reading(1), reading(2, 1)]))
    tally = bring(story, csv_of([reading(1), reading(3, 2), reading(2, 1)]))
    assert tally.outcomes == {"on-record": 2, "within": 1}


def test_rows_that_say_the_same_are_told(story: Story) -> None:
    """Two readings, each counts, and the line of the second is named."""
    story.bench()
    tally = bring(story, csv_of([reading(1), reading(2), reading(1)]))
    assert tally.outcomes == {"within": 3}
    assert tally.doubled == [4]


def test_nothing_is_written_where_one_row_is_wrong(story: Story) -> None:
    """Every wrong row is told by line, column and code, whether by its form or by the rules."""
    story.bench()
    rows = [
        reading(1), reading(2, reading="26,5"), reading(9), reading(1, job="J-9"), reading(1, wrench="W-9"),
        reading(1, by="XX"), reading(1, at="2026-11-26 09:00"), reading(1, **{"pass": "7"}),
    ]  # fmt: skip
    with_errors = [
        (3, "reading", "number-form"), (4, "fastener", "fastener-unknown"), (5, "job", "job-unknown"),
        (6, "wrench", "tool-unknown"), (7, "by", "person-unknown"), (9, "pass", "pass-unknown"),
    ]  # fmt: skip
    before = story.entries()
    tally = bring(story, csv_of(rows))
    assert [each for each in wrongs(tally) if each[0] != 8] == with_errors
    assert tally.rejected >= 6
    assert story.entries() == before


def test_a_dry_run_tells_the_outcomes_and_writes_nothing(story: Story) -> None:
    """As they would be, what depends on each other included."""
    story.bench()
    before = story.entries()
    tally = bring(story, csv_of([reading(1), reading(2, reading="120")]), dry_run=True)
    assert tally.outcomes == {"within": 1, "above": 1}
    assert story.entries() == before


def test_refused_rows_become_refusals_on_record(story: Story) -> None:
    """A wrench that could not be used at that time: the attempt is kept, the fastener stays open."""
    story.bench()
    story.wrench("W-2", on="2024-11-09")
    tally = bring(story, csv_of([reading(1, wrench="W-2"), reading(2)]))
    assert tally.outcomes == {"refused": 1, "within": 1}
    assert not story.state("tie-bolt:1").done
    assert [outcome for _, _, outcome in readings_of(story)] == ["refused", "within"]


def test_each_row_is_judged_by_its_own_date(story: Story) -> None:
    """The same wrench: good on the day before it fell due, refused on the day after; the good one needs a reason now."""
    story.bench()
    story.wrench("W-2", on="2025-11-20")
    rows = [reading(1, wrench="W-2", at="2026-11-20 09:00"), reading(2, wrench="W-2", at="2026-11-21 09:00")]
    assert wrongs(bring(story, csv_of(rows))) == [(2, "why", "why-missing")]
    tally = bring(story, csv_of(rows), why="kept on paper")
    assert tally.outcomes == {"within": 1, "refused": 1}
    (awaits,) = story.book.connection.execute("SELECT count(*) FROM reading WHERE awaits = 1").fetchone()
    assert awaits == 1


def test_keeping_going_brings_in_the_others(story: Story) -> None:
    """What is wrong goes into the file of rejects, as it stood, with the reason; mended, it comes in."""
    story.bench()
    rows = [reading(1), reading(2, 1, reading="100", unit="lb"), reading(3, 2, job="J-9")]
    rejects = io.StringIO()
    tally = bring(story, csv_of(rows, ";"), keep_going=True, rejects=rejects)
    assert tally.outcomes == {"within": 1}
    assert tally.rejected == 2
    header, first, second = rejects.getvalue().splitlines()
    assert header == "reason;" + ";".join(READING)
    assert first.startswith('"reading: ""lb"" does not say')
    assert second.startswith("job: There is no job J-9.;J-9;tie-bolt:3;")
    mended = rejects.getvalue().replace(";lb;", ";NU;").replace("J-9;tie", "J-1;tie")
    assert bring(story, mended).outcomes == {"within": 2}
    whole = [reading(1), reading(2, 1), reading(3, 2)]
    assert bring(story, csv_of(whole)).outcomes == {"on-record": 3}


def test_rejected_lines_of_json_bear_their_reason(story: Story) -> None:
    """One that is no JSON object stands there as it is."""
    story.bench()
    rejects = io.StringIO()
    text = json_of([reading(1, job="J-9")]) + '{"job": \n' + json_of([reading(2)])
    tally = bring(story, text, keep_going=True, rejects=rejects)
    assert tally.outcomes == {"within": 1}
    first, second = rejects.getvalue().splitlines()
    assert first.startswith('{"reason": "job: There is no job J-9.", "job": "J-9", ')
    assert second == '{"job": '


def test_rejects_keep_the_mark_and_the_dialect(story: Story) -> None:
    """What a spreadsheet wrote it can read again; what was in a column of reasons is not carried on."""
    story.bench()
    rejects = io.StringIO()
    rows = [{"job": "J-9", "reason": "old", **{k: v for k, v in reading(1).items() if k != "job"}}]
    bring(story, "\ufeff" + csv_of(rows, "\t"), keep_going=True, rejects=rejects)
    header, row = rejects.getvalue().splitlines()
    assert header == "\ufeff" + "\t".join(["reason", *READING])
    assert "old" not in row


def test_millions_of_errors_are_a_short_answer(story: Story) -> None:
    """All are counted, a few are shown."""
    story.bench()
    rows = [reading(1, job="J-9", reading=str(number)) for number in range(300)]
    tally = bring(story, csv_of(rows))
    assert tally.errors == tally.wrong["job-unknown"] == 300
    assert len(tally.shown) == 20


def test_wrenches_certificates_and_assemblies_come_in(story: Story) -> None:
    """A whole crib in three files: registered, with certificates that are accepted where that was asked for."""
    tally = bring(
        story, csv_of([WRENCH, {**WRENCH, "number": "W-0602", "serial": "1188-09"}], ";"), "wrenches"
    )
    assert tally.outcomes == {"registered": 2}
    ends = [
        {**RESULT, "number": number, "indicated": value, "reference": value, "unit": "M92"}
        for number in ("W-0601", "W-0602")
        for value in ("20", "100")
    ]
    assert bring(story, csv_of(ends), "calibrations", accept=True).outcomes == {"accepted": 2}
    (found,) = calibrations.calibrations(story.book.connection, "W-0602")
    assert (found.certificate, found.accepted is not None, len(found.points)) == ("C-77", True, 2)
    assert bring(story, csv_of([ASSEMBLY]), "assemblies").outcomes == {"added": 1}
    for kind, rows in (("wrenches", [WRENCH]), ("calibrations", ends[:2]), ("assemblies", [ASSEMBLY])):
        assert bring(story, csv_of(rows), kind).outcomes == {"on-record": 1}


def test_a_certificate_that_cannot_be_accepted_waits(story: Story) -> None:
    """It is on record all the same: without being asked for, as left outside, and of a wrench that is away."""
    story.wrench(on="")
    ends = [{**RESULT, "indicated": value, "reference": value} for value in ("20", "150")]
    assert bring(story, csv_of(ends), "calibrations").outcomes == {"waiting": 1}
    off = [{**row, "certificate": "C-78", "reference": "140"} for row in ends[1:]]
    assert bring(story, csv_of(off), "calibrations", accept=True).outcomes == {"waiting": 1}


def test_what_is_there_under_the_same_name_is_told(story: Story) -> None:
    """Another wrench of that number, by its column; the same row again is said once."""
    story.wrench("W-0601", on="")
    assert wrongs(bring(story, csv_of([WRENCH]), "wrenches")) == [(2, "number", "exists")]
    other = {**WRENCH, "number": "W-0602"}
    tally = bring(story, csv_of([other, other]), "wrenches")
    assert tally.outcomes == {"registered": 1, "same-row": 1}
    twice = [{**WRENCH, "number": "W-7", "serial": "1"}, {**WRENCH, "number": "W-7", "serial": "2"}]
    assert wrongs(bring(story, csv_of(twice), "wrenches")) == [(3, "number", "exists")]


def test_whoever_may_not_sign_is_told_at_once(story: Story) -> None:
    """The file is not blamed for it, row by row."""
    sheet = csv_of([WRENCH])
    story.signed["TK"] = story.signed["IK"]
    with story.refused("no-role"):
        bring(story, sheet, "wrenches")


def test_a_sign_in_that_ends_on_the_way_ends_the_run(story: Story) -> None:
    """What was written stays; after signing in again the same file goes on."""
    story.bench()
    with story.refused("key-ended"):
        story.clock.moment += 17 * 3_600_000
        bring(story, csv_of([reading(1)]))
    story.later(hours=1)
    assert bring(story, csv_of([reading(1)])).outcomes == {"within": 1}


class Chopped:
    """Time that passes so quickly that each transaction takes one row."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        self.now += turns.HOLD
        return self.now


def test_a_file_is_written_in_transactions_of_bounded_time(story: Story) -> None:
    """When the time of one is over, it is committed; between two of them others may write."""
    story.bench()
    seen: list[tuple[int, int]] = []

    def written(done: int, total: int) -> None:
        with open_book(story.book.path, "read", story.clock) as other:
            (count,) = other.connection.execute("SELECT count(*) FROM reading").fetchone()
        seen.append((done, count))
        assert total == 3

    rows = csv_of([reading(1), reading(2, 1), reading(3, 2)])
    assert bring(story, rows, seconds=Chopped(), together=1, written=written).outcomes == {"within": 3}
    assert seen == [(1, 1), (2, 2), (3, 3)]


def interrupt_after(count: int) -> Any:
    """Press Ctrl-C when so many rows are written."""

    def written(done: int, _total: int) -> None:
        if done == count:
            raise KeyboardInterrupt

    return written


@pytest.mark.parametrize("count", [1, 2])
def test_ctrl_c_leaves_whole_rows_and_the_same_again_goes_on(story: Story, count: int) -> None:
    """What is counted is on record; nothing is half written."""
    story.bench()
    rows = csv_of([reading(1), reading(2, 1), reading(3, 2)])
    tally = bring(story, rows, seconds=Chopped(), together=1, written=interrupt_after(count))
    assert tally.interrupted
    assert tally.outcomes == {"within": count}
    assert tally.left == 3 - count
    assert len(readings_of(story)) == count
    assert bring(story, rows).outcomes == {"on-record": count, "within": 3 - count}


def test_ctrl_c_while_rows_are_judged_writes_nothing(story: Story) -> None:
    """Everything that was judged is told as left."""
    story.bench()
    before = story.entries()

    def judging() -> None:
        raise KeyboardInterrupt

    tally = bring(story, csv_of([reading(1), reading(2, 1)]), judging=judging)
    assert tally.interrupted
    assert story.entries() == before


def meanwhile(story: Story, act: Any) -> Any:
    """Let something happen between the first transaction and the second."""

    def written(done: int, _total: int) -> None:
        if done == 1:
            act()

    return written


def test_a_row_that_came_out_otherwise_is_told(story: Story) -> None:
    """Somebody wrote between the judging and the writing: the row is judged again, and the difference is told."""
    story.bench()
    rows = csv_of([reading(1), reading(2, 1)])
    drop = meanwhile(story, lambda: story.report("W-0417", "dropped", at="2026-11-25 08:00"))
    tally = bring(story, rows, seconds=Chopped(), together=1, written=drop)
    assert tally.outcomes == {"within": 1, "refused": 1}
    assert [(each.line, each.judged, each.written) for each in tally.changed] == [(3, "within", "refused")]


def close_job(story: Story) -> None:
    """Close the job, whatever is open in it."""
    story.says("job-closed", {"job": "J-1"})


def test_a_row_that_cannot_be_written_any_more_stops_the_file(story: Story) -> None:
    """Its job was closed meanwhile: what was written stays, the line is told, and nothing after it is written."""
    story.bench()
    rows = csv_of([reading(1), reading(2, 1), reading(3, 2)])
    tally = bring(
        story, rows, seconds=Chopped(), together=1, written=meanwhile(story, lambda: close_job(story))
    )
    assert tally.stopped is not None
    assert (tally.stopped.line, tally.stopped.wrong.error.code) == (3, "job-closed")
    assert (tally.outcomes, tally.left) == ({"within": 1}, 2)


def test_a_row_that_cannot_be_written_any_more_is_rejected_when_keeping_going(story: Story) -> None:
    """It goes where the others went that could not be brought in."""
    story.bench()
    rejects = io.StringIO()
    rows = csv_of([reading(1), reading(2, 1), reading(3, 2)])
    ways = {
        "seconds": Chopped(),
        "together": 1,
        "written": meanwhile(story, lambda: close_job(story)),
        "keep_going": True,
    }
    tally = bring(story, rows, rejects=rejects, **ways)
    assert (tally.outcomes, tally.rejected, tally.changes) == ({"within": 1}, 2, 2)
    assert len(rejects.getvalue().splitlines()) == 3


def test_every_row_is_told_once_it_is_on_record(story: Story) -> None:
    """With its entry, or with what is wrong with it."""
    story.bench()
    told: list[tuple[int, str]] = []

    def tell(unit: Any, result: Any) -> None:
        told.append((unit.line, result.outcome if isinstance(result, Done) else result[0].wrong.error.code))

    rows = [reading(1), reading(2, 1, job="J-9"), reading(3, 2)]
    bring(story, csv_of(rows), keep_going=True, tell=tell)
    assert sorted(told) == [(2, "within"), (3, "job-unknown"), (4, "within")]


def test_the_rehearsal_leaves_nothing_behind(
    story: Story, tmp_path: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No copy of the record stays, whatever becomes of the file."""
    place = tmp_path / "aside"
    place.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(place))
    story.bench()
    bring(story, csv_of([reading(1)]))
    with pytest.raises(TorquelogError):
        bring(story, "job\n")
    bring(story, csv_of([reading(2, 1)]), judging=lambda: (_ for _ in ()).throw(KeyboardInterrupt))
    assert list(place.iterdir()) == []


def test_a_row_that_says_something_else_is_not_taken_for_the_one_on_record(story: Story) -> None:
    """A row of the same number that says something else is told; the wrench stays as it was."""
    bring(story, csv_of([WRENCH]), "wrenches")
    assert wrongs(bring(story, csv_of([{**WRENCH, "place": "A1"}]), "wrenches")) == [(2, "number", "exists")]
    found = tools.tool(story.book.connection, "W-0601")
    assert found is not None
    assert found.place == ""
