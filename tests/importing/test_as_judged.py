"""Facts about readings that are written as they were judged: the same as judged again, and only while that is certain."""

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest

from tests.importing.files import bring, csv_of, reading, wrongs
from tests.importing.test_bringing import Chopped
from tests.support.story import Story
from torquelog.book.as_rehearsed import AsRehearsed, Maker
from torquelog.book.opening import Book, open_book
from torquelog.book.writing import Writing, writing
from torquelog.clock import Moment
from torquelog.crib import condition
from torquelog.errors import TorquelogError
from torquelog.importing import again, as_judged, beside, spool
from torquelog.importing.tally import Tally

MINUTE = 60_000
HOUR = 60 * MINUTE
LATE = 30 * MINUTE

ROWS = [
    reading(1, lot="L-1; L-2"), reading(2, 1, reading="120"), reading(3, 2, reading="80", adapter="A-1"),
    reading(1, 3, loosened="yes"), reading(1, 4), reading(2, 5, wrench="W-2"), reading(3, 6, loosened="yes"),
]  # fmt: skip
"""Lots, an adapter, readings outside, a check, a refusal."""

TABLES = ("reading", "tool_use", "cycle_tally", "hardware_lot")


@pytest.fixture
def judged_again(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[int]]:
    """How many units were judged again, one transaction after the other."""
    counts: list[int] = []
    together = again.Again._together

    def counted(self: again.Again) -> list[Any]:
        settled = together(self)
        counts.append(len(settled))
        return settled

    with monkeypatch.context() as patched:
        patched.setattr(again.Again, "_together", counted)
        yield counts


def stocked(folder: Path) -> Story:
    """A record with a bench, an adapter, and a wrench that fell due a year ago."""
    folder.mkdir()
    story = Story(folder)
    story.bench()
    story.adapter("A-1", "5 mm")
    story.wrench("W-2", on="2024-11-09")
    return story


def on_record(story: Story) -> list[list[tuple[Any, ...]]]:
    """Every row that readings have written, and their entries without what chains and signs them."""
    ask = story.book.connection.execute
    rows = [ask(f"SELECT * FROM {table}").fetchall() for table in TABLES]
    return [
        *rows,
        ask(
            "SELECT number, hex(id), text ->> 'body' FROM entry WHERE text ->> 'kind' = 'reading'"
        ).fetchall(),
    ]


def test_the_rows_are_those_of_a_reading_judged_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, judged_again: list[int]
) -> None:
    """To the letter, in every table: two records, one written in either way; both hold when verified."""
    found, tallies = [], []
    for name in ("as judged", "judged again"):
        story = stocked(tmp_path / name)
        if name == "judged again":
            monkeypatch.setattr(Maker, "ready", lambda *_: None)
        tally = bring(story, csv_of(ROWS), together=2)
        story.demand_that_it_holds()
        found.append(on_record(story))
        tallies.append((tally.outcomes, tally.first, tally.last, tally.left))
        story.close_book()
    assert judged_again == [len(ROWS)]
    assert tallies[0][0] == {"within": 4, "above": 1, "below": 1, "refused": 1}
    assert tallies[0] == tallies[1]
    assert found[0] == found[1]


@pytest.fixture
def helped(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Rows are read, and entries made ready, by a process beside this one; the processes that were begun."""
    begun: list[int] = []
    begin = beside._begin

    def counted(*words: Any) -> int:
        begun.append(begin(*words))
        return begun[-1]

    monkeypatch.setattr(as_judged, "MANY", 0)
    monkeypatch.setattr(beside, "cores", lambda: 2)
    monkeypatch.setattr(beside, "_begin", counted)
    return begun


def test_a_process_beside_gives_the_same_rows(tmp_path: Path, helped: list[int]) -> None:
    """To the letter, in every table, and every row is told with its entry."""
    found = []
    for name, large in (("on the spot", False), ("beside", True)):
        story = stocked(tmp_path / name)
        if not large:
            helped.clear()
        told: list[tuple[int, str, str]] = []
        tally = bring(
            story, csv_of(ROWS), together=2, large=large,
            tell=lambda unit, done, told=told: told.append((unit.line, *done)),
        )  # fmt: skip
        story.demand_that_it_holds()
        found.append((on_record(story), tally.outcomes, told, tally.last))
        story.close_book()
    assert len(helped) == 3
    assert found[0] == found[1]
    assert [line for line, _, _ in found[0][2]] == [2, 3, 4, 5, 6, 7, 8]


def test_a_process_beside_tells_what_is_wrong(story: Story, helped: list[int]) -> None:
    """Rows with their lines and columns, and what says something of the whole file."""
    story.bench()
    rows = [reading(1), reading(2, unit="lb"), reading(3, job="J-9"), {**reading(1), "fastener": ""}]
    told = [bring(story, csv_of(rows), large=large) for large in (False, True)]
    assert wrongs(told[0]) == wrongs(told[1])
    assert [line for line, _, _ in wrongs(told[1])] == [3, 4, 5]
    for large in (False, True):
        with story.refused("file-encoding"):
            bring(story, csv_of(rows).encode() + b"\xff\n", large=large)
    assert len(helped) == 2


def test_a_process_beside_ends_with_ctrl_c(story: Story, helped: list[int]) -> None:
    """While rows are judged, and while they are written; what is counted is on record, and the same goes on."""
    story.bench()
    rows = csv_of([reading(number % 3 + 1, number, loosened="yes") for number in range(20)])

    def press(*_: object) -> None:
        raise KeyboardInterrupt

    assert bring(story, rows, large=True, judging=press).interrupted
    tally = bring(story, rows, large=True, seconds=Chopped(), together=1, written=press)
    assert (tally.interrupted, tally.outcomes, tally.left) == (True, {"within": 1}, 19)
    assert bring(story, rows, large=True).outcomes == {"on-record": 1, "within": 19}
    for each in helped:
        with pytest.raises(ProcessLookupError):
            os.kill(each, 0)


def another_reports(story: Story, tool: str) -> None:
    """Somebody else, at another computer, reports that a wrench was dropped before the readings."""
    with open_book(story.book.path, "write", story.clock, clock_ok=True) as other:
        at = story.moment("2026-11-25 08:00")
        condition.report(other, story.signed["TK"], tool, "dropped", at=at)


def test_what_another_wrote_before_the_first_transaction_counts(
    story: Story, judged_again: list[int]
) -> None:
    """Every row is judged again, and comes out as it has to now."""
    story.bench()
    tally = bring(
        story, csv_of([reading(1), reading(2, 1)]), judging=lambda: another_reports(story, "W-0417")
    )
    assert judged_again == [2]
    assert tally.outcomes == {"refused": 2}
    assert [(each.line, each.judged, each.written) for each in tally.changed] == [
        (2, "within", "refused"), (3, "within", "refused")
    ]  # fmt: skip


@pytest.mark.parametrize("wrote", [1, 2])
def test_what_another_wrote_between_two_transactions_counts(
    story: Story, judged_again: list[int], wrote: int
) -> None:
    """From there on every row is judged again, also one that was made ready and signed before."""
    story.bench()
    progress = []

    def written(done: int, total: int) -> None:
        progress.append((done, total))
        if done == wrote:
            another_reports(story, "W-0417")

    rows = csv_of([reading(1), reading(2, 1), reading(3, 2)])
    tally = bring(story, rows, seconds=Chopped(), together=1, written=written)
    assert sum(judged_again) == 3 - wrote
    assert tally.outcomes == {"within": wrote, "refused": 3 - wrote}
    assert progress == [(1, 3), (2, 3), (3, 3)]


def meanwhile(story: Story, until: Moment) -> Callable[[], None]:
    """Let time pass between the judging and the writing."""

    def judging() -> None:
        story.clock.moment = until

    return judging


@pytest.mark.parametrize(("beyond", "remarks"), [(0, []), (1, ["late"])])
def test_a_reading_that_was_late_by_then_says_so(
    story: Story, judged_again: list[int], beyond: int, remarks: list[str]
) -> None:
    """Up to the last millisecond it is written as it was judged; one later it is judged again."""
    story.bench()
    done = story.moment("2026-11-25 11:45:01")
    tally = bring(
        story, csv_of([reading(1, at="2026-11-25 11:45:01")]), judging=meanwhile(story, done + LATE + beyond)
    )
    assert tally.outcomes == {"within": 1}
    assert sum(judged_again) == beyond
    (told,) = story.book.connection.execute(
        "SELECT text ->> '$.body.remarks' FROM entry ORDER BY number DESC LIMIT 1"
    ).fetchone()
    assert ("late" in told) == bool(remarks)


@pytest.mark.parametrize("cycles", [None, 5000])
@pytest.mark.parametrize(("at", "judged"), [("23:50", "23:55"), ("09:00", "12:00")])
@pytest.mark.parametrize("beyond", [-1, 0])
def test_a_wrench_that_fell_due_meanwhile_asks_for_a_reason(
    story: Story, judged_again: list[int], beyond: int, at: str, judged: str, cycles: int | None
) -> None:
    """Whether its uses are limited or not, and the reading is late or not: to the end of its day, no longer."""
    story.bench()
    story.wrench("W-2", on="2025-11-25", cycles=cycles)
    story.clock.moment = story.moment(f"2026-11-25 {judged}")
    rows = csv_of([reading(1, wrench="W-2", at=f"2026-11-25 {at}")])
    midnight = story.moment("2026-11-26 00:00")
    tally = bring(story, rows, judging=meanwhile(story, midnight + beyond))
    if beyond < 0:
        assert (tally.outcomes, judged_again) == ({"within": 1}, [])
        return
    assert tally.stopped is not None
    assert tally.stopped.wrong.error.code == "why-missing"
    assert tally.outcomes == {}


@pytest.mark.parametrize(("wait", "outcome"), [(0, "refused"), (2, "within")])
def test_what_was_still_to_come_is_judged_again(
    story: Story, judged_again: list[int], wait: int, outcome: str
) -> None:
    """A time that lay a second ahead when it was judged, and lies behind when it is written, is no future."""
    story.bench()
    at = story.moment("2026-11-25 12:30:00")
    story.clock.moment = at - 1000
    rows = csv_of([reading(1, at="2026-11-25 12:30:00")])
    tally = bring(story, rows, judging=meanwhile(story, at + (wait - 1) * 1000))
    assert (tally.outcomes, judged_again) == ({outcome: 1}, [1])
    story.demand_that_it_holds()


@pytest.mark.parametrize(("minutes", "again"), [(19, []), (20, None)])
def test_a_use_that_was_still_to_come_when_it_was_judged_counts_now(
    story: Story, judged_again: list[int], minutes: int, again: list[int] | None
) -> None:
    """A wrench that is good for one use, and another use of it on record for twenty minutes later."""
    story.bench()
    story.wrench("W-2", cycles=1)
    now = story.until("2026-11-25 15:00")
    story.take("tie-bolt:2", "100 N·m", "W-2", at="2026-11-25 15:20")
    rows = csv_of([reading(1, wrench="W-2", at="2026-11-25 14:59")])
    tally = bring(story, rows, judging=meanwhile(story, now + minutes * MINUTE))
    if again is not None:
        assert (tally.outcomes, judged_again) == ({"within": 1}, again)
        return
    assert tally.stopped is not None
    assert tally.stopped.wrong.error.code == "why-missing"


def test_what_was_done_the_moment_it_was_judged_may_need_a_reason_by_now(story: Story) -> None:
    """Between the two the wrench's last day ended."""
    story.bench()
    story.wrench("W-2", on="2025-11-25")
    at = story.until("2026-11-25 23:59:59")
    rows = csv_of([reading(1, wrench="W-2", at="2026-11-25 23:59:59")])
    tally = bring(story, rows, judging=meanwhile(story, at + 1000))
    assert tally.stopped is not None
    assert tally.stopped.wrong.error.code == "why-missing"


@pytest.mark.parametrize(("back", "outcome", "again"), [(0, "within", []), (2, "refused", [1])])
def test_a_clock_that_was_set_back_meanwhile_makes_a_future(
    story: Story, judged_again: list[int], back: int, outcome: str, again: list[int]
) -> None:
    """A time that lay behind when it was judged, and lies ahead when it is written; verification finds it so, too."""
    story.bench()
    at = story.moment("2026-11-25 12:30:00")
    story.clock.moment = at + 1
    rows = csv_of([reading(1, at="2026-11-25 12:30:00")])
    tally = bring(story, rows, judging=meanwhile(story, at + 1 - back))
    assert (tally.outcomes, judged_again) == ({outcome: 1}, again)
    story.demand_that_it_holds()


@pytest.mark.parametrize("slept", [-120_001, -120_000, 120_000, 120_001])
def test_what_was_made_ready_long_ago_is_judged_again(
    story: Story, judged_again: list[int], slept: int
) -> None:
    """The computer slept between making ready and writing, or its clock was set back: up to two minutes do no harm."""
    story.bench()
    began = story.clock.moment = story.moment("2026-11-25 13:00")

    def written(done: int, _total: int) -> None:
        if done == 1:
            story.clock.moment += slept

    rows = csv_of([reading(1), reading(2, 1), reading(3, 2)])
    far = abs(slept) > 120_000
    if slept < 0 and far:
        with pytest.raises(TorquelogError) as caught:
            bring(story, rows, seconds=Chopped(), together=1, written=written)
        assert caught.value.code == "clock-behind"
        return
    tally = bring(story, rows, seconds=Chopped(), together=1, written=written)
    assert (tally.outcomes, sum(judged_again)) == ({"within": 3}, 2 if far else 0)
    times = [at for (at,) in story.book.connection.execute("SELECT recorded FROM reading ORDER BY number")]
    assert times == [began, *[began + (slept if far else 0)] * 2]
    story.demand_that_it_holds()


def test_a_role_that_ends_between_two_rows_leaves_what_is_on_record_as_told(
    story: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In one transaction a signature counts for the first rows and not for the others: the first are told as written."""
    story.bench()
    counts = AsRehearsed._counts
    asked: list[int] = []

    def once(self: AsRehearsed, w: Writing, recorded: Moment) -> bool:
        asked.append(recorded)
        return len(asked) < 2 and counts(self, w, recorded)

    monkeypatch.setattr(AsRehearsed, "_counts", once)
    told: list[str] = []
    tally = bring(
        story, csv_of([reading(1), reading(2, 1)]), together=1, tell=lambda _, done: told.append(done[1])
    )
    assert (tally.outcomes, told) == ({"within": 2}, ["within", "within"])


@pytest.mark.parametrize("as_judged_first", [True, False])
def test_what_ends_the_writing_says_what_is_on_record(
    story: Story, monkeypatch: pytest.MonkeyPatch, as_judged_first: bool
) -> None:
    """A full disk after the first transaction: nothing says that nothing was saved, and the same file goes on."""
    story.bench()
    if not as_judged_first:
        monkeypatch.setattr(Maker, "ready", lambda *_: None)
    before = story.entries()

    def written(done: int, _total: int) -> None:
        if done == 1:
            story.book.connection.execute("PRAGMA max_page_count = 1")

    rows = csv_of([reading(number % 3 + 1, number, reading="120", why="x" * 2000) for number in range(20)])
    with pytest.raises(TorquelogError) as caught:
        bring(story, rows, seconds=Chopped(), together=1, written=written)
    on_disk = story.entries() - before
    found = caught.value
    assert (found.code, found.why) == (
        "disk-full", f"What was written before is on record, up to QHR-{before + on_disk:06d}."
    )  # fmt: skip
    assert "Nothing" not in str(found)
    assert 0 < on_disk < 20
    story.book.connection.execute("PRAGMA max_page_count = 1000000")
    assert bring(story, rows).outcomes == {"on-record": on_disk, "above": 20 - on_disk}


@pytest.mark.parametrize("beyond", [-1, 0])
def test_a_sign_in_that_ended_meanwhile_signs_nothing(story: Story, beyond: int) -> None:
    """The whole file is told so, as a row is not to blame; up to its end the sign-in signs."""
    story.bench()
    before = story.entries()
    end = story.moment("2026-11-26 04:00")
    story.clock.moment = end - HOUR
    wait = meanwhile(story, end + beyond)
    if beyond < 0:
        assert bring(story, csv_of([reading(1)]), judging=wait).outcomes == {"within": 1}
        return
    with story.refused("key-ended"):
        bring(story, csv_of([reading(1)]), judging=wait)
    assert story.entries() == before


def changed(story: Story) -> None:
    """Another program writes to the file, and says the same as before."""
    with closing(sqlite3.connect(story.book.path, isolation_level=None)) as other:
        (version,) = other.execute("PRAGMA user_version").fetchone()
        other.execute(f"PRAGMA user_version = {version}")


def test_any_change_of_the_file_lets_everything_be_judged_again(
    story: Story, judged_again: list[int]
) -> None:
    """Also one that is no entry, and that no guard would stand against."""
    story.bench()
    tally = bring(story, csv_of([reading(1)]), judging=lambda: changed(story))
    assert (tally.outcomes, judged_again) == ({"within": 1}, [1])


def test_a_change_at_the_very_end_of_a_transaction_is_seen(
    story: Story, judged_again: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody was waiting and writes the moment it is committed, before anything else is asked of the file."""
    story.bench()

    @contextmanager
    def watched(book: Book) -> Iterator[Writing]:
        with writing(book) as w:
            yield w
        changed(story)

    monkeypatch.setattr("torquelog.book.as_rehearsed.writing", watched)
    rows = csv_of([reading(1), reading(2, 1)])
    tally = bring(story, rows, seconds=Chopped(), together=1)
    assert (tally.outcomes, judged_again) == ({"within": 2}, [1])


def test_an_id_that_another_row_has_made_is_told(story: Story) -> None:
    """A row with an id of its own that says something else than the row from whose cells the same id is made."""
    story.bench()
    bring(story, csv_of([reading(1)]))
    made = story.book.connection.execute(
        "SELECT lower(hex(id)) FROM entry ORDER BY number DESC LIMIT 1"
    ).fetchone()[0]
    other = stocked_again(story)
    tally = bring(other, csv_of([reading(1), reading(2, 1, id=made)]))
    assert tally.stopped is not None
    assert tally.stopped.wrong.error.code == "id-reused"
    assert (tally.outcomes, tally.left) == ({}, 2)
    other.close_book()


def stocked_again(story: Story) -> Story:
    """A second record, in which nothing was brought in yet."""
    return stocked(Path(story.book.path).parent / "second")


def test_rows_that_are_judged_again_are_those_of_the_file(
    story: Story, judged_again: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also where so many were kept aside that they are read piece by piece."""
    story.bench()
    monkeypatch.setattr(spool, "IN_A_LINE", 2)
    rows = [reading(number % 3 + 1, number, reading="120") for number in range(26)]

    def written(done: int, _total: int) -> None:
        if done == 2:
            changed(story)

    tally = bring(story, csv_of(rows), seconds=Chopped(), together=2, written=written)
    assert tally.outcomes == {"above": 26}
    assert sum(judged_again) == 24
    items = story.book.connection.execute("SELECT item FROM reading ORDER BY number").fetchall()
    assert [item for (item,) in items] == [number % 3 + 1 for number in range(26)]


def test_what_is_asked_for_once_is_made_ready_in_time(story: Story, judged_again: list[int]) -> None:
    """More rows than are made ready at once, in several transactions: each is on record once, in its order."""
    story.bench()
    rows = [reading(number % 3 + 1, number, loosened="yes") for number in range(50)]
    tally: Tally = bring(story, csv_of(rows), seconds=Chopped(), together=7)
    assert tally.outcomes == {"within": 50}
    assert judged_again == []
    items = story.book.connection.execute("SELECT item FROM reading ORDER BY number").fetchall()
    assert [item for (item,) in items] == [number % 3 + 1 for number in range(50)]
    assert bring(story, csv_of(rows)).outcomes == {"on-record": 50}
