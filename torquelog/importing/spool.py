"""What was judged, kept aside in a nameless file between the judging and the writing, so that both see the same rows."""

import json
import tempfile
from collections.abc import Iterator
from types import TracebackType
from typing import NamedTuple

from torquelog.book.rehearsal import Foreseen
from torquelog.importing.sheet import Content, Raw
from torquelog.importing.unit import Unit


class Kept(NamedTuple):
    """A unit that was judged and is not written yet.

    Attributes:
        id: of its entry.
        rows: as they stand in the file.
        outcome: as it was judged.
        foreseen: its entry as it was rehearsed, where it may be written so.
    """

    id: str
    rows: tuple[Raw, ...]
    outcome: str
    foreseen: Foreseen | None


class Spool:
    """Units in order, written once and read again; each in two lines, the second the body that was foreseen."""

    def __init__(self) -> None:
        self._file = tempfile.TemporaryFile("w+", encoding="utf-8", newline="\n")  # noqa: SIM115  closed at the end
        self._write = json.JSONEncoder(check_circular=False, separators=(",", ":")).encode

    def add(self, unit: Unit, outcome: str, foreseen: Foreseen | None) -> None:
        """Keep a unit."""
        rows = [row.raw for row in unit.rows]
        number, until, body = (foreseen.number, foreseen.until, foreseen.body) if foreseen else (0, 0, "")
        self._file.write(f"{self._write((unit.id, rows, outcome, number, until))}\n{body}\n")

    def kept(self) -> Iterator[Kept]:
        """Every unit that was kept, read as it is asked for."""
        self._file.seek(0)
        lines = iter(self._file)
        for line in lines:
            unit_id, rows, outcome, number, until = json.loads(line)
            body = next(lines)[:-1]
            foreseen = Foreseen(number, unit_id, body, until) if body else None
            yield Kept(unit_id, tuple(Raw(place, _content(each)) for place, each in rows), outcome, foreseen)

    def __enter__(self) -> "Spool":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()


def _content(kept: str | list[str]) -> Content:
    return kept if isinstance(kept, str) else tuple(kept)
