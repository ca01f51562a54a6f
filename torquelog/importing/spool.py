"""What was read, kept aside in a nameless file between the judging and the writing, so that both see the same rows."""

import json
import tempfile
from collections.abc import Iterator
from types import TracebackType

from torquelog.importing.setting import Setting
from torquelog.importing.sheet import Raw, Sheet
from torquelog.importing.unit import Kind, Unit
from torquelog.importing.units import unit_again


class Spool:
    """Units in order, written once and read again."""

    def __init__(self) -> None:
        self._file = tempfile.TemporaryFile("w+", encoding="utf-8", newline="\n")  # noqa: SIM115  closed at the end

    def add(self, unit: Unit) -> None:
        """Keep a unit."""
        rows = [(row.raw.line, row.raw.content) for row in unit.rows]
        self._file.write(json.dumps((unit.id, rows)))
        self._file.write("\n")

    def units(self, kind: Kind, sheet: Sheet, setting: Setting) -> Iterator[Unit]:
        """Every unit that was kept, read again."""
        self._file.seek(0)
        for line in self._file:
            unit_id, rows = json.loads(line)
            read = tuple(
                sheet.row(Raw(number, content if isinstance(content, str) else tuple(content)))
                for number, content in rows
            )
            yield unit_again(kind, read, unit_id, setting)

    def __enter__(self) -> "Spool":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()
