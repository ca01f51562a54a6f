"""How a recall is told on paper: its subject, its window, the verdict on a fastener, the decision about it."""

from typing import Final
from zoneinfo import ZoneInfo

from torquelog.clock import Moment, local_date
from torquelog.facts.recalls import Recall
from torquelog.rules.days import day_name
from torquelog.rules.recall_codes import REASONS
from torquelog.rules.recall_item import Item, Where
from torquelog.sheets.model import Cell
from torquelog.sheets.strip import strip
from torquelog.sheets.wording import count
from torquelog.torque.beside import beside
from torquelog.torque.limits import parse_spec
from torquelog.torque.units import torque

VERDICTS: Final = {"within": "inside", "outside": "outside", "indeterminate": "nobody can tell"}
STATES: Final = {"within": "done", "outside": "outside", "indeterminate": "open"}


def subject_words(recall: Recall) -> str:
    """By what it goes: "wrench W-0388"."""
    if not recall.subject:
        return "all work of a time"
    return f"{recall.subject} {recall.name}" + (f" revision {recall.revision}" if recall.revision else "")


def window_words(since: Moment, until: Moment, zone: ZoneInfo) -> str:
    """Its window, with its length in days; both ends belong to it."""
    last = local_date(until, zone)
    if since <= 0:
        return f"everything through {day_name(last)}"
    first = local_date(since, zone)
    if first == last:
        return f"{day_name(first)}, the whole day"
    return f"{day_name(first)} to {day_name(last)}, {count((last - first).days + 1, 'day')}, both included"


def where_words(where: Where) -> str:
    """Where a fastener is: "QQ-MRA main 2", "stores"."""
    return f"{where.registration} {where.position}" if where.flying else where.text


def unit_of(item: Item) -> str:
    """The unit in which the card of an item is written."""
    specified = item.governing.reading.specified
    return parse_spec(specified).unit if specified else "N·m"


def owner_words(item: Item) -> str:
    """Whose fastener it is: the assembly, or the aircraft and position."""
    kind, _, name = item.fastener[0].partition(" ")
    return name if kind == "assembly" else f"aircraft {name}"


def found_cell(item: Item) -> Cell:
    """The torque by the results that decide, with its expanded uncertainty, drawn against its limits."""
    judged, unit = item.governing.judged, unit_of(item)
    if judged.found is None:
        return Cell("not known")
    spread = f"± {torque(judged.expanded, unit, 2)}" if judged.expanded else ""
    return Cell(beside(judged.found, unit, judged.limits), spread, drawing=strip(judged.found, judged.limits))


def verdict_cell(item: Item) -> Cell:
    """The verdict, how far outside it is, why it is so, and what happened since."""
    judged, unit = item.governing.judged, unit_of(item)
    text = VERDICTS[item.verdict]
    if item.verdict == "outside" and judged.found is not None and judged.side in ("below", "above"):
        end = judged.limits.low if judged.side == "below" else judged.limits.high
        text += f", {torque(abs(judged.found - end), unit, 2)} {judged.side}" if end is not None else ""
    notes = [REASONS[code] for code in item.reasons]
    doubt = judged.probability if item.verdict == "indeterminate" else None
    notes += [f"inside with a probability of {doubt:.2f}"] if doubt is not None else []
    notes += [item.governing.part] if item.governing.part != "tightened" else []
    notes += [_since(item)]
    return Cell(text, "; ".join(note for note in notes if note), STATES[item.verdict])


def _since(item: Item) -> str:
    if item.replaced is not None:
        return "replaced since"
    if item.again is not None:
        return f"tightened again with {item.again.wrench}" + ("" if item.again.good else ", in doubt too")
    return f"{item.state} since" if item.state != "tight" else ""


def decision_cell(item: Item) -> Cell:
    """What was decided about an item, by whom and why."""
    made = item.disposition
    if made is None:
        return Cell("undecided", state="open")
    notes = [made.signer, made.document, made.why, made.reference]
    text = made.decision.replace("-", " ") + ("" if item.decided else "; open")
    return Cell(text, ", ".join(note for note in notes if note), "done" if item.decided else "open")
