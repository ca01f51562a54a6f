"""The ledger's own tables, cell by cell."""

import sqlite3
from contextlib import closing

from torquelog.ledger.tables import LEDGER_SCHEMA

TABLES = {
    "entry": [
        ("station", "TEXT", 1, 1),
        ("number", "INTEGER", 1, 2),
        ("id", "BLOB", 1, 0),
        ("text", "TEXT", 1, 0),
        ("signature", "BLOB", 1, 0),
    ],
    "home": [("position", "INTEGER", 0, 1), ("station", "TEXT", 1, 0)],
}
GUARDS = {
    "entry_follows_head": "WHERE station = NEW.station",
    "entry_no_delete": "DELETE ON entry ",
    "entry_no_update": "UPDATE ON entry ",
    "entry_once_rowid": "WHERE rowid = NEW.rowid)",
    "entry_once_station_id": "WHERE station = NEW.station AND id = NEW.id)",
    "entry_once_station_number": "WHERE station = NEW.station AND number = NEW.number)",
    "home_no_delete": "DELETE ON home ",
    "home_no_update": "UPDATE ON home ",
    "home_once_position": "WHERE position = NEW.position)",
}


def test_the_tables_and_their_guards_are_these() -> None:
    """Every record has them: columns with type, whether they may be empty, and place in the key; a guard for each key."""
    with closing(sqlite3.connect(":memory:")) as connection:
        connection.executescript(LEDGER_SCHEMA)
        for table, columns in TABLES.items():
            described = connection.execute(f"PRAGMA table_info({table})").fetchall()
            assert [(name, kind, full, key) for _, name, kind, full, _, key in described] == columns
        rows = connection.execute("SELECT name, tbl_name, sql FROM sqlite_schema WHERE type = 'trigger'")
        found = {name: (table, sql) for name, table, sql in rows}
    assert sorted(found) == sorted(GUARDS)
    for name, told in GUARDS.items():
        table, sql = found[name]
        assert name.startswith(f"{table}_")
        assert told in sql
    assert "NEW.number IS NOT coalesce((SELECT max(number) FROM entry" in found["entry_follows_head"][1]
