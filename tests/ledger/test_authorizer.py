"""Facts about what statements on our connections may do."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.ledger import small
from torquelog.ledger import authorizer, database
from torquelog.ledger.guards import guards
from torquelog.ledger.tables import LEDGER_SCHEMA

TALLY = (
    "CREATE TABLE cycle_tally (tool TEXT PRIMARY KEY, cycles INTEGER NOT NULL) STRICT, WITHOUT ROWID;"
    + guards("cycle_tally", [("tool",)], mutable=True)
)
FACT = "CREATE TABLE fact (number INTEGER PRIMARY KEY, word TEXT) STRICT;" + guards("fact", [("number",)])
SCHEMA = LEDGER_SCHEMA + TALLY + FACT + "CREATE VIEW public_fact AS SELECT number, word FROM fact;"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    def fill(connection: sqlite3.Connection) -> None:
        small.put(connection, 1)
        connection.execute("INSERT INTO fact VALUES (1, 'one')")
        connection.execute("INSERT INTO cycle_tally VALUES ('W1', 5)")

    path = tmp_path / "ledger.db"
    database.create(path, SCHEMA, fill).close()
    return path


@pytest.fixture
def daily(path: Path) -> Iterator[sqlite3.Connection]:
    with closing(database.connect(path, "write")) as connection:
        yield connection


@pytest.fixture
def building(path: Path) -> Iterator[sqlite3.Connection]:
    with closing(database.connect(path, "migrate")) as connection:
        yield connection


REFUSAL = r"not authorized|authorization denied|may not be modified"
NEVER = [
    "DELETE FROM entry",
    "UPDATE entry SET text = ''",
    "UPDATE home SET station = 'OTH'",
    "DELETE FROM home",
    "DROP TABLE entry",
    "DROP TABLE home",
    "ATTACH DATABASE ':memory:' AS other",
    "DETACH DATABASE main",
    "PRAGMA writable_schema = ON",
    "PRAGMA synchronous = OFF",
    "PRAGMA recursive_triggers = ON",
    "PRAGMA ignore_check_constraints = ON",
    "PRAGMA legacy_alter_table = ON",
    "PRAGMA trusted_schema = ON",
    "PRAGMA locking_mode = EXCLUSIVE",
    "SELECT load_extension('nothing')",
    "PRAGMA application_id = 1",
    "PRAGMA journal_mode = DELETE",
    "PRAGMA optimize",
    "PRAGMA incremental_vacuum",
]
NOT_DAILY = [
    "UPDATE fact SET word = 'two'",
    "DELETE FROM fact",
    "INSERT INTO sqlite_schema VALUES ('table', 'x', 'x', 2, 'CREATE TABLE x (y)')",
    "UPDATE sqlite_schema SET sql = ''",
    "DELETE FROM sqlite_schema",
    "CREATE TABLE more (word)",
    "CREATE TEMP TABLE more (word)",
    "CREATE VIEW more AS SELECT 1",
    "CREATE TEMP VIEW more AS SELECT 1",
    "CREATE INDEX more ON fact (word)",
    "CREATE TRIGGER more AFTER INSERT ON fact BEGIN SELECT 1; END",
    "CREATE TEMP TRIGGER more AFTER INSERT ON fact BEGIN SELECT 1; END",
    "CREATE VIRTUAL TABLE more USING fts5 (word)",
    "DROP TABLE fact",
    "DROP VIEW public_fact",
    "DROP TRIGGER fact_no_update",
    "ALTER TABLE fact ADD COLUMN more",
    "ALTER TABLE fact RENAME TO more",
    "ALTER TABLE entry RENAME COLUMN text TO words",
    "ANALYZE",
    "REINDEX",
    "VACUUM",
    "PRAGMA user_version = 7",
]


@pytest.mark.parametrize("statement", NEVER + NOT_DAILY)
def test_a_daily_connection_refuses(daily: sqlite3.Connection, statement: str):
    """Whatever could change the record or loosen a guard is refused before it runs."""
    before = contents(daily)
    with pytest.raises(sqlite3.DatabaseError, match=REFUSAL):
        daily.execute(statement)
    assert contents(daily) == before


@pytest.mark.parametrize("statement", NEVER)
def test_a_migration_refuses(building: sqlite3.Connection, statement: str):
    """Not even a migration may touch the entries, reach another file or loosen a guard."""
    before = contents(building)
    with pytest.raises(sqlite3.DatabaseError, match=REFUSAL):
        building.execute(statement)
    assert contents(building) == before


@pytest.mark.parametrize(
    "statement",
    [
        "INSERT INTO fact VALUES (2, 'two')",
        "INSERT INTO fact SELECT 2, upper('two')",
        "UPDATE cycle_tally SET cycles = cycles + 1",
        "DELETE FROM cycle_tally",
        "INSERT INTO cycle_tally VALUES ('W1', 1) ON CONFLICT DO UPDATE SET cycles = cycles + 1",
        "WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 3) SELECT max(i) FROM n",
        "SELECT word FROM public_fact",
        "SAVEPOINT here",
        "PRAGMA quick_check",
        "PRAGMA integrity_check",
        "PRAGMA table_info(fact)",
        "PRAGMA table_xinfo(fact)",
        "PRAGMA table_list",
        "PRAGMA index_list(fact)",
        "PRAGMA index_info(sqlite_autoindex_entry_1)",
        "PRAGMA index_xinfo(sqlite_autoindex_entry_1)",
        "PRAGMA compile_options",
        "PRAGMA database_list",
        "PRAGMA encoding",
        "PRAGMA freelist_count",
        "PRAGMA page_size",
        "PRAGMA schema_version",
        "PRAGMA data_version",
        "PRAGMA journal_mode",
        "PRAGMA synchronous",
        "PRAGMA wal_checkpoint(PASSIVE)",
        "EXPLAIN QUERY PLAN SELECT 1 FROM fact",
    ],
)
def test_a_daily_connection_allows(daily: sqlite3.Connection, statement: str):
    """Reading, adding, counting and checking is what the day needs."""
    daily.execute(statement).fetchall()


def test_a_migration_rebuilds_registers(building: sqlite3.Connection):
    """Registers can be dropped, made and filled again, and the format raised."""
    with database.transaction(building):
        for statement in ("DROP VIEW public_fact", "DROP TABLE fact", "CREATE TABLE fact (number INTEGER)"):
            building.execute(statement)
        building.execute("INSERT INTO fact VALUES (7)")
        building.execute("ALTER TABLE fact ADD COLUMN word TEXT")
        building.execute("PRAGMA user_version = 2")
    assert building.execute("SELECT number FROM fact").fetchall() == [(7,)]
    assert building.execute("PRAGMA user_version").fetchone() == (2,)


@pytest.mark.parametrize(
    ("action", "first", "second"),
    [
        (sqlite3.SQLITE_FUNCTION, None, "load_extension"),
        (sqlite3.SQLITE_INSERT, "sqlite_sequence", None),
        (sqlite3.SQLITE_INSERT, "sqlite_stat1", None),
        (sqlite3.SQLITE_INSERT, None, None),
        (9999, None, None),
    ],
)
def test_what_sqlite_itself_would_refuse_is_refused_first(action: int, first: str | None, second: str | None):
    """No setting of a connection, and no newer SQLite with new actions, opens these."""
    assert authorizer.daily(action, first, second, "main", None) == sqlite3.SQLITE_DENY


@pytest.mark.parametrize("action", [sqlite3.SQLITE_ATTACH, sqlite3.SQLITE_DETACH])
def test_a_migration_reaches_no_file_of_whatever_name(action: int):
    """A file that bears the name of a pragma is another file."""
    assert authorizer.building(action, "user_version", None, None, None) == sqlite3.SQLITE_DENY
    assert authorizer.building(sqlite3.SQLITE_PRAGMA, "user_version", "2", "main") == sqlite3.SQLITE_OK


def test_keys_of_a_tally_stay(daily: sqlite3.Connection):
    """A running sum may change, never whose sum it is."""
    with pytest.raises(sqlite3.IntegrityError, match="keys never change"):
        daily.execute("UPDATE cycle_tally SET tool = 'W2'")


def test_asked_when_prepared_only(path: Path):
    """A cached statement is not asked about again, so the guard costs nothing on a hot path."""
    asked: list[int] = []

    def count(action: int, *_: object) -> int:
        asked.append(action)
        return sqlite3.SQLITE_OK

    with closing(database.connect(path, "write")) as connection:
        connection.set_authorizer(count)
        for number in range(2, 12):
            connection.execute("INSERT INTO fact VALUES (?, ?)", (number, "more"))
        first = len(asked)
        connection.execute("INSERT INTO fact VALUES (?, ?)", (12, "more"))
        assert len(asked) == first


def contents(connection: sqlite3.Connection) -> list[object]:
    """Everything that a refused statement could have changed."""
    found: list[object] = [database.schema_digest(connection)]
    for table in ("entry", "home", "fact", "cycle_tally"):
        found += connection.execute(f"SELECT * FROM {table}").fetchall()
    for name in ("application_id", "user_version", "journal_mode", "synchronous", "trusted_schema"):
        found += connection.execute(f"PRAGMA {name}").fetchall()
    return found
