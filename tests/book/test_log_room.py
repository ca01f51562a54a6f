"""Room in the log: made once, for nothing on record, and never at the cost of what is."""

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.support.story import WHEEL, Story
from torquelog.book import log_room
from torquelog.book.log_room import LOG_BYTES, make_room
from torquelog.book.opening import open_book


def log_length(story: Story) -> int:
    """Bytes of the log."""
    return os.path.getsize(f"{story.book.path}-wal")


def seen_by_another(story: Story) -> list[str]:
    """Every row of every table, as another program finds them."""
    with closing(sqlite3.connect(f"file:{story.book.path}?mode=ro", uri=True)) as other:
        return list(other.iterdump())


def test_the_log_grows_no_more_once_it_has_its_room(story: Story) -> None:
    """Readings are written into it, one commit after another, and its length stays."""
    story.bench(WHEEL)
    make_room(story.book)
    length = log_length(story)
    assert length >= LOG_BYTES
    for item in range(1, 4):
        story.take(f"tie-bolt:{item}", "100 N·m")
    make_room(story.book)
    assert log_length(story) == length


def test_nothing_is_on_record_by_it(story: Story) -> None:
    """Neither to this program nor to another, nor after the file is closed and opened again."""
    story.bench(WHEEL)
    story.take("tie-bolt:1", "100 N·m")
    before = seen_by_another(story)
    make_room(story.book)
    assert seen_by_another(story) == before
    story.book.close()
    assert not Path(f"{story.book.path}-wal").exists()
    story.book = open_book(story.book.path, "write", story.clock, clock_ok=True)
    assert seen_by_another(story) == before


def test_what_was_in_the_log_before_stays_in_it(story: Story, tmp_path: Path) -> None:
    """A copy of file and log, as a dead computer leaves them, holds the reading before and the one after."""
    story.bench(WHEEL)
    first = story.take("tie-bolt:1", "100 N·m")
    make_room(story.book)
    second = story.take("tie-bolt:2", "100 N·m")
    for end in ("", "-wal"):
        (tmp_path / f"copy.db{end}").write_bytes(Path(story.book.path + end).read_bytes())
    with closing(sqlite3.connect(tmp_path / "copy.db")) as copy:
        names = {
            f"{station}-{number:06d}"
            for station, number in copy.execute("SELECT station, number FROM reading")
        }
    assert names == {first.reference, second.reference}


def test_a_disk_with_little_room_is_left_alone(story: Story, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is free there may be needed for entries."""
    story.bench(WHEEL)
    before = log_length(story)
    monkeypatch.setattr(log_room, "_free", lambda _: log_room.FREE_BYTES - 1)
    make_room(story.book)
    assert log_length(story) == before


def test_trouble_with_it_is_no_trouble(story: Story) -> None:
    """Where the file may have no more pages, nothing is made, nothing is said, and readings go on."""
    story.bench(WHEEL)
    (pages,) = story.book.connection.execute("PRAGMA page_count").fetchone()
    story.book.connection.execute(f"PRAGMA max_page_count = {pages + 60}")
    make_room(story.book)
    assert story.take("tie-bolt:1", "100 N·m").outcome == "within"
