"""Facts about the triggers, shown on connections without an authorizer, as another program would come."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing

import pytest

from tests.ledger import small
from tests.ledger.guarding import openings
from torquelog.ledger import store
from torquelog.ledger.guards import follows_head, guards
from torquelog.ledger.tables import LEDGER_SCHEMA

BARE = "CREATE TABLE bare (a TEXT, b INTEGER, c BLOB, PRIMARY KEY (a, b), UNIQUE (c)) STRICT;"
EVERY_KEY = [("a", "b"), ("c",), ("rowid",)]


@pytest.fixture
def bare() -> Iterator[sqlite3.Connection]:
    """The ledger's own tables with one entry, on a connection that knows nothing of us."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        connection.executescript(LEDGER_SCHEMA)
        store.set_home(connection, small.STATION)
        small.put(connection, 1)
        yield connection


def test_the_ledgers_own_tables_leave_nothing_open():
    """No update, no removal, no replacement through any unique key, the hidden row number included."""
    assert openings(LEDGER_SCHEMA) == []


def test_an_unguarded_table_is_found_open_everywhere():
    """The attack itself works: without guards every way is open."""
    assert openings(BARE) == [
        "bare: update of a",
        "bare: update of b",
        "bare: update of c",
        "bare: delete",
        "bare: replace through c",
        "bare: replace through a, b",
        "bare: replace through rowid",
    ]


@pytest.mark.parametrize("missing", EVERY_KEY)
def test_each_unique_key_needs_its_guard(missing: tuple[str, ...]):
    """With one key's guard left out, exactly that key lets a replacement through."""
    kept = [key for key in EVERY_KEY if key != missing]
    assert openings(BARE + guards("bare", kept)) == [f"bare: replace through {', '.join(missing)}"]
    assert openings(BARE + guards("bare", EVERY_KEY)) == []


def test_a_guard_is_this_sql():
    """Every record bears these texts, and its schema's digest covers them."""
    assert guards("bare", [("a", "b")]) == (
        "CREATE TRIGGER bare_no_update BEFORE UPDATE ON bare "
        "BEGIN SELECT RAISE(ABORT, 'bare: rows are never changed'); END;\n"
        "CREATE TRIGGER bare_no_delete BEFORE DELETE ON bare "
        "BEGIN SELECT RAISE(ABORT, 'bare: rows are never removed'); END;\n"
        "CREATE TRIGGER bare_once_a_b BEFORE INSERT ON bare "
        "WHEN EXISTS (SELECT 1 FROM bare WHERE a = NEW.a AND b = NEW.b) "
        "BEGIN SELECT RAISE(ABORT, 'bare: a, b is on record already'); END;\n"
    )


def test_the_guard_of_a_tally_is_this_sql():
    """Each column of its keys once, and not the hidden row number, which no statement of ours names."""
    assert guards("tally", [("a", "b"), ("rowid",), ("b", "c")], mutable=True) == (
        "CREATE TRIGGER tally_keeps_key BEFORE UPDATE OF a, b, c ON tally "
        "BEGIN SELECT RAISE(ABORT, 'tally: keys never change'); END;\n"
    )


def test_the_guard_of_the_order_is_this_sql():
    """One more than the newest of its own chain, which is none at first."""
    assert follows_head("bare", "a", "b") == (
        "CREATE TRIGGER bare_follows_head BEFORE INSERT ON bare "
        "WHEN NEW.b IS NOT coalesce((SELECT max(b) FROM bare WHERE a = NEW.a), 0) + 1 "
        "BEGIN SELECT RAISE(ABORT, 'bare: number is not head + 1'); END;\n"
    )


def triggers() -> list[str]:
    """The names of all triggers of the ledger's own tables."""
    with closing(sqlite3.connect(":memory:")) as connection:
        connection.executescript(LEDGER_SCHEMA)
        rows = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger' ORDER BY name")
        return [name for (name,) in rows]


def test_the_triggers_are_these():
    """A guard that vanishes from the schema is missed here by its name."""
    assert triggers() == [
        "entry_follows_head",
        "entry_no_delete",
        "entry_no_update",
        "entry_once_rowid",
        "entry_once_station_id",
        "entry_once_station_number",
        "home_no_delete",
        "home_no_update",
        "home_once_position",
    ]


@pytest.mark.parametrize("name", [name for name in triggers() if not name.startswith("entry_once_station_n")])
def test_each_trigger_closes_something(name: str):
    """Dropping any of them opens a way; only a number met twice is stopped by two."""
    schema = f"{LEDGER_SCHEMA}DROP TRIGGER {name};"
    if name == "entry_follows_head":
        with closing(sqlite3.connect(":memory:")) as connection:
            connection.executescript(schema)
            small.put(connection, 2)
    else:
        assert openings(schema)


def test_a_number_met_twice_is_stopped_twice():
    """The guard of the key and the one of the order each suffice."""
    for name in ("entry_once_station_number", "entry_follows_head"):
        assert openings(f"{LEDGER_SCHEMA}DROP TRIGGER {name};") == []
    both = f"{LEDGER_SCHEMA}DROP TRIGGER entry_once_station_number;DROP TRIGGER entry_follows_head;"
    assert openings(both) == ["entry: replace through station, number"]


@pytest.mark.parametrize("number", [1, 3, 0, 2**62])
def test_only_the_next_number_is_taken(bare: sqlite3.Connection, number: int):
    """Neither a gap nor an earlier place can be filled."""
    with pytest.raises(sqlite3.IntegrityError):
        small.put(bare, number)


def test_each_chain_counts_for_itself(bare: sqlite3.Connection):
    """Another station's chain begins at 1 and may bear an id that is used here."""
    store.insert_entry(bare, "{}", "OTH", 1, small.identifier(1), "ab" * 64)
    small.put(bare, 2)
    assert store.stations(bare) == ("OTH", "QHR")


@pytest.mark.parametrize(
    "statement",
    [
        "INSERT OR IGNORE INTO entry SELECT * FROM entry",
        "INSERT OR REPLACE INTO entry SELECT * FROM entry",
        "INSERT OR ROLLBACK INTO entry SELECT * FROM entry",
        "REPLACE INTO entry (rowid, station, number, id, text, signature) "
        "SELECT rowid, station, 2, zeroblob(16), text, signature FROM entry",
        "INSERT INTO entry SELECT * FROM entry WHERE true ON CONFLICT DO UPDATE SET text = ''",
        "UPDATE OR REPLACE entry SET number = 2",
        "UPDATE OR IGNORE entry SET text = ''",
        "UPDATE entry SET number = number WHERE number = 1",
    ],
)
def test_no_conflict_clause_goes_around(bare: sqlite3.Connection, statement: str):
    """REPLACE, IGNORE and upserts end at the guards like anything else."""
    before = bare.execute("SELECT rowid, * FROM entry").fetchall()
    with pytest.raises(sqlite3.IntegrityError):
        bare.execute(statement)
    assert bare.execute("SELECT rowid, * FROM entry").fetchall() == before


@pytest.mark.parametrize(
    "row",
    [
        ("QHR", 2, b"\0" * 15, "{}", b"\0" * 64),
        ("QHR", 2, b"\0" * 16, "{}", b"\0" * 63),
        ("QHR", 2, "0" * 16, "{}", b"\0" * 64),
        ("QHR", 2, b"\0" * 16, None, b"\0" * 64),
        ("QHR", 2, b"\0" * 16, b"{}", b"\0" * 64),
        (None, 1, b"\0" * 16, "{}", b"\0" * 64),
        ("OTH", 0, b"\0" * 16, "{}", b"\0" * 64),
    ],
)
def test_only_whole_entries_are_taken(bare: sqlite3.Connection, row: tuple[object, ...]):
    """A short id, a missing text or a cell of another type has no place."""
    with pytest.raises(sqlite3.IntegrityError):
        bare.execute("INSERT INTO entry (station, number, id, text, signature) VALUES (?, ?, ?, ?, ?)", row)
