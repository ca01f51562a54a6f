"""Certificates: putting one on record, and accepting it, from which moment the tool is fit by it."""

from datetime import date
from typing import Any, NamedTuple

from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.toolbox import fitness_at, tool_named
from torquelog.book.writing import Appended, Writing, writing
from torquelog.clock import day_start, local_date
from torquelog.crib.results import Judged, check_points, judged, says_how_left
from torquelog.errors import TorquelogError
from torquelog.facts import calibrations as facts
from torquelog.facts import custody, tools
from torquelog.facts.calibrations import Calibration, Point
from torquelog.facts.members import quantity
from torquelog.facts.stations import rules
from torquelog.facts.tools import Tool
from torquelog.facts.uses import uses_between
from torquelog.rules import validity
from torquelog.rules.coverage import coverage
from torquelog.rules.days import day_name
from torquelog.rules.fitness import Fitness
from torquelog.rules.grounds import Remark
from torquelog.rules.sayings import as_left_failed, as_left_missing
from torquelog.torque.number import parse_number
from torquelog.torque.units import Length


class NewCalibration(NamedTuple):
    """A certificate as told.

    Attributes:
        certificate: its number.
        on: the day of the calibration, as left.
        due: the due date on it, or nothing.
        laboratory, standard: who issued it, and what it was measured with; "" where not told.
        points: its results.
        length: measured of an adapter, or nothing.
        multiplier: measured of a multiplier, as text, or "".
        found_on: the day of the results as found, or nothing for the same day.
        edition, decision, file, why: as told, "" where not; `file` is the SHA-256 of the file with the results.
    """

    certificate: str
    on: date
    due: date | None = None
    laboratory: str = ""
    standard: str = ""
    points: tuple[Point, ...] = ()
    length: Length | None = None
    multiplier: str = ""
    found_on: date | None = None
    edition: str = ""
    decision: str = ""
    file: str = ""
    why: str = ""


class Calibrated(NamedTuple):
    """A certificate on record.

    Attributes:
        tool: the tool.
        calibration: the certificate.
        due: when it is due by it, or nothing.
        results: each result with its deviation.
        acceptance: the entry that accepted it, or "".
        fitness: how fit the tool is now.
        remarks: what else there is to say.
    """

    tool: Tool
    calibration: Calibration
    due: date | None
    results: tuple[Judged, ...]
    acceptance: str
    fitness: Fitness
    remarks: tuple[Remark, ...]


def calibrate(
    book: Book, signer: Signer, name: str, new: NewCalibration, *, sort: str = "", accept: bool = False
) -> Calibrated:
    """Put a certificate on record.

    Args:
        book, signer: where, and who signs (crib).
        name: the tool's number.
        new: the certificate.
        sort: which sort of tool is meant, "" for any.
        accept: whether it is accepted at once, which a tool that is away cannot be.

    Raises:
        TorquelogError: `tool-unknown`, `exists`, `certificate-facts`, `points-form`, `due-missing`,
            `in-the-future`; with `accept` also `tool-away`, `as-left-failed` and `as-left-missing`.
    """
    with writing(book) as w:
        tool = tool_named(w.connection, name, sort)
        found, remarks = calibrate_in(w, book, signer, tool, new)
        if accept:
            demand_here(w, tool)
        acceptance = accept_in(w, signer, tool, found).reference if accept else ""
        return Calibrated(
            tool=tool, calibration=found, due=validity.due_date(found, tool.every),
            results=judged(found.points, tool.accuracy), acceptance=acceptance,
            fitness=fitness_at(w.connection, book, tool, w.time()), remarks=remarks,
        )  # fmt: skip


def calibrate_in(
    w: Writing, book: Book, signer: Signer, tool: Tool, new: NewCalibration, *, entry_id: str | None = None
) -> tuple[Calibration, tuple[Remark, ...]]:
    """Put a certificate on record, not accepted yet, inside a transaction that is open; see `calibrate`.

    Returns:
        The certificate, and what else there is to say of it.
    """
    demand_possible(w, book, tool, new)
    remarks = tuple(_late(w, book, tool, new))
    entry = w.append(signer, "calibration", _body(w, tool, new), id=entry_id)
    found = facts.calibration(w.connection, w.station, entry.number)
    assert found is not None  # noqa: S101  its rows were just written
    return found, remarks


def accept_in(w: Writing, signer: Signer, tool: Tool, calibration: Calibration) -> Appended:
    """Accept a certificate inside a transaction that is open: the tool is fit by it from this entry on.

    Raises:
        TorquelogError: `exists` where it is accepted already, and what `not_acceptable` answers.
    """
    if calibration.accepted is not None:
        raise TorquelogError(
            "exists", f"Certificate {calibration.certificate} of {tool.tool} is accepted already."
        )
    refusal = not_acceptable(tool, calibration)
    if refusal is not None:
        raise refusal
    return w.append(signer, "acceptance", {"calibration": calibration.reference})


def not_acceptable(tool: Tool, calibration: Calibration) -> TorquelogError | None:
    """Why a certificate cannot make a tool fit: it leaves it outside its accuracy (`as-left-failed`), or does not
    say how it was left (`as-left-missing`); nothing where it can.
    """
    covered = coverage(calibration.points, tool.accuracy)
    hint = f"torquelog {tool.sort} send {tool.tool} --to LABORATORY"
    if covered.failed and tool.accuracy is not None:
        said = as_left_failed(tool.tool, tool.accuracy, calibration, covered.failed[0])
        return TorquelogError("as-left-failed", said, why="Such a certificate is not accepted.", hint=hint)
    if tool.sort != "adapter" and not covered.spans:
        said = as_left_missing(tool.tool, calibration)
        return TorquelogError("as-left-missing", said, why="Such a certificate is not accepted.", hint=hint)
    return None


def acceptable(tool: Tool, points: tuple[Point, ...]) -> bool:
    """Whether a certificate with these results could be accepted: it says how the tool was left, and left it good."""
    covered = coverage(points, tool.accuracy)
    return tool.sort == "adapter" or bool(covered.spans and not covered.failed)


def newest_waiting(w: Writing, book: Book, tool: Tool) -> Calibration | None:
    """The newest certificate of a tool that is not accepted yet, newer than the one that counts."""
    found = facts.calibrations(w.connection, tool.tool)
    now = w.time()
    return validity.waiting(found, validity.governing(found, now, book.zone), now)


def demand_here(w: Writing, tool: Tool) -> None:
    """Raise `tool-away` where a tool was sent away: then its certificate is accepted when it is received."""
    where = custody.whereabouts(w.connection, tool.tool)
    if where.kind == "away":
        raise TorquelogError(
            "tool-away",
            f"{tool.tool} was sent to {where.place or 'somewhere'} and is not received back.",
            why="Its certificate is accepted when it is here. Nothing was recorded.",
            hint=f"Leave --accept out, and later: torquelog {tool.sort} receive {tool.tool}",
        )


def demand_possible(w: Writing, book: Book, tool: Tool, new: NewCalibration) -> None:
    """Raise where a certificate cannot be as it is told; see `calibrate`."""
    today = local_date(w.time(), book.zone)
    if new.on > today:
        raise TorquelogError("in-the-future", f"{day_name(new.on)} is later than today, {day_name(today)}.")
    if new.found_on is not None and new.found_on > new.on:
        raise _facts(
            f"It was found on {day_name(new.found_on)}, after it was left on {day_name(new.on)}.",
            "How it was found comes first: look at the two dates again.",
        )
    if new.due is not None and new.due < new.on:
        raise _facts(
            f"It would be due on {day_name(new.due)}, before it was calibrated on {day_name(new.on)}.",
            "Look at the two dates again.",
        )
    _demand_new(w, tool, new)
    _demand_measured(w, tool, new)
    if new.due is None and tool.every is None and says_how_left(new.points):
        raise TorquelogError(
            "due-missing",
            f"Nothing says when {tool.tool} is due: it is registered without an interval.",
            hint="Add --due with the date on the certificate.",
        )


def _demand_new(w: Writing, tool: Tool, new: NewCalibration) -> None:
    for each in facts.calibrations(w.connection, tool.tool, points=False):
        same = each.certificate.casefold() == new.certificate.casefold()
        if same and each.laboratory.casefold() == new.laboratory.casefold():
            raise TorquelogError(
                "exists",
                f"Certificate {new.certificate} of {tool.tool} is on record already, as {each.reference}.",
                hint=f"torquelog {tool.sort} show {tool.tool}",
            )


def _demand_measured(w: Writing, tool: Tool, new: NewCalibration) -> None:
    if tool.sort != "adapter":
        if new.length or new.multiplier:
            raise _facts(
                f"{tool.tool} is a {tool.sort}; only an adapter has a length measured.", "Give its results."
            )
        check_points(tool, new.points, used=_used(w, tool))
        return
    if new.points:
        raise _facts(f"{tool.tool} is an adapter; it indicates nothing.", "Give --length or --multiplier.")
    wrong = (new.length is None) if tool.length else not new.multiplier
    if wrong or (new.length and new.multiplier):
        what = "--length, as measured" if tool.length else "--multiplier, as measured"
        raise _facts(f"What was measured of {tool.tool} is missing.", f"Add {what}.")
    if (new.length and new.length.metres == 0) or (new.multiplier and parse_number(new.multiplier) == 0):
        raise _facts(f"{tool.tool} cannot measure zero.", "Read the certificate again.")


def _used(w: Writing, tool: Tool) -> bool:
    """Whether a tool was calibrated before, or a use of it is on record."""
    earlier = facts.calibrations(w.connection, tool.tool, points=False)
    return bool(earlier) or uses_between(w.connection, tool.tool, 0, w.time()) > 0


def _late(w: Writing, book: Book, tool: Tool, new: NewCalibration) -> list[Remark]:
    """A remark where the one before had lapsed when the tool was calibrated."""
    found = facts.calibrations(w.connection, tool.tool, points=False)
    at = day_start(new.on, book.zone)
    before = validity.governing(found, at, book.zone)
    due = validity.due_date(before.calibration, tool.every) if before else None
    if due is None or at < validity.end_of_use(due, rules(w.connection, w.station).due_through, book.zone):
        return []
    days = (new.on - due).days
    return [
        Remark(
            "late-certificate",
            f"{tool.tool} had been due {day_name(due)}, {days:,} day{'' if days == 1 else 's'} before this calibration.",
        )
    ]


def _body(w: Writing, tool: Tool, new: NewCalibration) -> dict[str, Any]:
    body: dict[str, Any] = {"tool": tool.tool, "certificate": new.certificate, "on": new.on.isoformat()}
    tester = tools.tool(w.connection, new.standard.upper()) if new.standard else None
    if tester is not None and tester.sort == "tester":
        body["tester"] = tester.tool
    for member, day in (("due", new.due), ("found_on", new.found_on)):
        if day is not None:
            body[member] = day.isoformat()
    if new.points:
        body["points"] = [_point(point) for point in new.points]
    if new.length is not None:
        body["length"] = quantity(new.length)
    words = ("laboratory", "standard", "multiplier", "edition", "decision", "file", "why")
    return body | {member: getattr(new, member) for member in words if getattr(new, member)}


def _point(point: Point) -> dict[str, Any]:
    body: dict[str, Any] = {
        "state": point.state, "direction": point.direction, "indicated": quantity(point.indicated),
        "reference": quantity(point.reference), "repeat": str(point.repeat),
    }  # fmt: skip
    if point.uncertainty is not None:
        body["uncertainty"] = quantity(point.uncertainty)
    return body | ({"k": point.k} if point.k else {})


def _facts(what: str, hint: str) -> TorquelogError:
    return TorquelogError("certificate-facts", what, hint=hint)
