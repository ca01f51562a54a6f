"""Comparing the registers of a file, row by row, with those that its entries give.

Rows of both are read side by side in the order of their keys. The first row of each table that is missing, one too
many or different is named with the entry that it belongs to.
"""

import sqlite3
from collections.abc import Iterator
from typing import Any, NamedTuple

from torquelog.ledger.form import reference

Row = tuple[Any, ...]


class Difference(NamedTuple):
    """A register that is not what the entries give: the table, the entry of the first such row, and what is wrong."""

    table: str
    entry: str
    message: str


class _Table(NamedTuple):
    name: str
    columns: tuple[str, ...]
    key: tuple[int, ...]


def differences(file: sqlite3.Connection, made: sqlite3.Connection) -> Iterator[Difference]:
    """Each table that differs, with its first difference.

    Args:
        file: the record.
        made: the record as its entries give it.
    """
    for table in _tables(made):
        try:
            found = _first(table, file, made)
        except sqlite3.DatabaseError as trouble:
            why = f"The register {table.name} cannot be read: {unreadable(trouble)}"
            found = Difference(table.name, _entry_unreadable(table, file, made), why)
        if found is not None:
            yield found


def _entry_unreadable(table: _Table, file: sqlite3.Connection, made: sqlite3.Connection) -> str:
    """The entry of the first row that differs where bytes that are no text are taken as they are; "" for none."""
    usual = file.text_factory
    file.text_factory = lambda data: data.decode("utf-8", "surrogateescape")
    try:
        found = _first(table, file, made)
    except sqlite3.DatabaseError:
        return ""
    finally:
        file.text_factory = usual
    return found.entry if found else ""


def unreadable(trouble: sqlite3.DatabaseError) -> str:
    """Why something in the file cannot be read, without showing what stands there."""
    return "its text is not UTF-8." if "decode" in str(trouble) else f"SQLite says: {trouble}."


def _tables(made: sqlite3.Connection) -> list[_Table]:
    names = made.execute(
        "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name"
    )
    return [_table(made, name) for (name,) in names.fetchall()]


def _table(made: sqlite3.Connection, name: str) -> _Table:
    facts = made.execute(f"PRAGMA table_info({name})").fetchall()
    columns = tuple(fact[1] for fact in facts)
    places = sorted((fact[5], place) for place, fact in enumerate(facts) if fact[5])
    return _Table(name, columns, tuple(place for _, place in places))


def _rows(connection: sqlite3.Connection, table: _Table) -> Iterator[Row]:
    order = ", ".join(table.columns[place] for place in table.key)
    return iter(connection.execute(f"SELECT {', '.join(table.columns)} FROM {table.name} ORDER BY {order}"))


def _first(table: _Table, file: sqlite3.Connection, made: sqlite3.Connection) -> Difference | None:
    others = _rows(made, table)
    for row in _rows(file, table):
        other = next(others, None)
        if row != other or [type(cell) for cell in row] != [type(cell) for cell in other]:
            return _difference(table, row, other)
    other = next(others, None)
    return None if other is None else _difference(table, None, other)


def _difference(table: _Table, row: Row | None, other: Row | None) -> Difference:
    mine, given = _key(table, row), _key(table, other)
    if mine == given and row is not None and other is not None:
        place = next(
            place for place in range(len(row)) if row[place] != other[place] or _differ(row, other, place)
        )
        what = (
            f"{table.columns[place]} reads {_shown(row[place])}, and the entry gives {_shown(other[place])}"
        )
        return Difference(table.name, _entry(table, row), f"In the register {table.name}, {what}.")
    if given is None or (mine is not None and mine < given):
        return Difference(
            table.name, _entry(table, row), f"In the register {table.name} stands a row that no entry gives."
        )
    return Difference(table.name, _entry(table, other), f"In the register {table.name} a row is missing.")


def _differ(row: Row, other: Row, place: int) -> bool:
    return type(row[place]) is not type(other[place])


def _key(table: _Table, row: Row | None) -> Row | None:
    return None if row is None else tuple(row[place] for place in table.key)


def _entry(table: _Table, row: Row | None) -> str:
    if row is None or table.columns[:2] != ("station", "number"):
        return ""
    return reference(str(row[0]), int(row[1]))


def _shown(cell: object) -> str:
    text = cell.hex() if isinstance(cell, bytes) else str(cell)
    return f'"{text[:60]}"'
