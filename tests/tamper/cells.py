"""Every stored cell of a record, and the flips of one bit of each of its bytes; by SQL of our own, around every guard."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import NamedTuple

from torquelog.book.verification import verify
from torquelog.book.verified import Finding
from torquelog.ledger import store

Value = int | str | bytes | None


class Table(NamedTuple):
    """A table as SQLite describes it: name, columns, and the columns of its key."""

    name: str
    columns: tuple[str, ...]
    key: tuple[str, ...]


class Cell(NamedTuple):
    """One stored cell: its table and column, the key of its row, its type, and its bytes as stored (none for NULL)."""

    table: Table
    column: str
    key: tuple[Value, ...]
    kind: str
    stored: bytes

    @property
    def entries(self) -> set[str]:
        """The entry that its row belongs to, if its table says so."""
        named = dict(zip(self.table.key, self.key, strict=True))
        if not {"station", "number"} <= named.keys():
            return set()
        return {f"{named['station']}-{int(str(named['number'])):06d}"}

    def __str__(self) -> str:
        return f"{self.table.name}.{self.column} of {self.key}"


def tables(connection: sqlite3.Connection) -> Iterator[Table]:
    """Every table."""
    names = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name").fetchall()
    for (name,) in names:
        described = connection.execute(f"PRAGMA table_info({name})").fetchall()
        keyed = sorted((row[5], row[1]) for row in described if row[5])
        yield Table(name, tuple(row[1] for row in described), tuple(column for _, column in keyed))


def cells(connection: sqlite3.Connection, *names: str) -> Iterator[Cell]:
    """Every cell of every table, or of these."""
    for table in tables(connection):
        if names and table.name not in names:
            continue
        order = ", ".join(table.key)
        for key in connection.execute(f"SELECT {order} FROM {table.name} ORDER BY {order}").fetchall():
            for column in table.columns:
                asked = f"SELECT typeof({column}), CAST({column} AS BLOB), {column} FROM {table.name}"
                kind, data, value = connection.execute(f"{asked} WHERE {_where(table)}", key).fetchone()
                yield Cell(table, column, key, kind, _whole(value) if kind == "integer" else data or b"")


def _where(table: Table) -> str:
    return " AND ".join(f"{column} = ?" for column in table.key)


def _whole(value: int) -> bytes:
    """A whole number as the file holds it: big-endian, in as few bytes of 1, 2, 3, 4, 6 or 8 as it takes."""
    width = next(width for width in (1, 2, 3, 4, 6, 8) if -(1 << 8 * width - 1) <= value < 1 << 8 * width - 1)
    return value.to_bytes(width, "big", signed=True)


def flip(cell: Cell, place: int, bit: int) -> bytes:
    """The cell's bytes with one bit of one byte the other way."""
    changed = bytearray(cell.stored)
    changed[place] ^= 1 << bit
    return bytes(changed)


def literal(cell: Cell, data: bytes) -> str:
    """SQL for a cell of the same kind with these bytes."""
    if cell.kind == "integer":
        return str(int.from_bytes(data, "big", signed=True))
    return f"x'{data.hex()}'" if cell.kind == "blob" else f"CAST(x'{data.hex()}' AS TEXT)"


@contextmanager
def written(connection: sqlite3.Connection, cell: Cell, text: str) -> Iterator[bool]:
    """Write SQL into a cell for the length of the block; says whether the tables' own rules let it in."""
    connection.execute("SAVEPOINT flip")
    try:
        statement = f"UPDATE {cell.table.name} SET {cell.column} = {text} WHERE {_where(cell.table)}"
        connection.execute(statement, cell.key)
        connection.execute("RELEASE flip")
    except sqlite3.IntegrityError:
        connection.execute("ROLLBACK TO flip")
        connection.execute("RELEASE flip")
        yield False
        return
    try:
        yield True
    finally:
        _put_back(connection, cell, text)


def _put_back(connection: sqlite3.Connection, cell: Cell, text: str) -> None:
    where = [f"{column} = {text}" if column == cell.column else f"{column} = ?" for column in cell.table.key]
    key = [value for column, value in zip(cell.table.key, cell.key, strict=True) if column != cell.column]
    old = "NULL" if cell.kind == "null" else literal(cell, cell.stored)
    done = connection.execute(
        f"UPDATE {cell.table.name} SET {cell.column} = {old} WHERE {' AND '.join(where)}", key
    )
    assert done.rowcount == 1, cell


def findings(connection: sqlite3.Connection) -> tuple[Finding, ...]:
    """What verification finds in a record."""
    home = store.own_station(connection)
    return verify(connection, home or "").findings
