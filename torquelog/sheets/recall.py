"""The sheet of a recall: one page of summary for a meeting, then every item."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from torquelog.book.opening import Book
from torquelog.clock import local_date
from torquelog.quality.recall import show
from torquelog.quality.recall_view import View
from torquelog.rules.recall_item import Item
from torquelog.rules.sayings import ROUND
from torquelog.sheets.model import Block, Cell, Lines, Page, Row, Section, Signatures, grid
from torquelog.sheets.origin import AS_OF, DATA_FIRST, origin
from torquelog.sheets.recall_words import (
    decision_cell,
    found_cell,
    owner_words,
    subject_words,
    unit_of,
    verdict_cell,
    where_words,
    window_words,
)
from torquelog.sheets.wording import city, count, day_and_time, natural, sentence, short_day

OVER_TORQUE = "Over-torque is never cured by tightening again: the bolt may have yielded."
ITEMS = ">Item|Fastener|=Set or read|=As found|=Limits|<Verdict|Decision|=Entry"


def recall_sheet(book: Book, name: str) -> Page:
    """The sheet of a recall, judged by what is known now.

    Raises:
        TorquelogError: `recall-unknown`, `ambiguous`.
    """
    view = show(book, name)
    recall = view.recall
    return Page(
        title=f"Recall {recall.recall}",
        purpose="Summary and items",
        head=tuple(_head(book, view)),
        safety=(OVER_TORQUE, DATA_FIRST, AS_OF),
        sections=(
            Section("In short", (Lines(tuple(_summary(view))),)),
            *_background(view),
            *_places(view),
            Section("Signatures", (Signatures(("Prepared", "Decided")),)),
            _items(book, view),
        ),
        foot=origin(book),
    )


def _head(book: Book, view: View) -> Iterator[tuple[str, str]]:
    recall = view.recall
    yield "By", subject_words(recall)
    yield "Window", window_words(recall.since, recall.until, book.zone)
    yield "State", view.state
    yield (
        "Opened",
        f"{day_and_time(recall.opened, book.zone)} by {recall.opened_by}, entry {recall.reference}",
    )
    if recall.calibration:
        yield "Rests on certificate", f"entry {recall.calibration}"
    if view.closing is not None:
        yield "Closed", f"{day_and_time(view.closing.closed, book.zone)} by {view.closing.signer}"
    yield "Complete as of", view.complete_as_of
    yield "All times", city(book.zone)


def _summary(view: View) -> Iterator[str]:
    counts = view.counts
    if not counts.items:
        yield "No reading on record falls into it."
        return
    yield (
        f"{count(counts.items, 'fastener')}: {counts.outside:,} outside, {counts.indeterminate:,} that nobody can tell, "
        f"{counts.within:,} inside."
    )
    yield (
        f"On {count(counts.concerned, 'fastener')} what was done then still stands; of these "
        f"{counts.concerned_outside:,} outside and {counts.concerned_indeterminate:,} that nobody can tell. "
        f"Flying: {counts.flying_outside:,} outside, {counts.flying_indeterminate:,} that nobody can tell."
    )
    again = (
        f" {counts.retightened:,} were tightened again since, and that counts." if counts.retightened else ""
    )
    yield f"{counts.decided:,} decided, {counts.undecided:,} undecided.{again}"
    yield _sum(view)


def _sum(view: View) -> str:
    """The sentence that shows that nothing was left out: the parts add up to the readings."""
    counts = view.counts
    parts = [f"{count(counts.governing, 'that decides', 'that decide')} (one for each fastener)"]
    for number, thing, things in (
        (counts.earlier, "earlier pass", "earlier passes"),
        (counts.checked, "torque check", "torque checks"),
        (counts.refused, "refused attempt", "refused attempts"),
        (counts.struck, "struck entry", "struck entries"),
    ):
        parts += [count(number, thing, things)] if number else []
    return f"Nothing was left out: {count(counts.readings, 'reading')} = {' + '.join(parts)}."


def _places(view: View) -> Iterator[Section]:
    """Where the fasteners are on which what was done still stands: what flies first, an aircraft a line."""
    standing = sorted((item for item in view.items if item.concerns), key=_by_place)
    rows = [_place_row(list(items)) for _, items in groupby(standing, key=_by_place)]
    if rows:
        titles = "Where|What carries them|>Fasteners|>Outside|>Nobody can tell|>Inside|>Undecided"
        blocks: list[Block] = [
            grid("Fasteners on which it still stands, by place", titles, rows[:MOST_PLACES])
        ]
        if len(rows) > MOST_PLACES:
            more = count(len(rows) - MOST_PLACES, "more place")
            blocks.append(Lines((f"{more}; the items below name every one.",)))
        yield Section("Where they are", tuple(blocks))


MOST_PLACES = 14
"""So that the summary stays on one page."""


def _by_place(item: Item) -> tuple[bool, str]:
    return not item.where.flying, item.where.registration if item.where.flying else item.where.text


def _place_row(items: Sequence[Item]) -> Row:
    where = items[0].where
    name = f"on {where.registration}" if where.flying else where.text or "not known"
    carriers = sorted({_carrier(item) for item in items}, key=natural)
    verdicts = [
        sum(item.verdict == verdict for item in items) for verdict in ("outside", "indeterminate", "within")
    ]
    undecided = sum(not item.decided for item in items)
    numbers = (len(items), *verdicts, undecided)
    return (Cell(name), Cell(", ".join(carriers)), *(Cell(f"{number:,}") for number in numbers))


def _carrier(item: Item) -> str:
    """What carries a fastener: an assembly's serial number with its position, or the position alone."""
    kind, _, name = item.fastener[0].partition(" ")
    serial = name.rpartition(" ")[2] if kind == "assembly" else ""
    position = item.where.position if item.where.flying else ""
    return f"{serial} ({position})" if serial and position else serial or position


def _background(view: View) -> Iterator[Section]:
    told = [view.recall.why, *(cause.text for cause in view.causes)]
    if any(told):
        yield Section("What called for it", (Lines(tuple(filter(None, told)), "list"),))
    wanted = tuple(
        f"Ask the laboratory to measure at {each.value} {each.unit} {ROUND[each.direction]} before it adjusts: "
        f"{count(each.items, 'fastener')} would be known."
        for each in view.measure
    )
    if wanted:
        yield Section("Before it is adjusted", (Lines(wanted, "list"),))
    yield Section("Not covered", (Lines(tuple(sentence(gap.text) for gap in view.not_covered), "list"),))


def _items(book: Book, view: View) -> Section:
    if not view.items:
        return Section("Items", (Lines(("There are none.",)),))
    rows = [_item_row(book, item) for item in view.items]
    blocks: list[Block] = [grid("Items, what flies first and of that the furthest outside", ITEMS, rows)]
    blocks.append(Lines((SIGNS,)))
    return Section("Items", tuple(blocks), fresh=True)


SIGNS = "Signs: “=” inside, or decided; “!” outside; “.” nobody can tell, or undecided."


def _item_row(book: Book, item: Item) -> Row:
    reading = item.governing.reading
    name = f"{item.fastener[1].replace('-', ' ')} {item.fastener[2]}"
    passes = count(item.readings.total - 1, "other reading") if item.readings.total > 1 else ""
    day = short_day(local_date(reading.at, book.zone))
    return (
        Cell(str(item.number)),
        Cell(name, f"{owner_words(item)}; now {where_words(item.where)}"),
        Cell(str(reading.indicated), f"{reading.wrench}, {reading.performed_by}, {day}"),
        found_cell(item),
        Cell(item.governing.judged.limits.words(unit_of(item))),
        verdict_cell(item),
        decision_cell(item),
        Cell(f"{reading.station}-{reading.number:06d}", passes),
    )
