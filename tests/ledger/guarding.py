"""What a schema leaves open: every table is attacked from a connection that knows no authorizer.

Each table gets one made-up row. Then that row is changed, removed, and replaced through each of its unique
keys in turn; whatever gets through is named.
"""

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing
from itertools import product
from typing import NamedTuple

Cell = int | str | bytes | float
Row = dict[str, Cell]
FIRST: Row = {"INTEGER": 1, "TEXT": "a", "BLOB": b"a", "REAL": 1.5, "ANY": "a"}
OTHER: Row = {"INTEGER": 2, "TEXT": "b", "BLOB": b"b", "REAL": 2.5, "ANY": "b"}


class Table(NamedTuple):
    """A table as SQLite describes it: its columns with their types, and its unique keys."""

    name: str
    columns: dict[str, str]
    keys: list[tuple[str, ...]]


def tables(connection: sqlite3.Connection) -> Iterator[Table]:
    """Every table of the schema, the hidden rowid among the keys of those that have one."""
    listed = connection.execute("PRAGMA main.table_list").fetchall()
    for _, name, kind, _, without_rowid, _ in listed:
        if kind != "table" or name.startswith("sqlite_"):
            continue
        described = connection.execute(f"PRAGMA table_info({name})").fetchall()
        columns = {column: declared for _, column, declared, *_ in described}
        keys = [
            tuple(row[2] for row in connection.execute(f"PRAGMA index_info({index})").fetchall())
            for _, index, unique, *_ in connection.execute(f"PRAGMA index_list({name})").fetchall()
            if unique
        ]
        yield Table(name, columns, keys if without_rowid else [*keys, ("rowid",)])


def openings(schema: str, mutable: Sequence[str] = ("cycle_tally",)) -> list[str]:
    """Every way, as "table: how", in which a row of this schema can be changed, removed or replaced."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        connection.executescript(schema)
        connection.execute("PRAGMA ignore_check_constraints = ON")
        return [
            f"{table.name}: {how}"
            for table in tables(connection)
            if table.name not in mutable
            for how in _ways(connection, table)
        ]


def _ways(connection: sqlite3.Connection, table: Table) -> Iterator[str]:
    first = {column: FIRST[kind] for column, kind in table.columns.items()}
    _insert(connection, "INSERT", table, first)
    rowid = {} if ("rowid",) not in table.keys else {"rowid": _rowid(connection, table)}
    before = _rows(connection, table)
    for column in table.columns:
        if _changes(connection, table, before, f"UPDATE {table.name} SET {column} = {column}"):
            yield f"update of {column}"
    if _changes(connection, table, before, f"DELETE FROM {table.name}"):
        yield "delete"
    for key in table.keys:
        attacks = _attacks(table, first | rowid, key)
        if any(_replaces(connection, table, before, attack) for attack in attacks):
            yield f"replace through {', '.join(key)}"


def _attacks(table: Table, first: Row, key: tuple[str, ...]) -> Iterator[Row]:
    """Rows that meet the first one in this key and in no other; each kind of cell as it was or not."""
    for changed in product((False, True), repeat=len(FIRST)):
        cells = {
            kind: (OTHER if change else FIRST)[kind] for kind, change in zip(FIRST, changed, strict=True)
        }
        row = {column: cells[kind] for column, kind in table.columns.items()}
        row |= {column: first[column] for column in key}
        others = [other for other in table.keys if other not in (key, ("rowid",))]
        if all(any(row[column] != first[column] for column in other) for other in others):
            yield row


def _insert(connection: sqlite3.Connection, verb: str, table: Table, row: Row) -> None:
    places = ", ".join("?" * len(row))
    connection.execute(f"{verb} INTO {table.name} ({', '.join(row)}) VALUES ({places})", tuple(row.values()))


def _rowid(connection: sqlite3.Connection, table: Table) -> int:
    return int(connection.execute(f"SELECT max(rowid) FROM {table.name}").fetchone()[0])


def _rows(connection: sqlite3.Connection, table: Table) -> list[tuple[Cell, ...]]:
    return connection.execute(f"SELECT * FROM {table.name}").fetchall()


def _changes(connection: sqlite3.Connection, table: Table, before: list[tuple[Cell, ...]], text: str) -> bool:
    """Whether a statement gets through; what it did is undone."""
    connection.execute("SAVEPOINT attack")
    try:
        connection.execute(text)
    except sqlite3.IntegrityError:
        through = False
    else:
        through = True
    connection.execute("ROLLBACK TO attack")
    connection.execute("RELEASE attack")
    assert _rows(connection, table) == before
    return through


def _replaces(connection: sqlite3.Connection, table: Table, before: list[tuple[Cell, ...]], row: Row) -> bool:
    """Whether REPLACE removes the row that is there; what it did is undone."""
    connection.execute("SAVEPOINT attack")
    try:
        _insert(connection, "INSERT OR REPLACE", table, row)
    except sqlite3.IntegrityError:
        through = False
    else:
        through = before[-1] not in _rows(connection, table)
    connection.execute("ROLLBACK TO attack")
    connection.execute("RELEASE attack")
    assert _rows(connection, table) == before
    return through
