"""Labels for tools: number, range, due date, what restricts it, and the code that a scanner reads."""

from collections.abc import Sequence
from typing import NamedTuple

from torquelog.book.opening import Book
from torquelog.book.toolbox import fitness_at, tool_named
from torquelog.clock import local_date
from torquelog.crib.due import line_of
from torquelog.errors import TorquelogError
from torquelog.facts.conditions import conditions
from torquelog.facts.tools import Tool
from torquelog.sheets.model import Drawing, Path
from torquelog.sheets.origin import origin
from torquelog.sheets.tool_words import nature, restrictions
from torquelog.sheets.wording import short_day
from torquelog.work import scan

QUIET_ZONE = 4
"""Modules that stay white about the code (ISO/IEC 18004, from memory)."""


class Label(NamedTuple):
    """One label.

    Attributes:
        number: the tool's number.
        nature: its range, length or ratio.
        use_through: the last day of use, in words, or that it has no due date.
        words: what restricts it, in metrology's words, each with its detail or "".
        code: what the drawing says to a scanner; "" where the number cannot stand in a code.
        drawing: the code as a drawing, or nothing.
        made: the day on which the tool stood so, in words.
    """

    number: str
    nature: str
    use_through: str
    words: tuple[tuple[str, str], ...]
    code: str
    drawing: Drawing | None
    made: str


class Labels(NamedTuple):
    """A page of labels: its title, the labels, those without a code, and where they come from."""

    title: str
    labels: tuple[Label, ...]
    without_code: tuple[str, ...]
    foot: tuple[tuple[str, str], ...]


def labels(book: Book, sort: str, names: Sequence[str]) -> Labels:
    """Labels of tools as they stand now, in the order named.

    Args:
        book: the record.
        sort: `wrench` or `adapter`.
        names: the tools' numbers.

    Raises:
        TorquelogError: `tool-unknown`.
    """
    made = tuple(_label(book, tool_named(book.connection, name, sort)) for name in names)
    missing = tuple(each.number for each in made if each.drawing is None)
    return Labels("Labels " + ", ".join(each.number for each in made[:3]), made, missing, origin(book))


def _label(book: Book, tool: Tool) -> Label:
    now = book.clock.now()
    fitness = fitness_at(book.connection, book, tool, now)
    last = line_of(book, tool, now).last_day
    code = _code(tool)
    return Label(
        number=tool.tool,
        nature=nature(tool),
        use_through=short_day(last) if last else "no due date",
        words=tuple(restrictions(tool, fitness, conditions(book.connection, tool.tool))),
        code=code,
        drawing=code_drawing(code) if code else None,
        made=short_day(local_date(now, book.zone)),
    )


def _code(tool: Tool) -> str:
    try:
        return scan.code(tool.sort, tool.tool)
    except TorquelogError:
        return ""  # a number with a sign that no code takes: the label bears it in letters only


def code_drawing(code: str) -> Drawing:
    """A QR code as a drawing: one path of its dark modules, white about it."""
    import segno

    made = segno.make_qr(code, error="m")
    rows = [list(row) for row in made.matrix]
    size = float(len(rows) + 2 * QUIET_ZONE)
    commands = "".join(
        f"M{column + QUIET_ZONE} {line + QUIET_ZONE}h1v1h-1z"
        for line, row in enumerate(rows)
        for column, dark in enumerate(row)
        if dark
    )
    return Drawing(size, size, f"QR code of {code}", (Path(commands, "module"),))
