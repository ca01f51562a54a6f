"""The Python face: what it publishes, that it answers as the acts do, and that asking writes nothing."""

import hashlib
import inspect
import os
import re
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from fractions import Fraction
from importlib.resources import files
from pathlib import Path

import pytest

from tests.project.source import ROOT
from tests.support.story import PART, WHEEL, Story
from torquelog import api
from torquelog.api import TorquelogError, open_record
from torquelog.book.jobview import job_state
from torquelog.crib import check
from torquelog.demo.story import tell
from torquelog.ledger.form import reference
from torquelog.quality import recall, trace


@pytest.fixture(name="hangar", scope="module")
def _hangar(tmp_path_factory) -> Path:
    """The record of the demonstration."""
    path = tmp_path_factory.mktemp("hangar") / "hangar.db"
    tell(str(path))
    return path


def test_what_is_documented_is_what_is_published():
    """Each name of `__all__` has its heading in the reference, and no other name has one."""
    page = (ROOT / "docs" / "reference" / "api.md").read_text(encoding="utf-8")
    headings = re.findall(r"^### (\w+)$", page, re.MULTILINE)
    assert headings == api.__all__ == sorted(api.__all__)


def test_nothing_else_can_be_imported():
    """Whatever stands in the module beside the published names begins with an underscore."""
    assert {name for name in vars(api) if not name.startswith("_")} == set(api.__all__)


def test_it_is_typed():
    """The marker of typed packages is shipped, and every function says what it takes and gives."""
    assert files("torquelog").joinpath("py.typed").is_file()
    for name in api.__all__:
        found = getattr(api, name)
        if inspect.isfunction(found):
            told = inspect.signature(found)
            assert told.return_annotation is not inspect.Signature.empty
            assert all(each.annotation is not inspect.Parameter.empty for each in told.parameters.values())


@pytest.mark.parametrize("name", [name for name in api.__all__ if name not in ("Record", "TorquelogError")])
def test_every_name_says_what_it_means_and_results_are_frozen(name):
    """A docstring of its own; a result can be read, compared, and not changed."""
    found = getattr(api, name)
    assert len(inspect.getdoc(found) or "") > 30
    if inspect.isclass(found):
        assert issubclass(found, tuple)
        with pytest.raises(AttributeError):
            found(*found.__annotations__).__setattr__(next(iter(found.__annotations__)), "other")


def test_it_computes_as_the_commands_do():
    """The example of the interface, an adapter at an angle, and a conversion."""
    found = api.setting("60..80 N·m", lever="400 mm", adapters=["100 mm"])
    assert (str(found.low), str(found.high), found.ratio) == ("48 N·m", "64 N·m", Fraction(4, 5))
    turned = api.applied("60 lbf·in", lever="12 in", adapters=[("2 in", "90")])
    assert (str(turned.torque), turned.ratio) == ("60 lbf·in", 1)
    assert api.applied("10 N·m", multipliers=["3.8"]).newton_metres == 38
    assert api.convert("1 kN·m", "N·m") == api.Converted("1000", "N·m", exact=True)


@pytest.mark.parametrize(
    ("code", "ask"),
    [
        ("unit-missing", lambda: api.convert("44", "N·m")),
        ("adapter-no-lever", lambda: api.applied("10 N·m", adapters=["2 in"])),
        ("basis-form", lambda: api.setting("60..80 N·m", basis="else")),
    ],
)
def test_whatever_cannot_be_computed_is_an_error_with_a_code(code, ask):
    """Never another exception."""
    with pytest.raises(TorquelogError) as caught:
        ask()
    assert caught.value.code == code


def test_a_tool_is_judged_as_the_check_before_the_work_judges_it(story):
    """Grounds, remarks, due date, cycles left and whereabouts."""
    story.bench(WHEEL)
    story.wrench("W-0402", on="2025-11-09")
    story.take("tie-bolt:1", "100 N·m")
    story.issue("W-0417", job="J-1")
    with open_record(story.book.path, as_of=moment(story)) as record:
        for name in ("W-0417", "W-0402"):
            told, answered = record.fitness(name.lower()), check.check(story.book, name)
            assert told.grounds == answered.grounds
            assert told.remarks == answered.fitness.remarks
            assert (told.due, told.cycles_left) == (answered.fitness.due, answered.fitness.cycles_left)
            assert told.fit is not bool(answered.grounds)
        assert record.fitness("W-0417").whereabouts[:4] == ("person", "TK", None, "J-1")
        assert [each.tool for each in record.tools()] == ["W-0402", "W-0417"]


def test_a_job_is_told_as_the_commands_tell_it(story):
    """What is done, what is asked, and every hold; later also when it was closed."""
    story.bench(WHEEL)
    story.take("tie-bolt:1", "100 N·m")
    before = moment(story)
    with open_record(story.book.path, as_of=before) as record:
        told, state = record.job("j-1"), job_state(story.book.connection, "J-1")
        assert (told.taken, told.asked) == (state.taken, state.asked) == (1, 3)
        assert [each.code for each in told.holds] == [each.code for each in state.holds] != []
        assert told.assemblies == (("wheel", f"{PART} WH-2231"),)
        assert record.jobs() == ("J-1",)
    story.take("tie-bolt:2", "100 N·m")
    story.take("tie-bolt:3", "100 N·m")
    assert story.close()
    with open_record(story.book.path, as_of=moment(story)) as record:
        assert record.jobs() == ()
        assert record.job("J-1").closed is not None
    with open_record(story.book.path, as_of=before) as record:
        assert (record.job("J-1").closed, record.job("J-1").taken) == (None, 1)


def test_a_trace_is_followed_as_the_commands_follow_it(hangar):
    """Every reading with its state and place, and the counts."""
    with open_record(hangar) as record:
        told = record.trace("wrench", "w-118")
        assert record._book is not None
        answered = trace.trace(record._book, "wrench", "W-118")
    assert (told.standing, told.flying) == (answered.standing, answered.flying) == (10, 10)
    assert [(each.entry, each.state) for each in told.readings] == [
        (reference(row.reading.station, row.reading.number), row.state) for row in answered.rows
    ]
    assert {each.place.registration for each in told.readings} == {"QQ-ULM"}
    assert all(each.fastener.assembly == "EX-7100-2 WH-7104" for each in told.readings)


def test_a_moment_can_be_asked_about(hangar):
    """On Thursday the wheel was on the other aircraft; on the Monday before there was no recall."""
    with open_record(hangar, as_of="2026-11-19T12:00") as record:
        told = record.trace("wrench", "W-118")
        assert {each.place.registration for each in told.readings} == {"QQ-TAN"}
        assert record.recalls() == ()
        with pytest.raises(TorquelogError) as caught:
            record.recall("R-1")
        assert caught.value.code == "recall-unknown"
        assert record.as_of == datetime(2026, 11, 19, 10, 0, tzinfo=UTC)


def test_a_window_of_work_can_be_asked_about(hangar):
    """The end is not included."""
    with open_record(hangar) as record:
        every = record.trace("wrench", "W-118").readings
        some = record.trace(
            "wrench", "W-118", since=every[3].performed_at, until=every[7].performed_at
        ).readings
    assert some == every[3:7]


def test_a_recall_is_told_as_the_commands_tell_it(hangar):
    """Each item with its verdict, and what it got by the results as found."""
    with open_record(hangar) as record:
        (entry,) = record.recalls()
        told = record.recall("r-1")
        assert told == record.recall(entry)
        assert record._book is not None
        answered = recall.show(record._book, "R-1")
    assert [each.number for each in told.items] == [each.number for each in answered.items]
    assert {each.verdict for each in told.items} == {"outside"}
    assert [each.as_found for each in told.items] == [each.governing.judged.found for each in answered.items]
    assert (told.state, told.subject, told.name) == ("open", "wrench", "W-118")


def test_asking_writes_nothing(hangar):
    """Not a byte of the file changes, its time does not, and no file lies beside it afterwards."""
    for beside in hangar.parent.glob("hangar.db-*"):
        beside.unlink()
    before = hashlib.sha256(hangar.read_bytes()).digest(), hangar.stat().st_mtime_ns
    with open_record(hangar) as record:
        record.tools()
        record.recall("R-1")
        record.job("J-302")
    assert (hashlib.sha256(hangar.read_bytes()).digest(), hangar.stat().st_mtime_ns) == before
    assert os.listdir(hangar.parent) == ["hangar.db"]


def test_what_belongs_to_others_is_left_beside_it(story):
    """While a writer has the record open, its log stays, and it goes on writing."""
    story.wrench()
    log = Path(story.book.path + "-wal")
    assert log.exists()
    with open_record(story.book.path, as_of=moment(story)) as record:
        assert record.fitness("W-0417").fit
    assert log.exists()
    story.wrench("W-0402")


def test_a_closed_record_says_so(hangar):
    """Asking it afterwards is an error of ours; closing twice is none."""
    record = open_record(hangar)
    record.close()
    record.close()
    for ask in (record.tools, record.jobs, record.recalls, lambda: record.job("J-301")):
        with pytest.raises(TorquelogError) as caught:
            ask()
        assert caught.value.code == "argument"


def test_whatever_cannot_be_opened_or_asked_is_an_error_with_a_code(hangar, tmp_path):
    """Files that are none of ours, names that nobody bears, moments without a zone."""
    (tmp_path / "text.db").write_text("no record", encoding="utf-8")
    with closing(sqlite3.connect(tmp_path / "other.db")) as connection:
        connection.execute("CREATE TABLE a (b)")
    assert code(lambda: open_record(tmp_path / "none.db")) == "database-missing"
    assert code(lambda: open_record(f"{tmp_path}/zero\0byte")) == "database-missing"
    assert code(lambda: open_record(tmp_path)) == "not-a-ledger"
    assert code(lambda: open_record(tmp_path / "text.db")) == "not-a-ledger"
    assert code(lambda: open_record(tmp_path / "other.db")) == "not-a-ledger"
    assert code(lambda: open_record(hangar, as_of=datetime(2026, 1, 1))) == "time-form"  # noqa: DTZ001  the point
    assert code(lambda: open_record(hangar, as_of="soon")) == "time-form"
    with open_record(hangar) as record:
        assert code(lambda: record.fitness("W-999")) == "tool-unknown"
        assert code(lambda: record.fitness("W-118", direction="up")) == "argument"
        assert code(lambda: record.tools("hammer")) == "argument"
        assert code(lambda: record.job("J-999")) == "job-unknown"
        assert code(lambda: record.trace("hammer", "H")) == "argument"
        assert code(lambda: record.trace("lot", "bad\u202e")).startswith("text")
        assert code(lambda: record.trace("assembly", "EX-7100-2 WH-9999")) == "assembly-unknown"
        assert code(lambda: record.trace("shop", "ZZZ")) == "station-unknown"
        assert code(lambda: record.recall("R-9")) == "recall-unknown"


def test_a_damaged_file_is_an_error_with_a_code(hangar, tmp_path):
    """What SQLite says in the middle of a question is said as ours."""
    whole = hangar.read_bytes()
    path = tmp_path / "damaged.db"
    path.write_bytes(whole[: len(whole) // 4] + b"\xff" * (3 * len(whole) // 4))

    def ask() -> None:
        with open_record(path) as record:
            record.tools()

    assert code(ask) in ("damaged", "schema-changed", "not-a-ledger")


def test_a_page_that_is_damaged_is_an_error_with_a_code(hangar, tmp_path):
    """The file opens; what was asked about lies on a page that cannot be read."""
    with closing(sqlite3.connect(f"file:{hangar}?mode=ro", uri=True)) as connection:
        (page,) = connection.execute(
            "SELECT rootpage FROM sqlite_schema WHERE name = 'tool_by_sort'"
        ).fetchone()
        (size,) = connection.execute("PRAGMA page_size").fetchone()
    content = bytearray(hangar.read_bytes())
    content[(page - 1) * size : page * size] = b"\xff" * size
    path = tmp_path / "damaged.db"
    path.write_bytes(content)
    with open_record(path) as record:
        assert code(record.tools) == "damaged"


def code(ask) -> str:
    with pytest.raises(TorquelogError) as caught:
        ask()
    return caught.value.code


def moment(story: Story) -> datetime:
    return datetime.fromtimestamp(story.clock.moment / 1000, UTC)
