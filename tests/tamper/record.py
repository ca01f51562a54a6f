"""Small records to tamper with, as bytes of a database file: one of a few entries, one with rows in most registers."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.book.elsewhere import other_station
from tests.support.story import WHEEL, Story
from torquelog.book import checkpointing, exporting, takein
from torquelog.book.opening import Book
from torquelog.crib import condition
from torquelog.quality import people, recall, recall_scope, station
from torquelog.work import fasteners, handing, inspecting

GROUP = {**WHEEL, "inspection": "independent"}


@cache
def small() -> bytes:
    """A record of the least that is needed for one reading by a wrench that is good."""
    with _story() as story:
        story.bench({**WHEEL, "count": 1})
        story.take("tie-bolt:1", "100 N·m")
        return image(story.book)


@cache
def full() -> bytes:
    """A record in which nearly everything happened that can happen, another station's chain among it."""
    with _story() as story:
        live(story)
        return image(story.book)


def live(story: Story) -> None:
    """Let it all happen."""
    at_home(story)
    _elsewhere(story)


def at_home(story: Story) -> None:
    """Let everything happen but for what another station brings."""
    _prepare(story)
    _work(story)


def _prepare(story: Story) -> None:
    story.bench(GROUP, checks=[{"id": "leak-check", "title": "Leak check"}])
    story.adapter("A-1", "25 mm")
    story.wrench("W-0402", on="2025-11-20")
    story.wrench("W-0500")
    story.aircraft()
    story.clock.moment += 1000
    station.set_rule(story.book, story.own["TK"], "idle-minutes", "90", "long shifts")
    people.change_role(story.book, story.own["TK"], "IK", "crib", add=True)
    people.new_code(story.book, story.own["TK"], "IK")
    story.issue("W-0500")
    story.give_back("W-0500", uses=3)


def _work(story: Story) -> None:
    story.take("tie-bolt:1", "90 N·m", lots=("L-77",), adapters=("A-1",))
    above = story.take("tie-bolt:2", "112 N·m")
    story.confirm(story.correct(above.reference, reading="100 N·m").strike)
    story.take("tie-bolt:3", "100 N·m", wrench="W-0402")
    story.act("tie-bolt:3", "loosened")
    handing.leave_out(story.book, story.signed["TK"], "J-1", "tie-bolt", 3, "short of a nut")
    handing.hand_over(story.book, story.signed["TK"], "J-1", "IK")
    handing.take_over(story.book, story.signed["IK"], "J-1")
    story.take("tie-bolt:3", "100 N·m", loosened=True, by="IK")
    story.step("", "leak-check")
    verdict = inspecting.Verdict("tie-bolt", (2, 3), accepted=True, seen=("W-0417",))
    inspecting.inspect(story.book, story.own["MS"], "J-1", verdict)
    fasteners.part(story.book, story.signed["TK"], "J-1", "off", "EX-9-77", fasteners.Work("TK"))
    story.fit("WH-2231")
    story.report("W-0417", "dropped")
    condition.restrict(
        story.book, story.own["TK"], ["W-0500"], low=None, high=None, direction="cw", why="one side"
    )
    condition.quarantine(story.book, story.signed["IK"], ["A-1"], why="bent")
    asked = recall_scope.Asked("wrench", "W-0417", since=story.moment("2026-11-01T00:00"), why="dropped")
    recall.open_recall(story.book, story.signed["TK"], asked)
    checkpointing.make(story.book, story.signed["IK"])


def _elsewhere(story: Story) -> None:
    with TemporaryDirectory() as folder:
        other = other_station(Path(folder), "LGW")
        lines = list(exporting.lines(other.book.connection, exporting.parts(other.book.connection)))
        other.book.close()
    story.clock.moment += 1000
    takein.take_in(story.book, story.signed["TK"], lines)
    station.accept_station(story.book, story.own["TK"], "LGW", "same company")


def image(book: Book) -> bytes:
    """The bytes of a record's file, as one file that needs no log beside it."""
    data = bytearray(book.connection.serialize())
    data[18:20] = b"\1\1"  # the file format's versions: a rollback journal, which memory can have
    return bytes(data)


@contextmanager
def _story() -> Iterator[Story]:
    with TemporaryDirectory() as folder:
        story = Story(Path(folder))
        yield story
        story.demand_that_it_holds()
        story.close_book()


@contextmanager
def opened(data: bytes) -> Iterator[sqlite3.Connection]:
    """A record in memory, on a connection that knows nothing of us and from which every trigger was taken."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        connection.deserialize(data)
        triggers = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall()
        for (name,) in triggers:
            connection.execute(f"DROP TRIGGER {name}")
        yield connection
