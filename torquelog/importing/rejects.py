"""The rows that were not brought in, in the form of the file they came from, with the reason in front.

Mended, the file can be brought in like any other: the column of reasons is passed over.
"""

import csv
import json
from collections.abc import Callable
from typing import Any, Protocol

from torquelog.errors import TorquelogError
from torquelog.importing.columns import REASON, spelled
from torquelog.importing.sheet import Sheet, Wrong
from torquelog.importing.unit import Unit
from torquelog.ledger.jsontext import strict_json


class Out(Protocol):
    """Takes text, with its line ends as they are."""

    def write(self, text: str, /) -> object:
        """Take a piece of text."""
        ...


class Rejects:
    """Writes rejected rows.

    Attributes:
        rows: how many were written.
    """

    def __init__(self, sheet: Sheet, begin: Callable[[], Out]) -> None:
        """Begin with nothing.

        Args:
            sheet: where the rows come from.
            begin: opens the file, when the first row is rejected.
        """
        self._sheet, self._begin = sheet, begin
        self.rows = 0
        self._kept = [place for place, name in enumerate(sheet.header) if spelled(name) != REASON]
        self._out: Out | None = None
        self._table: Any = None

    def _opened(self) -> Out:
        if self._out is None:
            self._out = self._begin()
            self._table = csv.writer(self._out, delimiter=self._sheet.delimiter, lineterminator="\n")
            if self._sheet.form == "csv":
                self._out.write("\ufeff" if self._sheet.marked else "")
                self._table.writerow([REASON, *(self._sheet.header[place] for place in self._kept)])
        return self._out

    def add(self, unit: Unit, reasons: list[tuple[int, Wrong]]) -> None:
        """Write the rows of a unit, each with the reasons found in it, or with the first one of the unit.

        Args:
            unit: what was not brought in.
            reasons: what is wrong, with the line of the row.
        """
        for row in unit.rows:
            own = [wrong for line, wrong in reasons if line == row.raw.line]
            self._add(row.raw.content, " ".join(map(told, own or [reasons[0][1]])))
            self.rows += 1

    def _add(self, content: tuple[str, ...] | str, reason: str) -> None:
        out = self._opened()
        if isinstance(content, str):
            out.write(_with_reason(content, reason) + "\n")
            return
        width = len(self._sheet.header)
        kept = [content[place] for place in self._kept if place < len(content)]
        self._table.writerow([reason, *kept, *content[width:]])


def told(wrong: Wrong) -> str:
    """What is wrong, in one line, with its column in front."""
    message = wrong.error.message.replace(" Nothing was recorded.", "")
    return f"{wrong.column}: {message}" if wrong.column else message


def _with_reason(line: str, reason: str) -> str:
    """A line of JSON with its reason; as it stands where it is no object."""
    try:
        value = strict_json(line)
    except TorquelogError:
        return line
    if not isinstance(value, dict):
        return line
    rest = {name: each for name, each in value.items() if spelled(name) != REASON}
    return json.dumps({REASON: reason, **rest}, ensure_ascii=False)
