"""A recall as programs get it."""

from typing import TYPE_CHECKING, Final

from torquelog.book.opening import Book
from torquelog.cli.answer import Each, Json
from torquelog.cli.torques import limits_data, read_data, torque_data
from torquelog.clock import offset_text
from torquelog.ledger.form import reference
from torquelog.torque.limits import parse_spec

if TYPE_CHECKING:
    from torquelog.book.recall_causes import Cause
    from torquelog.quality.recall_view import Listed, View
    from torquelog.rules.recall_item import Again, Item

FIELDS: Final = (
    "item", "entry", "assembly", "fastener", "recorded_value", "recorded_unit", "as_found_value", "as_found_unit",
    "expanded_value", "expanded_unit", "as_left_value", "as_left_unit", "decided_by", "limits_low", "limits_high",
    "limits_unit", "verdict", "reasons", "probability", "over_torque", "act", "state", "retightened_entry", "replaced",
    "now_on", "place", "disposition_decision", "disposition_why", "decided",
)  # fmt: skip
"""The heading of the items as CSV: all but the names of their readings, which may be many."""


def unit_of(item: "Item") -> str:
    """The unit in which the card of an item is written."""
    specified = item.governing.reading.specified
    return parse_spec(specified).unit if specified else "N·m"


def window_data(book: Book, since: int, until: int) -> dict[str, Json]:
    """A window; both ends belong to it."""
    return {"from": offset_text(since, book.zone), "until": offset_text(until, book.zone)}


def view_data(book: Book, view: "View") -> dict[str, Json]:
    """A recall with all its items, the most urgent first."""
    recall = view.recall
    return {
        "recall": recall.recall,
        "entry": recall.reference,
        "state": view.state,
        "subject": recall.subject or "window",
        "name": recall.name or None,
        "calibration": recall.calibration or None,
        "window": window_data(book, recall.since, recall.until),
        "causes": [cause_data(book, each) for each in view.causes],
        # A list, so that each item is written by itself: together they may name a million readings.
        "items": Each(list(view.items), lambda items: (item_data(book, item) for item in items)),
        "counts": dict(view.counts._asdict()),
        "measure": [
            {"value": each.value, "unit": each.unit, "direction": each.direction, "items": each.items}
            for each in view.measure
        ],
        "not_covered": [{"code": gap.code, "text": gap.text} for gap in view.not_covered],
        "closed": None if view.closing is None else {
            "entry": view.closing.reference,
            "at": offset_text(view.closing.closed, book.zone),
            "by": view.closing.signer,
            "readings": view.closing.readings,
            "items": view.closing.items,
            "outside": view.closing.outside,
            "indeterminate": view.closing.indeterminate,
            "within": view.closing.within,
        },
        "complete_as_of": view.complete_as_of,
    }  # fmt: skip


def item_data(book: Book, item: "Item") -> dict[str, Json]:
    """One item."""
    reading, judged, unit = item.governing.reading, item.governing.judged, unit_of(item)
    kind, _, owner = item.fastener[0].partition(" ")
    return {
        "item": item.number,
        "entry": reference(reading.station, reading.number),
        "assembly": owner if kind == "assembly" else None,
        "fastener": f"{item.fastener[1]}:{item.fastener[2]}",
        "recorded": read_data(reading.indicated),
        "as_found": None if judged.found is None else torque_data(judged.found, unit),
        "expanded": None if judged.expanded is None else torque_data(judged.expanded, unit),
        "as_left": None if judged.left is None else torque_data(judged.left, unit),
        "decided_by": judged.by,
        "limits": limits_data(judged.limits, unit),
        "verdict": item.verdict,
        "reason": item.reasons[0] if item.reasons else None,
        "reasons": list(item.reasons),
        "probability": None if judged.probability is None else f"{judged.probability:.4f}",
        "over_torque": item.over or None,
        "act": item.governing.part,
        "state": item.state,
        "retightened": None if item.again is None else _again_data(book, item.again),
        "replaced": None if item.replaced is None else offset_text(item.replaced, book.zone),
        "now_on": _now_on(book, item),
        "place": item.where.text,
        "disposition": _disposition(book, item),
        "decided": item.decided,
        "readings": [reference(*entry) for entry in item.readings.entries()],
    }


def _again_data(book: Book, again: "Again") -> dict[str, Json]:
    return {
        "entry": again.entry,
        "performed_at": offset_text(again.at, book.zone),
        "wrench": again.wrench,
        "good_then": again.good_then,
        "good_now": again.good_now,
        "loosened": again.loosened,
    }


def _now_on(book: Book, item: "Item") -> list[Json]:
    where = item.where
    if not where.flying:
        return []
    since = None if where.since is None else offset_text(where.since, book.zone)
    return [{"aircraft": where.registration, "position": where.position, "since": since}]


def _disposition(book: Book, item: "Item") -> dict[str, Json] | None:
    made = item.disposition
    if made is None:
        return None
    return {
        "entry": made.reference,
        "decision": made.decision,
        "by": made.signer,
        "at": offset_text(made.decided, book.zone),
        "why": made.why,
        "reading": made.reading or None,
        "reference": made.document or None,
    }


def cause_data(book: Book, cause: "Cause") -> dict[str, Json]:
    """What calls for a recall."""
    return {
        "entry": cause.reference,
        "code": cause.code,
        "subject": cause.sort,
        "name": cause.tool,
        "calibration": cause.calibration or None,
        "window": window_data(book, *cause.window),
        "recorded_at": offset_text(cause.recorded, book.zone),
        "text": cause.text,
    }


def listed_data(book: Book, each: "Listed") -> dict[str, Json]:
    """A recall in a list."""
    recall = each.recall
    return {
        "recall": recall.recall,
        "entry": recall.reference,
        "state": each.state,
        "subject": recall.subject or "window",
        "name": recall.name or None,
        "window": window_data(book, recall.since, recall.until),
        "opened_at": offset_text(recall.opened, book.zone),
        "opened_by": recall.opened_by,
        "items": each.items,
        "undecided": each.undecided,
    }
