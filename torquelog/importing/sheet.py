"""A file's rows with their cells, from CSV or from JSON Lines, each cell in the one form that is compared and read.

The first sign of the file tells which of the two it is, the header which sign stands between cells.
"""

import csv
import re
from collections.abc import Iterable, Iterator
from itertools import chain
from typing import Final, NamedTuple

from torquelog.errors import TorquelogError
from torquelog.importing.columns import COLUMNS, REASON, Column, check_header, spelled, unknown
from torquelog.importing.lines import Line, Lines
from torquelog.ledger.jsontext import strict_json
from torquelog.ledger.text import gate_text
from torquelog.torque.number import quoted

DELIMITERS: Final = (",", ";", "\t")
LARGEST_ROW: Final = 256 << 10
"""Characters of the longest row of CSV, which may have several lines where a cell is quoted."""

BETWEEN: Final = "; "
"""Stands between several values in one cell."""

FORMULA: Final = re.compile(r"'[=+\-@＝＋－＠]")
"""A cell with the apostrophe that keeps a spreadsheet from computing it."""

DECIMAL_COMMA: Final = re.compile(r"(?<=[0-9]),(?=[0-9])")
DECIMAL_POINT: Final = re.compile(r"(?<=[0-9])\.(?=[0-9])")

Content = tuple[str, ...] | str
"""A row as it stands in the file: the cells of CSV, or the line of JSON."""


class Raw(NamedTuple):
    """A row as it stands in the file, and the number of the line where it begins."""

    line: int
    content: Content


class Wrong(NamedTuple):
    """What is wrong with a row: the column, or "" where it is the row itself, and the error."""

    column: str
    error: TorquelogError


class Row(NamedTuple):
    """A row that was read.

    Attributes:
        raw: as it stands in the file.
        cells: the text of each cell that holds something, by the name of its column.
        wrong: what is wrong with its form.
    """

    raw: Raw
    cells: dict[str, str]
    wrong: tuple[Wrong, ...] = ()


class Sheet:
    """An open file of rows.

    Attributes:
        kind: readings, wrenches, calibrations or assemblies.
        form: "csv" or "jsonl".
        header: the header as it stands there; of JSON Lines there is none.
        delimiter: what stands between cells.
        marked: whether the file began with a byte order mark.
    """

    def __init__(self, kind: str, chunks: Iterable[bytes], *, decimal_comma: bool = False) -> None:
        """Read as far as the header.

        Args:
            kind: what the rows are.
            chunks: the bytes of the file, piece by piece.
            decimal_comma: whether numbers are written with a comma.

        Raises:
            TorquelogError: file-empty, file-encoding, file-form; field-unknown, field-missing, field-twice of a header.
        """
        self.kind = kind
        self._decimal_comma = decimal_comma
        self._columns = {column.name: column for column in COLUMNS[kind]}
        lines = Lines(chunks)
        source = iter(lines)
        first = next((line for line in source if line.text.strip()), None)
        if first is None:
            raise TorquelogError(
                "file-empty", "There is nothing in the file.", hint="Look whether it is the right one."
            )
        self.marked = lines.marked
        self.form = "jsonl" if first.text.lstrip().startswith("{") else "csv"
        self.header: tuple[str, ...] = ()
        self.delimiter = max(DELIMITERS, key=first.text.count)
        rest = chain((first,), source)
        self._rows = _json_rows(rest) if self.form == "jsonl" else _Table(rest, self.delimiter).rows()
        self._names: tuple[str, ...] = ()
        if self.form == "csv":
            self._read_header()

    def _read_header(self) -> None:
        header = next(self._rows).content
        assert isinstance(header, tuple)  # noqa: S101  rows of CSV have cells
        self.header = header
        names = [spelled(name) for name in header]
        while names and not names[-1]:
            names.pop()  # spreadsheets write delimiters for columns that nobody filled
        check_header(self.kind, names)
        self._names = tuple(names)

    def rows(self) -> Iterator[Row]:
        """Each row below the header that holds anything, read as it is asked for.

        Raises:
            TorquelogError: file-encoding, file-form: from there on nothing can be told apart.
        """
        for raw in self._rows:
            row = self.row(raw)
            if row.cells or row.wrong:
                yield row

    def row(self, raw: Raw) -> Row:
        """The cells of a row as it stands in the file."""
        try:
            given = self._from_json(raw) if isinstance(raw.content, str) else self._from_cells(raw.content)
        except TorquelogError as error:
            return Row(raw, {}, (Wrong("", error),))
        cells, wrong = {}, []
        for name, text in given.items():
            try:
                cells[name] = self._cell(self._columns[name], text)
            except TorquelogError as error:
                wrong.append(Wrong(name, error))
        found = {name: text for name, text in cells.items() if text}
        if found:
            given_names = found.keys() | {each.column for each in wrong}
            wrong += [Wrong(column.name, _missing(column)) for column in self._columns.values()
                      if column.needed and column.name not in given_names]  # fmt: skip
        return Row(raw, found, tuple(wrong))

    def _from_cells(self, content: tuple[str, ...]) -> dict[str, str]:
        extra = [cell for cell in content[len(self._names) :] if cell.strip()]
        if extra or 0 < len(content) < len(self._names):
            comma = self.delimiter == "," and bool(extra)
            raise TorquelogError(
                "row-form",
                f"The row has {len(content)} cells, the header {len(self._names)}.",
                hint="A cell that holds a comma stands in quotation marks."
                if comma
                else "Look whether a cell was left out or divided.",
            )
        return {name: text for name, text in zip(self._names, content, strict=False) if name != REASON}

    def _from_json(self, raw: Raw) -> dict[str, str]:
        value = strict_json(str(raw.content))
        if not isinstance(value, dict):
            raise TorquelogError("json-form", "The line is not one JSON object.", hint='Begin it with "{".')
        given: dict[str, str] = {}
        for member, content in value.items():
            name = spelled(member)
            if name == REASON:
                continue
            if name not in self._columns:
                raise unknown(self.kind, member)
            if name in given:
                raise TorquelogError("field-twice", f"The line has the field {quoted(name)} twice.")
            given[name] = _text_of(self._columns[name], content)
        return given

    def _cell(self, column: Column, text: str) -> str:
        """The text of a cell: composed, without blanks at its ends and the apostrophe before a formula."""
        if not (text.isascii() and text.isprintable()):
            text = gate_text(text, f'"{column.name}"', reason=True) if text.strip() else ""
        text = text.strip()
        if FORMULA.match(text):
            text = text[1:]
        if column.number and self._decimal_comma:
            text = _with_points(text)
        if column.several and ";" in text:
            text = BETWEEN.join(part.strip() for part in text.split(";") if part.strip())
        return text


def _json_rows(lines: Iterable[Line]) -> Iterator[Raw]:
    for line in lines:
        if line.text.strip():
            yield Raw(line.number, line.text)


class _Table:
    """The rows of CSV, with the lines where they begin."""

    def __init__(self, lines: Iterable[Line], delimiter: str) -> None:
        self._lines = lines
        self._begins = self._size = 0
        self._reader = csv.reader(self._fed(), delimiter=delimiter, strict=True)

    def _fed(self) -> Iterator[str]:
        for line in self._lines:
            self._begins = self._begins or line.number
            self._size += len(line.text)
            if self._size > LARGEST_ROW:
                raise self._unread(f"it goes on for more than {LARGEST_ROW >> 10} KiB.")
            yield line.text + "\n"

    def rows(self) -> Iterator[Raw]:
        while True:
            self._begins = self._size = 0
            try:
                cells = next(self._reader)
            except StopIteration:
                return
            except csv.Error as error:
                raise self._unread(f"{error}.") from None
            if cells:
                yield Raw(self._begins, tuple(cells))

    def _unread(self, why: str) -> TorquelogError:
        return TorquelogError(
            "file-form",
            f"The row that begins in line {self._begins:,} cannot be told from the next: {why}",
            hint='Look for a quotation mark that is not closed. Inside a quoted cell it is written twice: ""',
        )


def _text_of(column: Column, value: object) -> str:
    """The value of a JSON member as the text of a cell."""
    if value is None:
        return ""
    if isinstance(value, bool):
        if column.flag:
            return "yes" if value else ""
    elif isinstance(value, int):
        return str(value)
    elif isinstance(value, str):
        return value
    elif column.several and isinstance(value, list) and all(isinstance(each, str) for each in value):
        return BETWEEN.join(value)
    form = "true or false" if column.flag else "text or a list of texts" if column.several else "text"
    raise TorquelogError("field-form", f'The field "{column.name}" is not {form}.')


def _with_points(text: str) -> str:
    if DECIMAL_POINT.search(text):
        raise TorquelogError(
            "number-form",
            f"{quoted(text)} has a point, and numbers are written with a comma in this file.",
            hint="Write it with a comma, and thousands without a mark.",
        )
    return DECIMAL_COMMA.sub(".", text)


def _missing(column: Column) -> TorquelogError:
    return TorquelogError(
        "field-missing",
        f"There is nothing in the column {quoted(column.name)}.",
        why=f"It holds {column.meaning}.",
    )
