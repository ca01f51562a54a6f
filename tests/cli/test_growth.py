"""What a question costs in a long record: no more than in a short one, whatever the machine. Nothing is timed here.

Two invented stations end in the same way, one after five times as much work as the other. The statements of each command
are collected; their plans must not walk through a large table, and the steps that SQLite takes must hardly grow.
"""

import gc
import os
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.benchmark import by_hand
from tests.generator.station import BUSY_WRENCH, Size, make
from tests.support.books import sign_in
from torquelog.book import recall_items, soundness
from torquelog.book.opening import Book, open_book
from torquelog.book.recall_doubts import scope_of
from torquelog.book.recall_items import Gathered, how_many, readings_of
from torquelog.book.recall_judging import Scope
from torquelog.book.signer import Signer
from torquelog.cli.run import run
from torquelog.clock import SystemClock, local_date
from torquelog.crib.calibration import NewCalibration, calibrate
from torquelog.facts.calibrations import Point
from torquelog.facts.recalls import recalls
from torquelog.facts.tracing import Traced
from torquelog.ledger import database
from torquelog.quality.recall import open_recall
from torquelog.quality.recall_scope import Asked
from torquelog.quality.recall_view import Locations
from torquelog.quality.trace import trace
from torquelog.rules import recall_readings
from torquelog.rules.recall_item import Taken
from torquelog.rules.recall_readings import Readings
from torquelog.torque.number import display
from torquelog.torque.units import Torque
from torquelog.work.signing import unlock

A_DAY = 384
READINGS = 2 * A_DAY
TIMES = 5
BUSY = A_DAY // 2
GROWTH = 1.07

LARGE = frozenset(
    {"entry", "reading", "tool_use", "cycle_tally", "placement", "job", "job_closed", "job_assembly"}
)
"""Tables that grow with every day of work."""

COMMANDS = {
    "trace": ["trace", "wrench", BUSY_WRENCH],
    "recall": ["recall", "show", "R-1"],
    "job": ["job", "show", "JOB"],
    "wrench": ["wrench", "show", BUSY_WRENCH],
    "due": ["wrench", "due"],
    "assembly": ["assembly", "show", "WHEEL"],
}
TELLS_ITS_LIFE = frozenset({"assembly"})
"""Commands whose answer itself grows: they may take more steps, but walk through no table."""


class Station(NamedTuple):
    """A record on disk, with the last job of the busy wrench and its wheel."""

    path: Path
    job: str
    serial: str


def station(path: Path, readings: int) -> Station:
    """Make one, with a recall of all that the busy wrench did."""
    book = make(path, Size(readings, wrenches=4, aircraft=4, busy=BUSY), seed=5)
    row = book.connection.execute(
        "SELECT job, owner FROM reading WHERE wrench = ? ORDER BY number DESC LIMIT 1", (BUSY_WRENCH,)
    ).fetchone()
    signer = sign_in(book, unlock(book, "AA", "a station made up"))
    fails(book, signer)
    open_recall(book, signer, Asked("wrench", BUSY_WRENCH))
    book.close()
    return Station(path, row[0], row[1].split()[-1])


def fails(book: Book, signer: Signer) -> None:
    """The busy wrench comes back from its calibration and was 7 % low."""
    points = tuple(
        Point(state, "cw", Torque(str(nominal), "N·m"), Torque(display(nominal * share, 6), "N·m"))
        for state, share in (("as-found", Fraction(93, 100)), ("as-left", Fraction(1)))
        for nominal in (20, 70, 120)
    )
    day = local_date(book.clock.now(), book.zone)
    calibrate(book, signer, BUSY_WRENCH, NewCalibration(by_hand.FAILED, day, points=points), accept=True)


@pytest.fixture(scope="module")
def stations(tmp_path_factory: pytest.TempPathFactory) -> tuple[Station, Station]:
    """The short one and the long one."""
    folder = tmp_path_factory.mktemp("growth")
    return station(folder / "short.db", READINGS), station(folder / "long.db", READINGS * TIMES)


class Watched(NamedTuple):
    """What a command asked: its statements, and how many steps SQLite took for them."""

    statements: tuple[str, ...]
    steps: int


@pytest.fixture
def watch(monkeypatch: pytest.MonkeyPatch) -> Callable[[Station, str], Watched]:
    """Carries a command out in a station and watches its connection."""
    told: list[str] = []
    steps = [0]
    connect = database.connect

    def step() -> int:
        steps[0] += 1
        return 0

    def watched(*given: object, **named: object) -> sqlite3.Connection:
        connection = connect(*given, **named)  # type: ignore[arg-type]
        connection.set_trace_callback(told.append)
        connection.set_progress_handler(step, 1)
        return connection

    monkeypatch.setattr(database, "connect", watched)

    def carry_out(where: Station, name: str) -> Watched:
        told.clear()
        steps[0] = 0
        monkeypatch.setenv("TORQUELOG_DB", str(where.path))
        words = [{"JOB": where.job, "WHEEL": where.serial}.get(word, word) for word in COMMANDS[name]]
        with open(os.devnull, "w") as nowhere:
            assert run(words, stdout=nowhere) == 0
        return Watched(tuple(text for text in told if text.startswith(("SELECT", "WITH"))), steps[0])

    return carry_out


def scanned(connection: sqlite3.Connection, statement: str) -> set[str]:
    """The large tables that a statement walks through from one end to the other, by whatever name it calls them."""
    found = set()
    for *_, detail in connection.execute(f"EXPLAIN QUERY PLAN {statement}"):
        if detail.startswith("SCAN "):
            name = detail.split()[1]
            found |= {table for table in LARGE if table == name or f"{table} AS {name}" in statement}
    return found


@pytest.mark.parametrize("name", COMMANDS)
def test_no_large_table_is_walked_through(stations, watch, name) -> None:
    """Each statement finds its rows by an index."""
    _, long = stations
    asked = watch(long, name).statements
    assert len(asked) > 5
    with sqlite3.connect(f"file:{long.path}?mode=ro", uri=True) as connection:
        walked = {text: tables for text in asked if (tables := scanned(connection, text))}
    connection.close()
    assert not walked


BY_INDEX = {
    "person": ("person", "AA"),
    "shop": ("shop", "GEN"),
    "window": ("", ""),
}
"""What a recall may go by besides a tool."""


@pytest.mark.parametrize("name", BY_INDEX)
def test_a_recall_by_time_looks_at_no_other_time(stations, name) -> None:
    """The readings of a window are found by an index, whoever performed them; none before or after is looked at."""
    _, long = stations
    told: list[str] = []
    with open_book(long.path, "read", SystemClock()) as book:
        first, last = book.connection.execute("SELECT min(at), max(at) FROM reading").fetchone()
        begins = last - (last - first) // 10
        steps = [0]
        book.connection.set_trace_callback(told.append)
        book.connection.set_progress_handler(lambda: steps.__setitem__(0, steps[0] + 1), 1)
        found = list(readings_of(book.connection, Scope(*BY_INDEX[name], "", "", begins, last)))
        book.connection.set_progress_handler(None, 0)
        assert found
        assert {each.reading.at >= begins for each in found} == {True}
        assert steps[0] < 150 * len(found)
        book.connection.set_trace_callback(None)
        assert not [text for text in told if scanned(book.connection, text)]


def test_a_recall_by_person_holds_the_readings_of_one_fastener(
    stations, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It reads on when a fastener's readings are put together, and holds one of each then; however many it names."""
    _, long = stations
    read = judged = fasteners = 0
    held: list[int] = []
    source, kept = recall_items.readings_of, recall_readings.kept

    def watched(*given: object) -> Iterator[Traced]:
        nonlocal read
        for each in source(*given):  # type: ignore[arg-type]  # passed on as it came
            read += 1
            yield each

    def counted(seen: Sequence[Taken], governing: Taken) -> Readings:
        nonlocal judged, fasteners
        judged, fasteners = judged + len(seen), fasteners + 1
        assert read <= judged + 1
        if judged > READINGS and not held:
            held.append(sum(type(each) is Taken for each in gc.get_objects()) - len(seen) - fasteners)
        return kept(seen, governing)

    monkeypatch.setattr(recall_items, "readings_of", watched)
    monkeypatch.setattr(recall_readings, "kept", counted)
    with open_book(long.path, "read", SystemClock()) as book:
        scope = Scope("person", "AA", "", "", 0, book.clock.now())
        items = Gathered(book.connection, scope).items(Locations(book.connection))
        assert how_many(book.connection, scope) == read == judged
    assert sum(each.readings.total for each in items) == read > READINGS
    assert held[0] < 10


def test_a_sign_in_looks_at_as_much_of_a_long_record(stations, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a file that has grown large only the end: as many steps, and no walk through a table."""
    monkeypatch.setattr(soundness, "WHOLE", 0)
    found = []
    for each in stations:
        told: list[str] = []
        steps = [0]
        with open_book(each.path, "read", SystemClock()) as book:
            book.connection.set_trace_callback(told.append)
            book.connection.set_progress_handler(lambda held=steps: held.__setitem__(0, held[0] + 1), 1)
            soundness.demand_sound(book)
            book.connection.set_progress_handler(None, 0)
            book.connection.set_trace_callback(None)
            selects = [text for text in told if text.startswith("SELECT")]
            assert len(selects) > 20
            assert not [text for text in selects if scanned(book.connection, text)]
        found.append(steps[0])
    assert found[1] < found[0] * GROWTH


def test_a_walk_is_seen(stations) -> None:
    """By the table's own name, by another one, and through one of its indexes; a search is none."""
    _, long = stations
    connection = sqlite3.connect(f"file:{long.path}?mode=ro", uri=True)
    assert scanned(connection, "SELECT count(*) FROM reading WHERE pass = 1") == {"reading"}
    assert scanned(connection, "SELECT 1 FROM entry AS each WHERE text = 'a'") == {"entry"}
    assert scanned(connection, "SELECT DISTINCT job FROM job") == {"job"}
    assert scanned(connection, "SELECT 1 FROM reading WHERE job = 'J-1'") == set()
    connection.close()


@pytest.mark.parametrize("name", sorted(set(COMMANDS) - TELLS_ITS_LIFE))
def test_a_long_record_takes_hardly_more_steps(stations, watch, name, record_property) -> None:
    """Five times the work in it, and the same question: the steps that SQLite takes stay what they were."""
    short, long = (watch(each, name).steps for each in stations)
    record_property("count", f"{short} steps, {long} after {TIMES} times the work")
    assert 1000 < long < short * GROWTH


def test_the_questions_by_hand_find_the_same_readings(stations) -> None:
    """The benchmark compares like with like: the rows of its queries are the readings of trace and recall."""
    path = stations[1].path
    with open_book(path, "read", SystemClock()) as book:
        traced = [
            (row.reading.station, row.reading.number) for row in trace(book, "wrench", BUSY_WRENCH).rows
        ]
        (recall,) = recalls(book.connection)
        named = sorted(
            (each.reading.station, each.reading.number)
            for each in readings_of(book.connection, scope_of(recall))
        )
    assert [row[:2] for row in by_hand.rows(str(path), "trace")] == traced
    assert [row[:2] for row in by_hand.rows(str(path), "recall")] == named
    assert len(named) > BUSY // 2
