"""Facts about entries as rows."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.ledger import small
from torquelog.ledger import database, store
from torquelog.ledger.tables import LEDGER_SCHEMA


@pytest.fixture
def connection() -> Iterator[sqlite3.Connection]:
    with closing(database.scratch(LEDGER_SCHEMA)) as made:
        yield made


def test_an_empty_file_has_no_head_and_no_home(connection: sqlite3.Connection):
    """Where nothing is, nothing is answered."""
    assert store.head(connection, "QHR") is None
    assert store.own_station(connection) is None
    assert store.stations(connection) == ()
    assert store.entry_at(connection, "QHR", 1) is None
    assert store.entry_by_id(connection, "QHR", "0" * 32) is None
    assert list(store.entries(connection, "QHR")) == []


def test_the_head_is_the_newest_of_its_own_chain(connection: sqlite3.Connection):
    """Other chains in the file do not move it, however long they are."""
    for number in range(1, 4):
        small.put(connection, number)
    for number in range(1, 12):
        store.insert_entry(connection, "{}", "OTH", number, small.identifier(number), "cd" * 64)
    assert store.head(connection, "QHR") == store.Head(3, small.text(3))


def test_an_entry_is_found_by_place_and_by_id(connection: sqlite3.Connection):
    """Both ways lead to the same entry, and neither into another chain."""
    for number in range(1, 4):
        small.put(connection, number)
    expected = store.Stored("QHR", 2, small.text(2), "ab" * 64)
    assert store.entry_at(connection, "QHR", 2) == expected
    assert store.entry_by_id(connection, "QHR", small.identifier(2)) == expected
    assert store.entry_at(connection, "OTH", 2) is None
    assert store.entry_by_id(connection, "OTH", small.identifier(2)) is None


def test_numbers_are_told_by_chain(connection: sqlite3.Connection):
    """The largest of each chain, also of one whose first entry is lost; nothing of a chain that is not there."""
    assert store.head_number(connection, "QHR") == 0
    assert store.counts(connection) == {}
    for number in range(1, 12):
        small.put(connection, number)
    store.insert_entry(connection, "{}", "ABC", 1, small.identifier(1), "ab" * 64)
    assert store.head_number(connection, "QHR") == 11
    assert store.head_number(connection, "ABC") == 1
    assert store.head_number(connection, "OTH") == 0
    assert store.counts(connection) == {"ABC": 1, "QHR": 11}


def test_a_walk_begins_where_told(connection: sqlite3.Connection):
    """Entries come in the order of their numbers, 2 before 10."""
    for number in range(1, 13):
        small.put(connection, number)
    assert [entry.number for entry in store.entries(connection, "QHR")] == list(range(1, 13))
    assert [entry.number for entry in store.entries(connection, "QHR", 9)] == [9, 10, 11, 12]
    assert list(store.entries(connection, "QHR", 13)) == []


def test_the_newest_home_counts(connection: sqlite3.Connection):
    """A restored copy that goes on under a new code keeps the old one on record."""
    store.set_home(connection, "QHR")
    store.set_home(connection, "ABC")
    assert store.own_station(connection) == "ABC"


@given(
    text=st.text(st.characters(exclude_categories=["Cs"]), max_size=50),
    id=st.binary(min_size=16, max_size=16),
    signature=st.binary(min_size=64, max_size=64),
)
@settings(max_examples=50)
def test_what_goes_in_comes_out(text: str, id: bytes, signature: bytes):
    """Every text, a zero character included, and every id and signature come back as they were."""
    with closing(database.scratch(LEDGER_SCHEMA)) as connection:
        store.insert_entry(connection, text, "QHR", 1, id.hex(), signature.hex())
        expected = store.Stored("QHR", 1, text, signature.hex())
        assert store.entry_by_id(connection, "QHR", id.hex()) == expected
        assert list(store.entries(connection, "QHR")) == [expected]


def test_several_entries_are_added_as_each_would_be(connection: sqlite3.Connection) -> None:
    """In their order; where one has no place, a guard says so."""
    fresh = [store.Fresh("QHR", number, bytes([number] * 16), "{}", b"s" * 64) for number in (1, 2, 3)]
    store.insert_entries(connection, iter(fresh))
    for each in fresh:
        assert store.entry_at(connection, "QHR", each.number) == store.Stored(
            "QHR", each.number, "{}", "73" * 64
        )
    assert store.entry_by_id(connection, "QHR", "02" * 16) == store.entry_at(connection, "QHR", 2)
    with pytest.raises(sqlite3.IntegrityError):
        store.insert_entries(connection, [fresh[2]._replace(number=5)])
