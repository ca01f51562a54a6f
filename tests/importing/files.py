"""Files for tests of the import: rows as CSV or as JSON Lines, and the rows of a wheel."""

import csv
import io
import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from tests.support.story import Story
from torquelog.importing.bringing import bring_in
from torquelog.importing.kinds import KINDS
from torquelog.importing.rejects import Rejects
from torquelog.importing.setting import Setting
from torquelog.importing.sheet import Row, Sheet
from torquelog.importing.tally import Tally
from torquelog.importing.ways import Ways

Cells = Mapping[str, str]

READING: dict[str, str] = {
    "job": "J-1", "fastener": "tie-bolt:1", "reading": "100", "unit": "NU", "wrench": "W-0417", "by": "TK",
    "at": "2026-11-25 09:00",
}  # fmt: skip
"""A reading within the limits of the scene's wheel, this morning."""

WRENCH: dict[str, str] = {
    "number": "W-0601", "type": "setting", "range": "20..100", "unit": "M92", "graduation": "0.5", "lever": "12 in",
    "accuracy": "4 %", "every": "12 months", "cycles": "5000", "maker": "Exemplar", "serial": "1188-04",
}  # fmt: skip

RESULT: dict[str, str] = {
    "number": "W-0417", "certificate": "C-77", "on": "2026-11-20", "laboratory": "Lab", "state": "as-left",
    "direction": "cw", "indicated": "20", "reference": "20.1", "unit": "NU",
}  # fmt: skip

ASSEMBLY: dict[str, str] = {"serial": "WH-3001", "part": "EX-4410-1", "kind": "wheel"}


def reading(item: int = 1, minute: int = 0, **cells: str) -> dict[str, str]:
    """A row of a reading; each fastener and minute another one."""
    return {**READING, "fastener": f"tie-bolt:{item}", "at": f"2026-11-25 09:{minute:02}", **cells}


def csv_of(rows: Sequence[Cells], delimiter: str = ",", names: Sequence[str] = ()) -> str:
    """Rows as CSV under a header of all their names."""
    header = list(names) or list(dict.fromkeys(name for row in rows for name in row))
    out = io.StringIO()
    table = csv.writer(out, delimiter=delimiter, lineterminator="\n")
    table.writerow(header)
    table.writerows([row.get(name, "") for name in header] for row in rows)
    return out.getvalue()


def json_of(rows: Sequence[Mapping[str, Any]]) -> str:
    """Rows as JSON Lines."""
    return "".join(json.dumps(row, ensure_ascii=False) + "\n" for row in rows)


def sheet_of(content: str | bytes, kind: str = "readings", **more: Any) -> Sheet:
    """A file of a kind, open, its bytes in small pieces."""
    return Sheet(kind, pieces(content), **more)


def pieces(content: str | bytes, size: int = 37) -> Iterator[bytes]:
    """Bytes in pieces that end anywhere."""
    data = content.encode() if isinstance(content, str) else content
    return (data[start : start + size] for start in range(0, len(data), size))


def rows_of(content: str | bytes, kind: str = "readings", **more: Any) -> list[Row]:
    """The rows of a file."""
    return list(sheet_of(content, kind, **more).rows())


def bring(
    story: Story, content: str | bytes, kind: str = "readings", *, rejects: io.StringIO | None = None,
    why: str = "", accept: bool = False, decimal_comma: bool = False, **ways: Any,
) -> Tally:  # fmt: skip
    """Bring a file into a story's record, signed by TK."""
    sheet = sheet_of(content, kind, decimal_comma=decimal_comma)
    setting = Setting(story.book.zone, "TK", why, accept)
    taken = None if rejects is None else Rejects(sheet, lambda: rejects)
    return bring_in(
        story.book,
        story.signed["TK"],
        KINDS[kind],
        sheet,
        Ways(setting, rejects=taken, pause=lambda _: None, **ways),
    )


def wrongs(tally: Tally) -> list[tuple[int, str, str]]:
    """What was found wrong: line, column, code."""
    return [(each.line, each.wrong.column, each.wrong.error.code) for each in tally.shown]
