"""Tables as CSV (RFC 4180, with a heading, lines ending in one line feed)."""

from collections.abc import Mapping, Sequence
from io import StringIO

from torquelog.cli.answer import Json, Table


def csv_text(table: Table) -> str:
    """The table's records, or its printed cells where it has none."""
    import csv

    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    if table.records or table.fields:
        records = [flat(record) for record in table.records]
        fields = table.fields or tuple(records[0])
        writer.writerow(fields)
        writer.writerows([cell(record.get(field)) for field in fields] for record in records)
    else:
        writer.writerow(column.title for column in table.columns)
        writer.writerows(table.rows)
    return out.getvalue()


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
    """One value as CSV shows it: nothing for null, true and false as words, lists with semicolons."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "; ".join(map(cell, value))
    return str(value)
