"""The week in an invented hangar: what it tells is what its record says."""

import io
import json
from pathlib import Path

import pytest

from torquelog.book.named import job_named
from torquelog.book.opening import open_book
from torquelog.book.verification import verify
from torquelog.cli.run import run
from torquelog.clock import SetClock, from_utc_text
from torquelog.demo.story import Week, tell
from torquelog.quality.recall import show
from torquelog.quality.refusals import refusals

NOON = from_utc_text("2026-11-25T12:00:00.000Z")


@pytest.fixture(scope="module")
def week(tmp_path_factory: pytest.TempPathFactory) -> tuple[Week, str]:
    """The week, lived through once, and where its record lies."""
    path = str(tmp_path_factory.mktemp("demo") / "demo.db")
    return tell(path), path


def test_the_wheel_is_found_on_the_aircraft_of_today(week: tuple[Week, str]) -> None:
    """Built up in the shop, it was on one aircraft and flies on another; all its bolts are found there."""
    told, _ = week
    now = {one.registration: one.fasteners for one in told.trace.aircraft if one.now}
    before = {one.registration: one.fasteners for one in told.trace.aircraft if not one.now}
    assert (now, before) == ({"QQ-ULM": 10}, {"QQ-TAN": 10})
    assert told.trace.named == len(told.trace.rows) == 20


def test_its_jobs_are_closed(week: tuple[Week, str]) -> None:
    """Nothing of the week's work is left open, as the story says."""
    told, path = week
    with open_book(path, "read", SetClock(NOON)) as book:
        jobs = [job_named(book.connection, name) for name in ("J-301", "J-302")]
    assert all(job.closed is not None for job in jobs)
    assert "The job is closed." in " ".join(line for step in told.steps for line in step.lines)


def test_two_wrenches_were_refused_for_what_the_story_says(week: tuple[Week, str]) -> None:
    """One past its due date, one with its cycles used; each refusal is on record."""
    _, path = week
    with open_book(path, "read", SetClock(NOON)) as book:
        found = [(each.reading.wrench, [code for code, _, _ in each.grounds]) for each in refusals(book)]
    assert found == [("W-231", ["past-due"]), ("W-260", ["cycles-used"])]


def test_the_recall_of_the_failed_wrench_finds_all_of_it_outside(week: tuple[Week, str]) -> None:
    """72 N·m shown was 67.2 N·m applied, below the 68 that the card asks for."""
    _, path = week
    with open_book(path, "read", SetClock(NOON)) as book:
        view = show(book, "R-1")
    assert (view.counts.outside, view.counts.indeterminate, view.counts.within) == (10, 0, 0)
    assert view.counts.flying_outside == 10


def test_its_record_verifies(week: tuple[Week, str]) -> None:
    """Every signature, every link, every judgement."""
    told, path = week
    with open_book(path, "read", SetClock(NOON)) as book:
        report = verify(book.connection, book.station)
    assert report.holds
    assert report.chains[0].held == told.entries


def typed(*words: str) -> tuple[int, str, str]:
    """Run a command line."""
    out, err = io.StringIO(), io.StringIO()
    status = run(list(words), clock=SetClock(NOON), stdin=io.StringIO(), stdout=out, stderr=err)
    return status, out.getvalue(), err.getvalue()


def test_each_demo_has_a_folder_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is overwritten: a second demo goes into a second folder, and the answer names it."""
    monkeypatch.chdir(tmp_path)
    paths = [json.loads(typed("demo", "--json")[1])["data"]["path"] for _ in range(2)]
    assert paths == ["torquelog-demo/demo.db", "torquelog-demo-2/demo.db"]
    assert all((tmp_path / path).is_file() for path in paths)


def test_a_demo_never_overwrites_a_file(tmp_path: Path) -> None:
    """A path that exists is refused, and stays as it was."""
    kept = tmp_path / "kept.db"
    kept.write_text("mine", encoding="utf-8")
    status, _, err = typed("demo", "--at", str(kept))
    assert status == 2
    assert str(kept) in err
    assert kept.read_text(encoding="utf-8") == "mine"
