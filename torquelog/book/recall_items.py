"""The items of a recall, gathered: which readings it names, what became of their fasteners, what was decided."""

import sqlite3
from collections.abc import Callable, Iterable, Iterator
from heapq import merge
from itertools import groupby
from typing import Final

from torquelog.book.recall_doubts import TOOLS, Doubts, rested_on, scope_of
from torquelog.book.recall_judging import Judge, Scope
from torquelog.book.recall_life import Life
from torquelog.book.standing import Order, order_of
from torquelog.clock import Moment
from torquelog.counted import Progress, counted
from torquelog.facts import recall_causes, recalls, strikes, uses
from torquelog.facts.fastener_runs import Fastener
from torquelog.facts.recalls import Disposition, Recall
from torquelog.facts.rows import END_OF_TIME, LATEST, AsOf
from torquelog.facts.tracing import Tightening, Traced, newest_of_each, traced
from torquelog.facts.tracing import how_many as counted_by
from torquelog.rules import recall_item, recall_readings
from torquelog.rules.recall_item import Again, Found, Item, Taken, Where
from torquelog.rules.recall_readings import Own, Readings

RUN_ON_WRENCH: Final = frozenset({"run-on-wrench"})

Locate = Callable[[str], Where]
"""Where the fasteners of an owner are."""


def readings_of(connection: sqlite3.Connection, scope: Scope, as_of: AsOf = LATEST) -> Iterator[Traced]:
    """Every reading that a recall names, struck and refused ones too: fastener by fastener, each one's oldest first.

    They are not held: a recall by a person or a card may name all that a station ever did.
    """
    found = [
        traced(connection, *search, as_of, revision=scope.revision, by_fastener=True)
        for search in _searches(connection, scope, as_of)
    ]
    if len(found) == 1:
        return found[0]
    # Two searches may name the same reading; it then stands twice, side by side.
    return (each for _, (each, *_) in groupby(merge(*found, key=_place), key=_place))


def how_many(connection: sqlite3.Connection, scope: Scope, as_of: AsOf = LATEST) -> int:
    """How many readings a recall names."""
    searches = list(_searches(connection, scope, as_of))
    if len(searches) > 1:
        return sum(1 for _ in readings_of(connection, scope, as_of))
    return sum(counted_by(connection, *search, as_of, revision=scope.revision) for search in searches)


def newest_of(
    connection: sqlite3.Connection, scope: Scope, as_of: AsOf = LATEST
) -> Iterator[tuple[Fastener, list[Own], Moment | None]]:
    """The fasteners that a recall names, each with the newest of its readings (`Readings.own`, `Readings.late`)."""
    found = [
        newest_of_each(connection, *search, as_of, revision=scope.revision)
        for search in _searches(connection, scope, as_of)
    ]
    for fastener, newest in groupby(merge(*found), key=lambda each: each[:3]):
        every = list(newest)
        own = [Own(each.station, each.number, each.known) for each in every if not each.late]
        yield fastener, own, max((each.known for each in every if each.late), default=None)


def _place(each: Traced) -> tuple[str, str, int, Order]:
    reading = each.reading
    return reading.owner, reading.group, reading.item, order_of(reading)


def _searches(
    connection: sqlite3.Connection, scope: Scope, as_of: AsOf
) -> Iterator[tuple[str, str, Moment, Moment]]:
    """By what the readings are found: source, name, and the window, its end not included."""
    since, until = scope.since, scope.until + 1
    if scope.subject in TOOLS:
        yield "tool", scope.name, since, until
    elif scope.subject == "tester":
        for wrench, begins, ends in rested_on(connection, scope, as_of):
            yield "tool", wrench, begins, ends
    elif scope.subject == "card":
        yield "card", scope.name, since, until
    else:
        yield scope.subject or "window", scope.name, since, until


def _fastener(each: Taken) -> Fastener:
    return each.reading.owner, each.reading.group, each.reading.item


class Gathered:
    """The readings of a recall with what became of their fasteners."""

    def __init__(self, connection: sqlite3.Connection, scope: Scope, as_of: AsOf = LATEST) -> None:
        self._connection = connection
        self._scope = scope
        self._as_of = as_of
        self._doubts = Doubts(connection, as_of)

    def items(self, locate: Locate, progress: Progress | None = None) -> list[Item]:
        """The items, each judged; without numbers and decisions.

        Args:
            locate: where the fasteners of an owner are.
            progress: told how many readings were judged.
        """
        total = how_many(self._connection, self._scope, self._as_of) if progress else 0
        found: list[Item] = []
        places: dict[str, Where] = {}
        every = counted(self._taken(), total, progress)
        for (owner, group), readings in groupby(every, key=lambda each: _fastener(each)[:2]):
            if owner not in places:
                places = {owner: locate(owner)}
            found += self._of_group(owner, group, readings, places[owner])
        return sorted(found, key=recall_item.urgency)

    def _taken(self) -> Iterator[Taken]:
        scope = self._scope
        judge = Judge(self._connection, scope, self._as_of)
        run_on: set[tuple[str, int]] = set()
        if scope.subject == "wrench":
            window = (scope.since, scope.until)
            run_on = recall_causes.run_on_uses(self._connection, scope.name, *window, self._as_of)
        for each in readings_of(self._connection, scope, self._as_of):
            entry = (each.reading.station, each.reading.number)
            beside = recall_causes.adapters_in(self._connection, *entry) if scope.subject == "adapter" else {}
            roles = frozenset(role for role, names in beside.items() if scope.name in names)
            if entry in run_on:
                roles = RUN_ON_WRENCH
            judged = judge.judged(each.reading, roles, beside)
            yield Taken(each.reading, each.struck, each.known, roles, judged)

    def _of_group(self, owner: str, group: str, readings: Iterable[Taken], where: Where) -> Iterator[Item]:
        """The items of a group; of its readings those of one fastener are held at a time."""
        in_jobs: set[str] = set()
        since = END_OF_TIME
        kept: list[tuple[Fastener, Taken, Readings]] = []
        for fastener, of_one in groupby(readings, key=_fastener):
            taken = list(of_one)
            in_jobs.update(each.reading.job for each in taken)
            since = min(since, taken[0].reading.at)
            last = recall_item.governing(taken)
            kept.append((fastener, last, recall_readings.kept(taken, last)))
        life = Life(self._connection, owner, group, in_jobs, since, self._as_of)
        return (recall_item.item(self._found(*each, life, where)) for each in kept)

    def _found(
        self, fastener: Fastener, governing: Taken, readings: Readings, life: Life, where: Where
    ) -> Found:
        last = governing.reading
        undone = life.undone(last)
        later = life.tightened_after(last)
        return Found(
            fastener, governing, readings, undone, life.replaced_after(last),
            self.again(later, loosened=bool(undone)) if later else None, where,
        )  # fmt: skip

    def again(self, each: Tightening, *, loosened: bool) -> Again:
        """A later tightening, with what is known against it now."""
        confirmed = not each.awaits or strikes.confirmed(
            self._connection, each.station, each.number, self._as_of
        )
        used = uses.tools_of(self._connection, each.station, each.number)
        return Again(
            entry=f"{each.station}-{each.number:06d}", at=each.at, wrench=each.wrench, good_then=confirmed,
            good_now=not any(self._doubts.about(tool, each.at) for tool in used),
            loosened=loosened or bool(each.loosened),
        )  # fmt: skip


def decisions(
    connection: sqlite3.Connection, recall: Recall, as_of: AsOf = LATEST, *, owner: str | None = None
) -> dict[Fastener, Disposition]:
    """The newest decision about each fastener of a recall."""
    newest: dict[Fastener, Disposition] = {}
    for disposition, fasteners in recalls.dispositions(connection, recall, as_of, owner=owner):
        newest |= dict.fromkeys(fasteners, disposition)
    return newest


def items_of(
    connection: sqlite3.Connection,
    recall: Recall,
    locate: Locate,
    as_of: AsOf = LATEST,
    progress: Progress | None = None,
) -> list[Item]:
    """The items of an opened recall: judged, numbered, each with its newest decision; the most urgent first."""
    found = Gathered(connection, scope_of(recall), as_of).items(locate, progress)
    numbers = recall_item.numbered(found, recalls.order(connection, recall))
    newest = decisions(connection, recall, as_of)
    return [recall_item.decided(each, newest.get(each.fastener)) for each in numbers]


def directions_missing(items: Iterable[Item]) -> list[tuple[str, str]]:
    """The wrenches, each with a direction, whose certificates do not speak of a direction they were used in."""
    return sorted({missing for each in items for missing in each.readings.directions_missing})
