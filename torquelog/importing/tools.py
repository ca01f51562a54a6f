"""Wrenches, certificates and assemblies from files, as the acts of the crib and of the shop take them."""

from datetime import date
from typing import Any, Final, NamedTuple

from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.toolbox import tool_named
from torquelog.book.writing import Writing
from torquelog.clock import parse_date, parse_period
from torquelog.crib import calibration, register, results
from torquelog.crib.scales import parse_range, parse_scale
from torquelog.errors import TorquelogError
from torquelog.facts.assemblies import Assembly
from torquelog.facts.calibrations import Point
from torquelog.facts.custody import whereabouts
from torquelog.facts.tools import OWNERS, TYPES, USES, Scale
from torquelog.importing.setting import Setting
from torquelog.importing.sheet import Row, Wrong
from torquelog.importing.unit import Done
from torquelog.importing.values import Cells, decoded, parts, unit_symbol
from torquelog.ledger.text import gate_name
from torquelog.torque.number import parse_number, quoted
from torquelog.torque.units import parse_length, parse_percent, split_amount
from torquelog.work import assemblies

RESULT: Final = ("state", "direction", "indicated", "reference", "unit", "repeat", "uncertainty", "k")
"""Columns that each row of a certificate has for itself; the others are the certificate's."""

RESULT_COLUMNS: Final = {"state", "direction", "indicated", "reference"}

COLUMN_OF: Final = {
    "tool-unknown": "number", "exists": "number", "due-missing": "due", "in-the-future": "on", "points-form": "indicated",
    "assembly-kind": "kind",
}  # fmt: skip


class NewCertificate(NamedTuple):
    """A certificate, and the number of the tool it is for."""

    number: str
    new: calibration.NewCalibration


def column_of(error: TorquelogError, cells: dict[str, str]) -> str:
    """The column that an error of an act is about; "" where it cannot be told."""
    column = COLUMN_OF.get(error.code, "")
    return "serial" if column == "number" and "serial" in cells and "number" not in cells else column


def read_wrench(rows: list[Cells], _setting: Setting) -> register.NewTool | None:
    """The wrench of a row."""
    cells = rows[0]
    first = cells.read("range", lambda text: _scale(text, cells.text("unit"), cells.text("graduation")))
    further = cells.read("scale", lambda text: [parse_scale(decoded(each)) for each in parts(text)]) or []
    told: dict[str, Any] = {
        "type": cells.read("type", lambda text: _one_of(text, TYPES)) or "",
        "lever": cells.read("lever", parse_length),
        "accuracy": cells.read("accuracy", _percent) or "",
        "every": cells.read("every", parse_period),
        "cycles": cells.read("cycles", _whole),
        "owner": cells.read("owner", lambda text: _one_of(text, OWNERS)) or "",
        "use": cells.read("use", lambda text: _one_of(text, USES)) or "",
        **{name: cells.words(name) for name in ("maker", "serial", "place")},
    }
    number = cells.identifier("number")
    if cells.wrong or first is None:
        return None
    return register.NewTool(number, "wrench", scales=(first, *further), **told)


def register_wrench(
    w: Writing, _book: Book, signer: Signer, _setting: Setting, item: register.NewTool, entry_id: str
) -> Done:
    """Register a wrench."""
    return Done(register.register_in(w, signer, item, entry_id=entry_id).reference, "registered")


def certificate_key(row: Row) -> tuple[str, ...]:
    """What the rows of one certificate have in common."""
    return tuple(row.cells.get(name, "").casefold() for name in ("number", "certificate", "laboratory"))


def read_certificate(rows: list[Cells], _setting: Setting) -> NewCertificate | None:
    """The certificate of one row or of several, one a result."""
    first = rows[0]
    for cells in rows[1:]:
        _demand_same(first, cells)
    points = [point for point in map(_point, rows) if point is not None]
    on = first.read("on", parse_date)
    told: dict[str, Any] = {
        **{name: first.read(name, parse_date) for name in ("due", "found_on")},
        **{name: first.words(name) for name in ("laboratory", "standard", "edition")},
        "length": first.read("length", lambda text: parse_length(text, signed=True)),
        "multiplier": first.read("multiplier", _ratio) or "",
    }
    number, certificate = first.identifier("number"), first.words("certificate")
    if on is None and not first.text("on"):
        first.missing("on", "Nothing says on which day it was calibrated.")
    if any(cells.wrong for cells in rows):
        return None
    assert isinstance(on, date)  # noqa: S101  what is missing was told above
    if not all(point.repeat for point in points):
        points = list(results.numbered(points))
    new = calibration.NewCalibration(certificate, on, points=tuple(points), **told)
    return NewCertificate(number, new)


def calibrate(
    w: Writing, book: Book, signer: Signer, setting: Setting, item: NewCertificate, entry_id: str
) -> Done:
    """Put a certificate on record, and accept it where that was asked for and it can be."""
    tool = tool_named(w.connection, item.number, "")
    found, _ = calibration.calibrate_in(w, book, signer, tool, item.new, entry_id=entry_id)
    here = whereabouts(w.connection, tool.tool).kind != "away"
    if setting.accept and here and calibration.not_acceptable(tool, found) is None:
        calibration.accept_in(w, signer, tool, found)
        return Done(found.reference, "accepted")
    return Done(found.reference, "waiting")


def read_assembly(rows: list[Cells], _setting: Setting) -> Assembly | None:
    """The assembly of a row."""
    cells = rows[0]
    serial, part = cells.identifier("serial"), cells.identifier("part")
    kind = cells.read("kind", lambda text: gate_name(text, "kind"))
    return None if cells.wrong or kind is None else Assembly(part, serial, kind)


def add_assembly(
    w: Writing, _book: Book, signer: Signer, _setting: Setting, item: Assembly, entry_id: str
) -> Done:
    """Put an assembly on record."""
    return Done(assemblies.add_in(w, signer, item, entry_id=entry_id).reference, "added")


def _scale(text: str, unit: str, graduation: str) -> Scale:
    symbol = unit_symbol(unit) if unit else ""
    _, own = split_amount(text.rpartition("..")[2])
    span = decoded(text) if own or not symbol else f"{text} {symbol}"
    parse_range(span)
    return parse_scale(span, decoded(graduation) or None)


def _one_of(text: str, words: tuple[str, ...]) -> str:
    word = text.lower()
    if word not in words:
        raise TorquelogError(
            "field-form", f"{quoted(text)} cannot stand here.", hint=f"It is {' or '.join(words)}."
        )
    return word


def _percent(text: str) -> str:
    parse_percent(text)
    return text.replace("%", "").strip()


def _whole(text: str) -> int:
    value = parse_number(text)
    if value.denominator != 1 or value < 1:
        raise TorquelogError(
            "number-form", f"{quoted(text)} is no count.", hint="Write a whole number, like 5000"
        )
    return int(value)


def _ratio(text: str) -> str:
    parse_number(text)
    return text


def _demand_same(first: Cells, cells: Cells) -> None:
    """What is the certificate's stands in its first row; a further row says the same or nothing."""
    for name in ("on", "due", "standard", "found_on", "edition", "length", "multiplier"):
        if cells.text(name) and cells.text(name) != first.text(name):
            error = TorquelogError(
                "certificate-facts",
                f"{quoted(cells.text(name))} stands here, and {quoted(first.text(name))} in its first row.",
                hint="Say it in the first row, and the same or nothing in the others.",
            )
            cells.wrong.append(Wrong(name, error))


def _point(cells: Cells) -> Point | None:
    told = {name: cells.text(name) for name in RESULT}
    if not any(told[name] for name in RESULT_COLUMNS):
        return None
    for name in (*sorted(RESULT_COLUMNS), "unit"):
        if not told[name]:
            cells.missing(name, "A result lacks it.")
            return None
    return _numbers_first(cells, told)


def _numbers_first(cells: Cells, told: dict[str, str]) -> Point | None:
    """A result; what is wrong with a number or the unit is told of its own column, the rest of what was indicated."""
    before = len(cells.wrong)
    cells.read("unit", unit_symbol)
    for name in ("indicated", "reference", "k"):
        cells.read(name, lambda text: parse_number(text, told["unit"]))
    if len(cells.wrong) > before:
        return None
    return cells.read("indicated", lambda _text: results.point(told))
