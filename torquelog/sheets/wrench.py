"""The sheet of a wrench: its life, from its error curves to what it was used for."""

from collections.abc import Iterator, Sequence

from torquelog.book.opening import Book
from torquelog.book.toolbox import tool_named
from torquelog.clock import local_date
from torquelog.crib.history import Shown, show
from torquelog.facts.calibrations import Calibration
from torquelog.facts.tools import Tool
from torquelog.rules.coverage import coverage
from torquelog.rules.days import day_name
from torquelog.rules.sayings import ROUND, percent, range_text
from torquelog.sheets.certificate import certificate_section, drift_section
from torquelog.sheets.model import Cell, Lines, Page, Row, Section, grid
from torquelog.sheets.origin import AS_OF, DATA_FIRST, origin
from torquelog.sheets.tool_life import life_section, uses_section
from torquelog.sheets.tool_words import cycles_left, nature, since_words, where_words, why_not
from torquelog.sheets.wording import city, listing, sentence, short_day

TYPES = {"setting": "clicks at a setting", "indicating": "indicates", "preset": "preset to one torque"}


def wrench_sheet(book: Book, name: str) -> Page:
    """The sheet of a wrench as it stands now.

    Raises:
        TorquelogError: `tool-unknown`.
    """
    tool = tool_named(book.connection, name, "wrench")
    found = show(book, tool)
    standing = sorted(found.certificates, key=lambda each: (each.on, each.recorded), reverse=True)
    withdrawn = frozenset(each.reference for each in standing if each.withdrawn is not None)
    return Page(
        title=f"Wrench {tool.tool}",
        purpose="Its life on record",
        head=tuple(_head(book, found)),
        safety=(_state(found), AS_OF, DATA_FIRST),
        sections=(
            *drift_section(tool, found.certificates, found.line.fitness.due),
            _certificates(book, standing),
            *(
                certificate_section(tool, each)
                for each in standing
                if each.points and each.reference not in withdrawn
            ),
            life_section(book, found),
            *uses_section(book, tool, found),
        ),
        foot=origin(book),
    )


def _head(book: Book, found: Shown) -> Iterator[tuple[str, str]]:
    line, tool = found.line, found.line.tool
    steps = [str(scale.graduation) for scale in tool.scales if scale.graduation]
    since = since_words(line.where, book.zone)
    pairs = [
        ("Range", nature(tool)),
        ("Graduation", listing(steps)),
        ("Works so", TYPES.get(tool.type, "")),
        ("Lever, centre to grip", str(tool.lever) if tool.lever else "none"),
        ("Accuracy", percent(tool.accuracy) if tool.accuracy is not None else "not told"),
        ("Calibrated every", _interval(tool)),
        ("Maker and serial", f"{tool.maker} {tool.serial}".strip()),
        ("Owner", tool.owner),
        ("Where", f"{where_words(tool, line.where)} {since}".strip()),
        ("Due", _due(found)),
        ("Cycles left", cycles_left(tool, line.fitness)),
        ("Uses in all", f"{found.uses:,}"),
        ("Registered", f"entry {tool.reference}"),
        ("All times", city(book.zone)),
    ]
    yield from ((label, value) for label, value in pairs if value)


def _interval(tool: Tool) -> str:
    cycles = f"{tool.cycles:,} cycles" if tool.cycles else ""
    return ", or ".join(part for part in (str(tool.every) if tool.every else "", cycles) if part)


def _due(found: Shown) -> str:
    fitness = found.line.fitness
    return day_name(fitness.due) if fitness.due else ""


def _state(found: Shown) -> str:
    line = found.line
    if line.fitness.grounds:
        return f"Not to be used. {why_not(line.tool, line.fitness)}"
    spans = coverage(line.fitness.calibration.points, None).spans if line.fitness.calibration else ()
    covered = listing(f"{ROUND[span.direction]}, {range_text(span.first, span.last)}" for span in spans)
    until = f", through {day_name(line.last_day)}" if line.last_day else ""
    return f"It may be used {covered}{until}.".replace("used ,", "used,").replace("used .", "used.")


def _certificates(book: Book, standing: Sequence[Calibration]) -> Section:
    if not standing:
        return Section("Certificates", (Lines(("None is on record.",)),))
    titles = "=Calibrated|Certificate|Laboratory|=Due on it|Accepted|Standard, tester|=Entry"
    rows = [_certificate_row(book, each) for each in standing]
    return Section("Certificates", (grid("Certificates, the newest first", titles, rows),))


def _certificate_row(book: Book, each: Calibration) -> Row:
    accepted = "not accepted"
    if each.accepted is not None:
        accepted = f"{short_day(local_date(each.accepted, book.zone))} by {each.accepted_by}"
    withdrawn = (
        f"withdrawn {short_day(local_date(each.withdrawn, book.zone))}" if each.withdrawn is not None else ""
    )
    return (
        Cell(short_day(each.on), f"found {short_day(each.found_on)}" if each.found_on else ""),
        Cell(each.certificate, sentence(each.why)),
        Cell(each.laboratory or "not told"),
        Cell(short_day(each.due) if each.due else "none"),
        Cell(accepted, withdrawn, "outside" if withdrawn else ""),
        Cell(", ".join(part for part in (each.standard, each.tester) if part)),
        Cell(each.reference),
    )
