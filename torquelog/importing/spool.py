"""What was judged, kept aside in a nameless file between the judging and the writing, so that both see the same rows."""

import json
import tempfile
from collections.abc import Iterator
from itertools import islice
from types import TracebackType
from typing import Final, NamedTuple

from torquelog.book.rehearsal import Foreseen
from torquelog.importing.sheet import Content, Raw
from torquelog.importing.unit import Unit

IN_A_LINE: Final = 100
"""Units that are written together."""


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
    """Units in order, written once and read again; many of them in a line, as JSON is quickest with much at once."""

    def __init__(self) -> None:
        self._file = tempfile.TemporaryFile("w+", encoding="utf-8", newline="\n")  # noqa: SIM115  closed at the end
        self._open: list[Kept] = []

    def add(self, unit: Unit, outcome: str, foreseen: Foreseen | None) -> None:
        """Keep a unit."""
        self._open.append(Kept(unit.id, tuple(row.raw for row in unit.rows), outcome, foreseen))
        if len(self._open) == IN_A_LINE:
            self._flush()

    def _flush(self) -> None:
        # Once reading has begun nothing may be written any more: it would go to where the reading stands.
        if not self._open:
            return
        self._file.write(json.dumps(self._open, check_circular=False))
        self._file.write("\n")
        self._open.clear()

    def kept(self, start: int = 0) -> Iterator[Kept]:
        """Every unit that was kept, from the one at a place on, read as it is asked for; then nothing is added."""
        self._flush()
        self._file.flush()
        return islice(self._read(), start, None)

    def _read(self) -> Iterator[Kept]:
        self._file.seek(0)
        for line in self._file:
            for unit_id, rows, outcome, foreseen in json.loads(line):
                raws = tuple([Raw(number, _content(content)) for number, content in rows])
                yield Kept(unit_id, raws, outcome, foreseen and Foreseen(*foreseen))

    def __enter__(self) -> "Spool":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()


def _content(kept: str | list[str]) -> Content:
    return kept if isinstance(kept, str) else tuple(kept)
