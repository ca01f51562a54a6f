"""A certificate's results: from a CSV file or from lines as typed, checked, and set against the tool's accuracy."""

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Final, NamedTuple

from torquelog.errors import TorquelogError
from torquelog.facts.calibrations import Point, pairs
from torquelog.facts.tools import Tool
from torquelog.rules.sayings import range_text
from torquelog.torque.curve import ROUNDED_CONVERSION
from torquelog.torque.deviation import deviation
from torquelog.torque.number import display, parse_number, quoted
from torquelog.torque.pair import checked
from torquelog.torque.units import CODED_UNITS, Torque, parse_unit

NEEDED: Final = ("state", "direction", "indicated", "reference", "unit")
ALLOWED: Final = (*NEEDED, "repeat", "uncertainty", "k")
SHARE_DIGITS: Final = 6
"""Digits to which an uncertainty in percent is kept as a torque."""

MOST: Final = 999
"""Results of one certificate that are taken."""


class Judged(NamedTuple):
    """A result with its deviation by ISO 6789, (indicated − reference) / reference, and whether it is inside."""

    point: Point
    deviation: Fraction
    inside: bool | None


def read_csv(text: str) -> tuple[Point, ...]:
    """The results in a CSV file with a header.

    Args:
        text: columns state, direction, indicated, reference, unit, and where given repeat, uncertainty (in
            the same unit, or in percent of the reference) and k; separated by commas or by semicolons.

    Raises:
        TorquelogError: points-form, which names the line.
    """
    import csv
    from io import StringIO

    first = text.lstrip().partition("\n")[0]
    reader = csv.DictReader(
        StringIO(text, newline=""), delimiter=";" if first.count(";") > first.count(",") else ",", strict=True
    )
    try:
        names = [name.strip().lower() for name in reader.fieldnames or ()]
        _check_header(names)
        reader.fieldnames = names
        return _numbered(_row(reader.line_num, row) for row in reader)
    except csv.Error as error:
        raise _form(reader.reader.line_num, f"it is not CSV ({error}).", "Save it as CSV, UTF-8.") from error


def _check_header(names: Sequence[str]) -> None:
    lacking = [name for name in NEEDED if name not in names]
    extra = [name for name in names if name not in ALLOWED]
    twice = [name for name, count in Counter(names).items() if count > 1]
    for wrong, what in (
        (lacking, "has no column"),
        (extra, "has an unknown column"),
        (twice, "has twice the column"),
    ):
        if wrong:
            hint = f"The header is: {','.join(NEEDED)} and where given repeat,uncertainty,k"
            raise _form(1, f"its header {what} {quoted(wrong[0])}.", hint)


def _row(line: int, row: Mapping[str | None, str | list[str] | None]) -> Point | None:
    if None in row:
        raise _form(
            line, "it has more cells than the header.", "Write numbers with a point, without a comma."
        )
    cells = {str(name): _cell(value) for name, value in row.items()}
    if not any(cells.values()):
        return None
    try:
        return point(cells)
    except TorquelogError as error:
        raise _form(line, f"{error.message}", error.hint) from error


def _cell(value: str | list[str] | None) -> str:
    """A cell without blanks, and without the apostrophe that keeps spreadsheets from computing it."""
    text = value.strip() if isinstance(value, str) else ""
    return text[1:] if re.match(r"'[=+\-@＝＋－＠]", text) else text


def point(cells: Mapping[str, str]) -> Point:
    """One result from its cells, by the names of the columns.

    Raises:
        TorquelogError: calibration-pair, and what numbers and units raise.
    """
    unit = cells["unit"]
    symbol = CODED_UNITS[unit].symbol if unit in CODED_UNITS else parse_unit(unit).symbol
    parse_number(cells["indicated"], symbol)
    parse_number(cells["reference"], symbol)
    found = Point(
        state=cells["state"].lower(),
        direction=cells["direction"].lower(),
        indicated=Torque(cells["indicated"], symbol),
        reference=Torque(cells["reference"], symbol),
        repeat=_repeat(cells.get("repeat", "")),
        uncertainty=_uncertainty(cells.get("uncertainty", ""), cells["reference"], symbol),
        k=cells.get("k") or None,
    )
    checked(*pairs([found]))
    return found


def _repeat(text: str) -> int:
    number = parse_number(text or "0")
    if number.denominator != 1 or number > MOST:
        raise TorquelogError("points-form", f"{quoted(text)} is not the number of a repetition.")
    return int(number)


def _uncertainty(text: str, reference: str, unit: str) -> Torque | None:
    if not text:
        return None
    if text.endswith("%"):
        share = parse_number(text[:-1]) / 100
        return Torque(display(share * parse_number(reference), SHARE_DIGITS), unit)
    parse_number(text, unit)
    return Torque(text, unit)


def _numbered(points: Iterator[Point | None]) -> tuple[Point, ...]:
    """The results with a number for each repetition that has none: in the order they stand."""
    met: Counter[tuple[str, str, Fraction]] = Counter()
    found: list[Point] = []
    for each in points:
        if each is None:
            continue
        key = (each.state, each.direction, each.indicated.newton_metres)
        met[key] += 1
        found.append(each if each.repeat else each._replace(repeat=met[key]))
        if len(found) > MOST:
            raise TorquelogError("points-form", f"It holds more than {MOST} results.")
    return tuple(found)


def numbered(points: Sequence[Point]) -> tuple[Point, ...]:
    """The results with their repetitions counted anew, in the order they stand."""
    return _numbered(each._replace(repeat=0) for each in points)


def check_points(tool: Tool, points: Sequence[Point], *, used: bool = False) -> None:
    """Raise `points-form` where the results cannot be those of this tool.

    Args:
        tool: the tool.
        points: its results.
        used: whether it was used or calibrated before. Then results as found alone are taken: a laboratory may
            stop where it found the tool outside, and what was done with it has to be looked at.
    """
    if not points or not (used or says_how_left(points)):
        raise TorquelogError(
            "points-form",
            f"The results do not say how {tool.tool} was left.",
            why="A tool is used as it was left." if points else "There is none.",
            hint='Give results "as-left"; where it was left as it was found, call them "unchanged".',
        )
    units = {each.indicated.unit for each in points}
    if len(units) > 1:
        raise TorquelogError(
            "points-form",
            f"The results are in several units: {', '.join(sorted(units))}.",
            why="A certificate has one.",
            hint="Look at the certificate again.",
        )
    _check_repeats(points)
    for each in points:
        _check_reach(tool, each)


def says_how_left(points: Sequence[Point]) -> bool:
    """Whether results say how a tool was left: as left, or as found and left unchanged."""
    return any(each.state != "as-found" for each in points)


def _check_repeats(points: Sequence[Point]) -> None:
    met = Counter((each.state, each.direction, each.indicated.newton_metres, each.repeat) for each in points)
    for (state, direction, _, repeat), count in met.items():
        if count > 1:
            raise TorquelogError(
                "points-form",
                f"Repetition {repeat} of one result stands there twice ({state}, {direction}).",
                hint="Leave out the column repeat, and they are numbered as they stand.",
            )


def _check_reach(tool: Tool, point: Point) -> None:
    """What a tool indicated lies on one of its scales, but for the rounding of a certificate in another unit."""
    value = point.indicated.newton_metres
    for scale in tool.scales:
        slack = 0 if scale.unit == point.indicated.unit else ROUNDED_CONVERSION
        if scale.low.newton_metres * (1 - slack) <= value <= scale.high.newton_metres * (1 + slack):
            return
    if tool.scales:
        spans = " and ".join(range_text(scale.low, scale.high) for scale in tool.scales)
        raise TorquelogError(
            "points-form",
            f"{tool.tool} cannot have indicated {point.indicated}: its range is {spans}.",
            hint="Look at the unit of the certificate, and at the columns.",
        )


def judged(points: Sequence[Point], accuracy: Fraction | None) -> tuple[Judged, ...]:
    """Each result with its deviation, and whether it keeps the accuracy (nothing where none is told)."""
    found = []
    for each in points:
        off = deviation(each.indicated.newton_metres, each.reference.newton_metres)
        found.append(Judged(each, off, None if accuracy is None else abs(off) <= accuracy))
    return tuple(found)


def _form(line: int, what: str, hint: str) -> TorquelogError:
    return TorquelogError("points-form", f"Line {line} of the results: {what}", hint=hint)
