"""Tables as CSV (RFC 4180, with a heading, lines ending in one line feed)."""

import re
from collections.abc import Mapping, Sequence
from typing import Final, TextIO

from torquelog.cli.answer import Json, Table
from torquelog.cli.text import ascii_only, visible

FORMULA: Final = tuple("=+-@＝＋－＠")
"""How a cell begins that spreadsheets compute; the wide forms are computed by those that read East Asian text."""

NUMBER: Final = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?")


class Plain:
    """Passes on what is written, in ASCII."""

    def __init__(self, out: TextIO) -> None:
        self._out = out

    def write(self, text: str) -> int:
        """Write a piece."""
        return self._out.write(ascii_only(text))


def write_csv(table: Table, out: TextIO, *, plain: bool = False) -> None:
    """Write the same, record by record; `plain` in ASCII, for an output that cannot show every sign."""
    import csv

    writer = csv.writer(Plain(out) if plain else out, lineterminator="\n")
    if table.records or table.fields:
        records = map(flat, table.records)
        fields = table.fields or tuple(flat(next(iter(table.records))))
        writer.writerow(fields)
        writer.writerows([cell(record.get(field)) for field in fields] for record in records)
    else:
        writer.writerow(column.title for column in table.columns)
        writer.writerows([guarded(each) for each in row] for row in table.rows)


def flat(record: Mapping[str, Json], before: str = "") -> dict[str, Json]:
    """The record with a mapping inside it spread over columns: "limits" with "low" becomes "limits_low"."""
    spread: dict[str, Json] = {}
    for name, value in record.items():
        if isinstance(value, Mapping):
            spread.update(flat(value, f"{before}{name}_"))
        else:
            spread[before + name] = value
    return spread


def cell(value: Json) -> str:
    """One value as CSV shows it: nothing for null, true and false as words, lists with semicolons, names with values."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        return " ".join(f"{name}={cell(each)}" for name, each in value.items())
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "; ".join(map(cell, value))
    return guarded(str(value))


def guarded(text: str) -> str:
    """A text that a spreadsheet does not compute: an apostrophe in front of what begins like a formula.

    A number with its sign is left as it is. The reader of CSV takes the apostrophe off again. What cannot be seen is
    written out, but for line breaks, which a cell may have.
    """
    shown = text if text.isprintable() else "\n".join(map(visible, text.split("\n")))
    return f"'{shown}" if shown[:1] in FORMULA and not NUMBER.fullmatch(shown) else shown
