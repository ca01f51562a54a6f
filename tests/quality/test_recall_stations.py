"""A wrench that two stations used: what the other one recorded counts from when it is taken in."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.book.elsewhere import other_station
from tests.quality.recalled import decided, opened
from tests.quality.test_recall import calibrated, scene
from tests.support.books import DAY, Kept, sign_in
from tests.support.story import Story
from torquelog.book import exporting, takein
from torquelog.book.asked import Asked
from torquelog.book.opening import Book
from torquelog.book.recall_causes import pending
from torquelog.book.recall_items import Gathered, newest_of
from torquelog.book.recall_judging import Scope
from torquelog.clock import SetClock
from torquelog.quality import recall, station
from torquelog.quality import recall_scope as scopes
from torquelog.quality.recall_view import Locations
from torquelog.torque.units import Torque
from torquelog.work import record


@pytest.fixture
def lgw(story: Story, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Kept]:
    """Another station, which has taken in what the first one recorded and uses its wrench on its wheel."""
    for name in ("XDG_DATA_HOME", "XDG_RUNTIME_DIR"):
        (tmp_path / name.lower()).mkdir(mode=0o700)
        monkeypatch.setenv(name, str(tmp_path / name.lower()))
    scene(story)
    story.take("tie-bolt:1", "100 N·m")
    kept = other_station(tmp_path, "LGW", SetClock(story.clock.moment + 60_000))
    takein.take_in(kept.book, kept.signer, exported(story.book))
    kept.clock.moment += 1000
    asked = Asked("J-1", "tie-bolt", 2, Torque("100", "N·m"), "W-0417", (), "AB")
    assert record.record(kept.book, kept.signer, asked).outcome == "within"
    yield kept
    kept.book.close()


def exported(book: Book) -> list[str]:
    """Every line of an export."""
    return list(exporting.lines(book.connection, exporting.parts(book.connection)))


def test_what_is_taken_in_later_opens_a_closed_recall_again(story: Story, lgw: Kept) -> None:
    """It was recorded before the recall was opened, but nobody here knew."""
    calibrated(story, "5")
    view = opened(story, name="W-0417")
    assert [each.fastener[2] for each in view.items] == [1]
    decided(story, "R-1", "accepted", items=[1])
    assert recall.close(story.book, story.own["TK"], "R-1").state == "closed"
    story.later(seconds=5)
    takein.take_in(story.book, story.signed["TK"], exported(lgw.book))
    again = recall.show(story.book, "R-1")
    assert (again.state, again.counts.undecided) == ("re-opened", 1)
    assert {each.fastener[2]: (each.number, each.decided) for each in again.items} == {
        1: (1, True),
        2: (2, False),
    }
    assert "LGW, QHR" in again.not_covered[0].text
    (listed,) = recall.list_recalls(story.book).recalls
    assert (listed.state, listed.items, listed.undecided) == ("re-opened", 2, 1)


def test_a_list_goes_by_the_same_readings_as_the_recall(story: Story, lgw: Kept) -> None:
    """Of each fastener the newest that was known at once, by station, and the newest that came in late."""
    story.later(seconds=5)
    takein.take_in(story.book, story.signed["TK"], exported(lgw.book))
    story.take("tie-bolt:2", "101 N·m")
    story.take("tie-bolt:2", "102 N·m")
    story.take("tie-bolt:3", "100 N·m")
    connection, windows = story.book.connection, (0, story.clock.moment + DAY)
    shown = {}
    for subject, name in (
        ("wrench", "W-0417"),
        ("person", "TK"),
        ("card", "BUILD"),
        ("shop", "LGW"),
        ("", ""),
    ):
        scope = Scope(subject, name, "", "", *windows)
        items = Gathered(connection, scope).items(Locations(connection))
        kept = {each.fastener: (each.readings.own, each.readings.late) for each in items}
        newest = {fastener: (tuple(own), late) for fastener, own, late in newest_of(connection, scope)}
        assert newest == kept
        shown[subject] = [(len(own), late is not None) for own, late in newest.values()]
    assert shown == {
        "wrench": [(1, False), (1, True), (1, False)], "person": [(1, False)] * 3,
        "card": [(1, False), (1, True), (1, False)], "shop": [(0, True)], "": [(1, False), (1, True), (1, False)],
    }  # fmt: skip


def test_each_station_numbers_its_own_recalls(story: Story, lgw: Kept) -> None:
    """The own one is meant by its number, another station's by the entry that opened it."""
    lgw.clock.moment += 1000
    theirs = recall.open_recall(lgw.book, lgw.signer, scopes.Asked("wrench", "W-0417"))
    assert theirs.counts.items == 2
    story.until("2026-11-27T10:00")
    takein.take_in(story.book, story.signed["TK"], exported(lgw.book))
    story.later(seconds=1)
    other = recall.show(story.book, "R-1")
    assert other.recall.reference == theirs.recall.reference
    mine = opened(story, name="W-0417")
    assert (mine.recall.recall, mine.recall.station) == ("R-1", "QHR")
    assert recall.show(story.book, "R-1").recall == mine.recall
    assert recall.show(story.book, theirs.recall.reference).recall == other.recall
    assert {each.recall.reference for each in recall.list_recalls(story.book).recalls} == {
        mine.recall.reference,
        other.recall.reference,
    }


def test_another_stations_word_counts_once_it_is_accepted(story: Story, lgw: Kept) -> None:
    """What waits here is answered by quality here, or by a station that quality here has accepted."""
    lgw.clock.moment += 1000
    theirs = recall.open_recall(lgw.book, lgw.signer, scopes.Asked("wrench", "W-0417"))
    assert theirs.causes == ()
    calibrated(story, "5")
    (cause,) = pending(story.book.connection)
    lgw.clock.moment = story.clock.moment + 1000
    takein.take_in(lgw.book, sign_in(lgw.book, lgw.quality), exported(story.book))
    recall.answer(lgw.book, lgw.quality, cause.reference, "not ours")
    story.later(seconds=60)
    takein.take_in(story.book, story.signed["TK"], exported(lgw.book))
    assert pending(story.book.connection) == [cause]
    story.later(seconds=1)
    station.accept_station(story.book, story.own["TK"], "LGW", "audited in May")
    assert pending(story.book.connection) == []
