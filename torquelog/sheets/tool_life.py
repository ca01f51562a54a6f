"""What befell a tool and where it went, and the jobs it was used in."""

from collections.abc import Iterator

from torquelog.book.opening import Book
from torquelog.crib.history import Event, Fact, Shown, evidence_words
from torquelog.facts.calibrations import Calibration
from torquelog.facts.conditions import Condition
from torquelog.facts.custody import Move
from torquelog.facts.rows import END_OF_TIME
from torquelog.facts.tools import Tool
from torquelog.facts.tracing import traced
from torquelog.sheets.model import Block, Cell, Lines, Row, Section, grid
from torquelog.sheets.wording import count, short_moment

MOVES = {
    "issue": "issued",
    "return": "returned",
    "send": "sent away",
    "receive": "received back",
    "retire": "retired",
}
MOST_JOBS = 60


def life_section(book: Book, found: Shown) -> Section:
    """Certificates, moves and reports, the newest first."""
    if not found.events:
        return Section("What happened", (Lines(("Nothing is on record yet.",)),))
    rows = [_event_row(book, each) for each in reversed(found.events)]
    return Section("What happened", (grid("Events, the newest first", "=When|What|Detail|By|=Entry", rows),))


def _event_row(book: Book, event: Event) -> Row:
    what, detail = _said(event.fact)
    return (
        Cell(short_moment(event.at, book.zone)),
        Cell(what),
        Cell(detail),
        Cell(event.signer),
        Cell(event.reference),
    )


def _said(fact: Fact) -> tuple[str, str]:
    if isinstance(fact, Calibration):
        return "certificate on record", fact.certificate
    if isinstance(fact, Move):
        to = " ".join(
            part for part in (fact.person or fact.place, f"for {fact.job}" if fact.job else "") if part
        )
        uses = count(fact.uses, "use") + " elsewhere" if fact.uses else ""
        return MOVES[fact.act], "; ".join(part for part in (to, uses, fact.why) if part)
    if not isinstance(fact, Condition):
        return evidence_words(fact)
    return fact.what.replace("check-failed", "failed a check"), "; ".join(
        part for part in (fact.detail, fact.why) if part
    )


class _Job:
    """One job's uses of a tool, counted up."""

    def __init__(self) -> None:
        self.first = self.last = 0
        self.readings = self.refused = self.outside = self.struck = 0


def uses_section(book: Book, tool: Tool, found: Shown) -> Iterator[Section]:
    """The jobs it was used in, the newest first."""
    by_job: dict[str, _Job] = {}
    for each in traced(book.connection, "tool", tool.tool, -END_OF_TIME, END_OF_TIME):
        job = by_job.setdefault(each.reading.job, _Job())
        job.first = job.first or each.reading.at
        job.last = each.reading.at
        job.readings += 1
        job.refused += each.reading.outcome == "refused"
        job.outside += each.reading.outcome in ("below", "above")
        job.struck += each.struck
    if not by_job:
        yield Section("Used in", (Lines(("No reading on record names it.",)),))
        return
    newest = sorted(by_job.items(), key=lambda each: (-each[1].last, each[0]))
    rows = [_job_row(book, name, job) for name, job in newest[:MOST_JOBS]]
    titles = "=Job|=First|=Last|>Readings|>Outside limits|>Refused|>Struck"
    blocks: list[Block] = [grid("Jobs in which it was used, the newest first", titles, rows)]
    if len(newest) > MOST_JOBS:
        blocks.append(
            Lines(
                (f"{count(len(newest) - MOST_JOBS, 'older job')} more: torquelog trace wrench {tool.tool}",)
            )
        )
    yield Section("Used in", tuple(blocks))


def _job_row(book: Book, name: str, job: _Job) -> Row:
    counts = (job.readings, job.outside, job.refused, job.struck)
    return (
        Cell(name),
        Cell(short_moment(job.first, book.zone)),
        Cell(short_moment(job.last, book.zone)),
        *(Cell(f"{number:,}") for number in counts),
    )
