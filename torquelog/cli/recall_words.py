"""How a recall is told to people: its rows folded, its verdicts and places in words."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Final

from torquelog.book.opening import Book
from torquelog.cli import words
from torquelog.cli.answer import Column, Each, Stack, Stacked, Table
from torquelog.cli.recall_data import FIELDS, item_data, unit_of
from torquelog.rules.names import fasteners_name
from torquelog.rules.recall_codes import REASONS
from torquelog.torque.beside import beside
from torquelog.torque.units import torque

if TYPE_CHECKING:
    from torquelog.facts.recalls import Recall
    from torquelog.quality.recall_view import View
    from torquelog.rules.recall_item import Item, Where

SUBJECTS: Final = {"": "all work of a time"}
TITLE: Final = "Items: what flies first, and of that the furthest outside"
COLUMNS: Final = (
    Column("item"),
    Column("fastener", fold=True),
    Column("recorded", right=True),
    Column("as found", right=True),
    Column("limits"),
    Column("verdict", fold=True),
    Column("where", fold=True),
    Column("decision", fold=True),
)


def subject_words(recall: "Recall") -> str:
    """By what a recall goes: "wrench W-0388"."""
    if not recall.subject:
        return SUBJECTS[""]
    revision = f" revision {recall.revision}" if recall.revision else ""
    return f"{recall.subject} {recall.name}{revision}"


def window_words(book: Book, since: int, until: int) -> str:
    """A window in words, with its length in days."""
    last = words.local(until, book.zone).date()
    if since <= 0:
        return f"everything through {words.day(last)}"
    first = words.local(since, book.zone).date()
    if first == last:
        return words.day(first)
    return f"{words.day(first)} to {words.day(last)}, {words.count((last - first).days + 1, 'day')}, both included"


def where_words(where: "Where") -> str:
    """Where an item is: "QQ-MRA main 2", "stores", "Other Air"."""
    return f"{where.registration} {where.position}" if where.flying else where.text


def verdict_words(item: "Item") -> str:
    """The verdict with its distance from the limit, or with its reason."""
    judged, unit = item.governing.judged, unit_of(item)
    said = "inside" if item.verdict == "within" else item.verdict
    if item.verdict == "outside" and judged.found is not None and judged.side in ("below", "above"):
        end = judged.limits.low if judged.side == "below" else judged.limits.high
        if end is not None:
            said += f", {torque(abs(judged.found - end), unit, 2)} {judged.side}"
    reasons = [REASONS[code] for code in item.reasons if code != "uncertainty-not-given"]
    said += f": {', '.join(reasons)}" if reasons else ""
    if item.governing.part != "tightened":
        said += f" ({item.governing.part})"
    if item.replaced is not None:
        return f"{said}; replaced since"
    if item.again is not None:
        return f"{said}; tightened again with {item.again.wrench}" + (
            "" if item.again.good else ", in doubt too"
        )
    return f"{said}; {item.state} since" if item.state != "tight" else said


def decision_words(item: "Item") -> str:
    """What was decided about an item, by whom."""
    made = item.disposition
    if made is None:
        return "undecided"
    document = f", {made.document}" if made.document else ""
    waits = "" if item.decided else "; open"
    return f"{made.decision.replace('-', ' ')}, {made.signer}{document}{waits}"


def found_words(item: "Item") -> str:
    """The torque by the results that decide, with its expanded uncertainty."""
    judged, unit = item.governing.judged, unit_of(item)
    if judged.found is None:
        return "not known"
    said = beside(judged.found, unit, judged.limits)
    return f"{said} ±{torque(judged.expanded, unit, 2).value}" if judged.expanded else said


def owner_words(item: "Item") -> str:
    """Whose fastener: the assembly's serial number; nothing where it stays with the aircraft."""
    owner = item.fastener[0]
    return "" if owner.startswith("aircraft ") else f"{owner.rpartition(' ')[2]} "


def _cells(run: "Sequence[Item]") -> tuple[str, ...]:
    first = run[0]
    name = fasteners_name(first.fastener[1], [each.fastener[2] for each in run])
    return (
        words.runs([each.number for each in run]),
        f"{owner_words(first)}{name}",
        str(first.governing.reading.indicated),
        found_words(first),
        first.governing.judged.limits.words(unit_of(first)),
        verdict_words(first),
        where_words(first.where),
        decision_words(first),
    )


def _stack(run: "Sequence[Item]") -> Stack:
    *cells, verdict, where, decision = _cells(run)
    return Stack("", tuple(cells), f"{verdict}. {words.sentence(where)}. {words.sentence(decision)}.")


def folded(items: "Iterable[Item]", *, each: bool) -> "list[list[Item]]":
    """Items that read alike and stand beside each other, on one line; each on its own where that is asked."""
    if each:
        return [[item] for item in items]
    alike: Callable[[Item], object] = lambda item: (item.fastener[:2], *_cells([item])[2:])  # noqa: E731  a key
    return [list(run) for _, run in groupby(items, key=alike)]


def table(book: Book, view: "View", *, each: bool) -> Table | None:
    """The items as a table, flying first, furthest outside first."""
    if not view.items:
        return None
    return Table(
        columns=COLUMNS,
        rows=Each(view.items, lambda items: (_cells(run) for run in folded(items, each=each))),
        records=Each(view.items, lambda items: (item_data(book, item) for item in items)),
        fields=FIELDS,
        title=TITLE,
        stacked=Stacked(
            columns=COLUMNS[:-3],
            rows=Each(view.items, lambda items: (_stack(run) for run in folded(items, each=each))),
            title=TITLE,
        ),
    )


def places(view: "View") -> Iterator[tuple[str, str]]:
    """Where the fasteners are and how many are what: the fasteners on which what was done still is, then the rest."""
    standing = [item for item in view.items if item.concerns]
    key: Callable[[Item], object] = lambda item: (where_words(item.where), item.fastener[:2])  # noqa: E731  a key
    order = sorted(
        standing, key=lambda item: (not item.where.flying, where_words(item.where), item.fastener[:2])
    )
    for _, group in groupby(order, key=key):
        run = list(group)
        yield (
            where_words(run[0].where),
            f"{owner_words(run[0])}{words.count(len(run), words.group(run[0].fastener[1]))}: {tally(run)}",
        )
    rest = len(view.items) - len(standing)
    if rest:
        yield "No longer so", f"{words.count(rest, 'fastener')}, loosened, replaced or tightened again since"


def tally(items: "Sequence[Item]") -> str:
    """How many are outside, indeterminate and inside; what there is none of is left out."""
    names = {"outside": "outside", "indeterminate": "indeterminate", "within": "inside"}
    counts = {name: sum(item.verdict == name for item in items) for name in names}
    return ", ".join(f"{number} {names[name]}" for name, number in counts.items() if number)


def sums(view: "View") -> Iterator[str]:
    """The lines that say that nothing was left out, and what is not covered."""
    count = view.counts
    parts = [f"{words.count(count.governing, 'that decides', 'that decide')} (one for each fastener)"]
    for number, thing, things in (
        (count.earlier, "earlier pass", "earlier passes"),
        (count.checked, "torque check", ""),
        (count.refused, "refused attempt", ""),
        (count.struck, "struck entry", "struck entries"),
    ):
        if number:
            parts.append(words.count(number, thing, things))
    yield f"Nothing was left out: {words.count(count.readings, 'reading')} = {' + '.join(parts)}."
    for wanted in view.measure:
        turned = {"cw": "clockwise", "ccw": "counter-clockwise"}[wanted.direction]
        yield (
            f"Ask the laboratory to measure at {wanted.value} {wanted.unit} {turned} before it adjusts: "
            f"{words.count(wanted.items, 'fastener')} would be known."
        )
    for gap in view.not_covered:
        yield f"Not covered: {gap.text}"
    yield f"Complete as of {view.complete_as_of}."
