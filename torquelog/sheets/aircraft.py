"""The sheet of an aircraft: what is fitted, what is open, and which wrenches touched what it carries."""

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Final

from torquelog.book.jobview import job_state
from torquelog.book.named import aircraft_named
from torquelog.book.opening import Book
from torquelog.book.rechecks import rechecks
from torquelog.book.toolbox import fitness_at
from torquelog.clock import local_date
from torquelog.facts import aircraft, assemblies, jobs, tools
from torquelog.facts.aircraft import Aircraft
from torquelog.facts.assemblies import Assembly
from torquelog.facts.jobs import Job
from torquelog.quality.recall import list_recalls
from torquelog.quality.recall_view import view
from torquelog.quality.trace import Row as Trail
from torquelog.quality.trace import Trace, trace
from torquelog.rules.names import fasteners_name
from torquelog.sheets.model import Cell, Lines, Page, Row, Section, grid
from torquelog.sheets.origin import AS_OF, DATA_FIRST, RELEASES_NOTHING, origin
from torquelog.sheets.recall_words import subject_words
from torquelog.sheets.tool_words import why_not
from torquelog.sheets.wording import city, count, day_and_time, natural, sentence, short_day, short_moment

PLACES: Final = "Position|Assembly|Part|=Serial number|=Fitted since|Held back"


def aircraft_sheet(book: Book, name: str) -> Page:
    """The sheet of an aircraft as it stands now.

    Args:
        book: the record.
        name: its registration, or its manufacturer's serial number.

    Raises:
        TorquelogError: `aircraft-unknown`, `ambiguous`.
    """
    found = aircraft_named(book.connection, name)
    bears = aircraft.registration(book.connection, found.msn) or found.msn
    traced = trace(book, "aircraft", found.msn)
    fitted = assemblies.fitted(book.connection, found.msn)
    return Page(
        title=f"Aircraft {bears}",
        purpose="What is on record of its tightenings",
        head=(
            ("Registration", bears),
            ("Serial number", found.msn),
            ("Type", found.type),
            ("Stands as of", f"{day_and_time(book.clock.now(), book.zone)}, {city(book.zone)}"),
            ("Fasteners tightened and standing", f"{traced.standing:,}"),
            ("Complete as of", traced.complete_as_of),
        ),
        safety=(RELEASES_NOTHING, DATA_FIRST, AS_OF),
        sections=(
            _fitted(book, fitted),
            _open(book, found, fitted),
            *_rechecks(book, found, fitted),
            *_recalls(book, bears),
            _standing(book, traced),
            _wrenches(book, traced),
        ),
        foot=origin(book),
    )


def _fitted(book: Book, fitted: Sequence[Assembly]) -> Section:
    if not fitted:
        return Section("What is fitted", (Lines(("No assembly on record is fitted to it.",)),))
    placed = [(each, assemblies.place(book.connection, each.key)) for each in fitted]
    rows: list[Row] = [
        (
            Cell(place.position or ""),
            Cell(each.sort.replace("-", " ")),
            Cell(each.part),
            Cell(each.serial),
            Cell(short_day(local_date(place.since, book.zone)) if place.since is not None else ""),
            Cell(place.held or "", state="outside" if place.held else ""),
        )
        for each, place in sorted(placed, key=lambda pair: natural(f"{pair[1].position} {pair[0].key}"))
    ]
    return Section("What is fitted", (grid("Assemblies", PLACES, rows),))


def _open(book: Book, found: Aircraft, fitted: Sequence[Assembly]) -> Section:
    keys = {each.key for each in fitted}
    mine = [
        each for each in jobs.open_jobs(book.connection)
        if each.aircraft == found.msn or keys & set(each.assemblies.values())
    ]  # fmt: skip
    if not mine:
        return Section("What is open", (Lines(("No job on it, or on what it carries, is open.",)),))
    rows = [_job_row(book, each) for each in mine]
    return Section("What is open", (grid("Open jobs", "=Job|Card|Where|=Opened|What is open", rows),))


def _job_row(book: Book, job: Job) -> Row:
    holds = job_state(book.connection, job.job).holds
    said = " ".join(hold.text for hold in holds[:MOST_HOLDS])
    more = count(len(holds) - MOST_HOLDS, "more thing") if len(holds) > MOST_HOLDS else ""
    return (
        Cell(job.job),
        Cell(job.card, f"revision {job.revision}"),
        Cell(job.position or ", ".join(job.assemblies.values())),
        Cell(short_moment(job.opened, book.zone), job.opened_by),
        Cell(said or "nothing; it can be closed", more),
    )


MOST_HOLDS: Final = 4


def _rechecks(book: Book, found: Aircraft, fitted: Sequence[Assembly]) -> Iterator[Section]:
    """What closed jobs left to be looked at again, on the aircraft itself or on what is fitted to it."""
    owners = {assemblies.assembly_owner(each.key) for each in fitted}
    mine = [
        each for each in rechecks(book.connection)
        if each.owner in owners or each.owner.startswith(f"aircraft {found.msn} ")
    ]  # fmt: skip
    rows: list[Row] = [
        (
            Cell(sentence(fasteners_name(each.group, each.items)), each.owner.partition(" ")[2]),
            Cell(each.when),
            Cell(each.job),
            Cell(short_day(local_date(each.since, book.zone))),
        )
        for each in mine
    ]
    if rows:
        yield Section("To be checked again", (grid("Open rechecks", "Fasteners|When|=Job|=Closed", rows),))


def _recalls(book: Book, bears: str) -> Iterator[Section]:
    """Open recalls with items on this aircraft, and what calls for one."""
    rows: list[Row] = []
    listing = list_recalls(book)
    for each in listing.recalls:
        if each.state == "closed":
            continue
        mine = [
            item
            for item in view(book, each.recall).items
            if item.where.registration == bears and item.concerns
        ]
        if mine:
            undecided = sum(not item.decided for item in mine)
            rows.append(
                (
                    Cell(each.recall.recall, state="outside" if undecided else ""),
                    Cell(subject_words(each.recall)),
                    Cell(f"{len(mine):,}"),
                    Cell(f"{sum(item.verdict == 'outside' for item in mine):,}"),
                    Cell(f"{undecided:,}"),
                )
            )
    titles = "=Recall|By|>Fasteners here|>Outside|>Undecided"
    if rows:
        yield Section("Recalls that concern it", (grid("Open recalls", titles, rows),))
    if listing.pending:
        told = f"{count(len(listing.pending), 'cause')} for a recall not opened yet: torquelog recall list"
        yield Section("Not looked into yet", (Lines((told,)),))


def _standing(book: Book, traced: Trace) -> Section:
    """Tightenings that stand on it today: fasteners alike on one line."""
    newest = {
        (row.reading.owner, row.reading.group, row.reading.item): row
        for row in traced.rows
        if _stands(row) and row.location.flying
    }
    ordered = sorted(newest.values(), key=lambda row: (natural(row.location.position), _alike(row)))
    rows = [_standing_row(book, list(run)) for _, run in groupby(ordered, key=_alike)]
    if not rows:
        return Section("What stands", (Lines(("No tightening on record stands on it.",)),))
    titles = "Position|Fasteners|Specified|Wrench|Certificate|=Job|=When|By"
    return Section("What stands", (grid("Tightenings that stand", titles, rows),))


def _stands(row: Trail) -> bool:
    return row.state == "tight" and row.reading.act == "tighten"


def _alike(row: Trail) -> tuple[str, str, str, str, str, str]:
    reading = row.reading
    outcome = "" if reading.outcome == "within" else reading.outcome
    return row.location.position, reading.owner, reading.group, reading.job, reading.wrench, outcome


def _standing_row(book: Book, run: Sequence[Trail]) -> Row:
    first, last = run[0].reading, max(run, key=lambda row: row.reading.at).reading
    people = sorted({row.reading.performed_by for row in run})
    certificates = sorted({row.reading.certificate for row in run if row.reading.certificate})
    kind, _, owner = first.owner.partition(" ")
    outside = f"{first.outcome} limits" if first.outcome != "within" else ""
    return (
        Cell(run[0].location.position),
        Cell(
            sentence(fasteners_name(first.group, [row.reading.item for row in run])),
            "; ".join(filter(None, (owner if kind == "assembly" else "", outside))),
            "outside" if outside else "",
        ),
        Cell(first.specified),
        Cell(first.wrench),
        Cell(", ".join(certificates)),
        Cell(first.job),
        Cell(short_moment(last.at, book.zone)),
        Cell(", ".join(people)),
    )


class _Touch:
    """What one wrench did, reading by reading; its readings themselves are not kept."""

    def __init__(self, first: Trail) -> None:
        self.first = self.last = first
        self.readings = self.refused = 0
        self.standing: set[tuple[str, str, int]] = set()

    def see(self, row: Trail) -> None:
        """The next reading."""
        self.last = row
        self.readings += 1
        self.refused += row.reading.outcome == "refused"
        if _stands(row):
            self.standing.add((row.reading.owner, row.reading.group, row.reading.item))


def _wrenches(book: Book, traced: Trace) -> Section:
    """Every wrench that touched what it carries, and how that wrench stands today."""
    touched: dict[str, _Touch] = {}
    for row in traced.rows:
        touched.setdefault(row.reading.wrench, _Touch(row)).see(row)
    if not touched:
        return Section("Which wrenches touched it", (Lines(("None on record.",)),))
    rows = [_wrench_row(book, wrench, touch) for wrench, touch in sorted(touched.items())]
    titles = "=Wrench|>Readings|>Standing|>Refused|=First|=Last|Stands today"
    return Section("Which wrenches touched it", (grid("Wrenches", titles, rows),))


def _wrench_row(book: Book, wrench: str, touch: _Touch) -> Row:
    tool = tools.tool(book.connection, wrench)
    grounds = ""
    if tool is not None:
        grounds = why_not(tool, fitness_at(book.connection, book, tool, book.clock.now()))
    return (
        Cell(wrench),
        *(Cell(f"{number:,}") for number in (touch.readings, len(touch.standing), touch.refused)),
        Cell(short_moment(touch.first.reading.at, book.zone)),
        Cell(short_moment(touch.last.reading.at, book.zone)),
        Cell("not to be used" if grounds else "may be used", grounds, "outside" if grounds else "done"),
    )
