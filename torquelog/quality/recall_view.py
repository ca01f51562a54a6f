"""A recall as people see it: its items, its counts, what is not covered, what the laboratory should measure."""

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from torquelog.book.opening import Book
from torquelog.book.recall_causes import Cause, Facts, causes_of
from torquelog.book.recall_doubts import TOOLS, scope_of
from torquelog.book.recall_items import decisions, directions_missing, how_many, items_of, newest_of
from torquelog.clock import local_date
from torquelog.counted import Progress
from torquelog.facts import assemblies, recall_causes, recalls
from torquelog.facts.members import target
from torquelog.facts.recalls import Closing, Recall
from torquelog.facts.rows import LATEST, AsOf
from torquelog.facts.tracing import naming
from torquelog.ledger import store
from torquelog.ledger.form import parse_entry, reference
from torquelog.quality.places import Places
from torquelog.rules import recall_window
from torquelog.rules.days import day_name
from torquelog.rules.recall_counts import Counts, Measure, count, to_measure
from torquelog.rules.recall_item import Item, Where
from torquelog.rules.recall_readings import newest_stand
from torquelog.rules.recall_window import Window
from torquelog.rules.sayings import ROUND


class Gap(NamedTuple):
    """Something that a recall does not cover: a code of `rules.recall_codes.GAPS`, and a sentence."""

    code: str
    text: str


class View(NamedTuple):
    """A recall.

    Attributes:
        recall: as it was opened.
        state: `open`, `closed`, or `re-opened` by an entry that came in after the closing.
        causes: what called for it, as far as it still stands on record.
        items: every item, the most urgent first.
        counts: they add up.
        measure: settings that the laboratory should measure before it adjusts the tool.
        not_covered: what it cannot speak of.
        closing: the newest closing with its frozen counts, or nothing.
        complete_as_of: the entry up to which this is complete.
    """

    recall: Recall
    state: str
    causes: tuple[Cause, ...]
    items: tuple[Item, ...]
    counts: Counts
    measure: tuple[Measure, ...]
    not_covered: tuple[Gap, ...]
    closing: Closing | None
    complete_as_of: str


def view(book: Book, recall: Recall, as_of: AsOf = LATEST, progress: Progress | None = None) -> View:
    """Everything about an opened recall, judged by what is known now."""
    locate = Locations(book.connection, as_of)
    return view_of(book, recall, items_of(book.connection, recall, locate, as_of, progress), as_of)


def view_of(book: Book, recall: Recall, found: Iterable[Item], as_of: AsOf = LATEST) -> View:
    """A recall with these items, which are judged and decided already."""
    connection = book.connection
    items = tuple(found)
    counts = count(items)
    closing = recalls.closing(connection, recall, as_of)
    return View(
        recall=recall, state=state_of(closing, counts.readings, counts.undecided),
        causes=tuple(causes_of(connection, recall.name, set(map(target, recalls.causes(connection, recall))))),
        items=items, counts=counts, measure=to_measure(items),
        not_covered=tuple(gaps(book, recall, items, as_of)), closing=closing, complete_as_of=head_of(book),
    )  # fmt: skip


def state_of(closing: Closing | None, readings: int, undecided: int) -> str:
    """Whether a recall is open, closed, or re-opened.

    Args:
        closing: its newest closing, or nothing.
        readings: how many readings its window holds now.
        undecided: how many items are undecided now.
    """
    if closing is None:
        return "open"
    return "closed" if closing.readings == readings and not undecided else "re-opened"


class Locations:
    """Where the fasteners of each owner are, asked once an owner."""

    def __init__(self, connection: sqlite3.Connection, as_of: AsOf = LATEST) -> None:
        self._connection = connection
        self._as_of = as_of
        self._places = Places(connection, as_of)
        self._known: dict[str, Where] = {}

    def __call__(self, owner: str) -> Where:
        """Where they are as of the moment asked for."""
        if owner not in self._known:
            self._known[owner] = self._where(owner)
        return self._known[owner]

    def _where(self, owner: str) -> Where:
        kind, _, name = owner.partition(" ")
        if kind == "assembly":
            place = assemblies.place(self._connection, name, self._as_of)
            found, sort = self._places.of_place(place), place.kind
        else:
            found, sort = self._places.location(owner), "aircraft"
        return Where(sort, found.registration, found.position, found.since, found.text)


def gaps(book: Book, recall: Recall, items: Sequence[Item], as_of: AsOf = LATEST) -> Iterator[Gap]:
    """What a recall does not cover."""
    connection = book.connection
    held = ", ".join(store.stations(connection))
    yield Gap(
        "stations", f"Records of other stations count as far as they were taken in: this file holds {held}."
    )
    if recall.subject in TOOLS:
        told = recall_causes.uses_elsewhere(connection, recall.name, recall.since, recall.until, as_of)
        if told:
            yield Gap(
                "uses-elsewhere", f"{told:,} uses of {recall.name} elsewhere were told, with no reading here."
            )
    for wrench, direction in directions_missing(items):
        yield Gap("direction", f"{wrench} is not calibrated {ROUND[direction]}, and was used so.")
    if recall.subject == "wrench":
        yield from _unknown_intervals(connection, recall, as_of)
    if recall.subject == "tester":
        yield from _found_by_tester(connection, recall, as_of)


def _unknown_intervals(connection: sqlite3.Connection, recall: Recall, as_of: AsOf) -> Iterator[Gap]:
    facts = Facts(connection, as_of)
    window = Window(recall.since, recall.until)
    for term in recall_window.without_found(facts.calibrations(recall.name), window, facts.zone):
        assert term.left is not None  # noqa: S101  `without_found` gives none that lacks one
        assert term.found is not None  # noqa: S101  the same
        yield Gap(
            "interval-without-as-found",
            f"From {day_name(term.left.on)} to {day_name(term.found.on)} nobody can tell: {term.found.certificate} "
            f"does not say how {recall.name} was found. It is not computed with another curve.",
        )


def _found_by_tester(connection: sqlite3.Connection, recall: Recall, as_of: AsOf) -> Iterator[Gap]:
    """What a tester in doubt said of how tools were found speaks of work before, which is a recall of its own."""
    facts = Facts(connection, as_of)
    first, last = (local_date(moment, facts.zone) for moment in (recall.since, recall.until))
    for entry in recall_causes.measured_on(connection, recall.name, as_of):
        found = facts.certificate(entry.tool, entry[:2])
        if found is None or not first <= found.on <= last:
            continue
        if recall_window.states(found) & recall_window.FOUND:
            yield Gap(
                "found-by-tester",
                f"{found.certificate} says how {found.tool} was found, as {recall.name} measured it: work before "
                f"{day_name(found.on)} is a recall of {found.tool}.",
            )


def head_of(book: Book) -> str:
    """The newest entry of this station's chain: what an answer is complete as of."""
    head = store.head(book.connection, book.station)
    return reference(book.station, parse_entry(head.text).number if head else 0)


class Listed(NamedTuple):
    """A recall in a list.

    Attributes:
        recall: as it was opened.
        state: open, closed or re-opened.
        items: how many fasteners.
        undecided: how many of them are undecided.
    """

    recall: Recall
    state: str
    items: int
    undecided: int


def listed(connection: sqlite3.Connection, recall: Recall) -> Listed:
    """A recall as a list shows it, without judging its readings; a closed one by its frozen counts."""
    closing = recalls.closing(connection, recall)
    if closing is not None and _readings(connection, recall) == closing.readings:
        return Listed(recall, "closed", closing.items, 0)
    newest = decisions(connection, recall)
    items = undecided = 0
    for fastener, own, late in newest_of(connection, scope_of(recall)):
        items += 1
        undecided += not newest_stand(own, late, newest.get(fastener))
    return Listed(recall, "open" if closing is None else "re-opened", items, undecided)


def _readings(connection: sqlite3.Connection, recall: Recall) -> int:
    if recall.subject in TOOLS:
        return naming(connection, recall.name, recall.since, recall.until + 1)
    return how_many(connection, scope_of(recall))
