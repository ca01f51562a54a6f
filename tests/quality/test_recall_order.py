"""A recall finds the same items in whatever order the entries came, and loses none when others are added."""

from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.quality.recalled import Wheel, found, set_up, told
from tests.support.rows import Rows
from tests.support.story import Story
from torquelog.book.recall_causes import pending
from torquelog.book.recall_items import Gathered
from torquelog.book.recall_judging import Scope
from torquelog.clock import from_utc_text
from torquelog.ledger.form import parse_entry
from torquelog.ledger.store import entries
from torquelog.quality.recall_view import Locations
from torquelog.rules.recall_item import Item

WHEELS = (
    Wheel("AGAIN-1", 2, "22", "again"),
    Wheel("STORES-1", 2, "45", "stores"),
    Wheel("LOW-1", 3, "25", "flies"),
)
KINDS = {
    "tool",
    "calibration",
    "acceptance",
    "assembly",
    "aircraft",
    "registration",
    "card",
    "card-approval",
    "job",
}


class Told(NamedTuple):
    """An entry as rows are made of it."""

    kind: str
    body: dict[str, Any]
    recorded: int
    number: int


@cache
def story() -> tuple[Told, ...]:
    """A small scene, told once through the acts, entry by entry."""
    with TemporaryDirectory() as folder:
        scene = Story(Path(folder))
        set_up(scene, WHEELS)
        scene.until("2027-06-04T08:00")
        for act in told(scene, WHEELS):
            act()
        scene.take("bolt:1", "12 N·m", "W-1", job="J-1", at="2027-02-01T09:00", pass_=1)
        found(scene)
        made = tuple(_entries(scene))
        scene.close_book()
    return made


def _entries(scene: Story) -> Iterator[Told]:
    for stored in entries(scene.book.connection, scene.book.station):
        entry = parse_entry(stored.text)
        if entry.kind in KINDS or entry.kind in ("reading", "placement"):
            yield Told(entry.kind, entry.body, from_utc_text(entry.recorded_at), entry.number)


def items(told: Sequence[Told]) -> dict[tuple[str, str, int], tuple[Any, ...]]:
    """What a recall of W-1 finds, fastener by fastener."""
    rows = Rows()
    for each in told:
        rows.put(each.kind, each.body, each.recorded, number=each.number)
    (cause,) = pending(rows.connection)
    scope = Scope("wrench", "W-1", "", cause.calibration, *cause.window)
    gathered = Gathered(rows.connection, scope).items(Locations(rows.connection))
    rows.connection.close()
    return {each.fastener: _seen(each) for each in gathered}


def _seen(each: Item) -> tuple[Any, ...]:
    last = each.governing.reading
    readings = sorted(number for _, number in each.readings.entries())
    return last.number, each.verdict, each.reasons, each.state, each.again, each.where, readings


@settings(max_examples=25, deadline=None)
@given(st.randoms(use_true_random=False))
def test_the_order_of_entry_does_not_matter(random: Any) -> None:
    """As when chains of several stations are taken in: the same fasteners, verdicts, places."""
    shuffled = list(story())
    random.shuffle(shuffled)
    assert items(shuffled) == items(story())
    assert len(items(shuffled)) == 7


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_no_item_is_lost_when_entries_are_added(data: Any) -> None:
    """Each fastener that a part of the readings names is named with all of them, too."""
    readings = [each for each in story() if each.kind == "reading"]
    fewer = data.draw(st.sets(st.sampled_from(range(len(readings)))))
    rest = [each for each in story() if each.kind != "reading"]
    some = items([*rest, *(readings[place] for place in sorted(fewer))])
    every = items(story())
    assert set(some) <= set(every)
    for fastener, seen in some.items():
        assert set(seen[-1]) <= set(every[fastener][-1])
