"""The registers of a file beside those that its entries give."""

import sqlite3
from contextlib import closing

from tests.support.rows import Rows
from torquelog.book.comparing import differences
from torquelog.facts import registry
from torquelog.ledger.tables import LEDGER_SCHEMA


def test_a_register_that_cannot_be_read_at_all_is_named_and_the_others_are_compared() -> None:
    """It names no entry; why, SQLite says."""
    made = Rows().connection
    with closing(sqlite3.connect(":memory:")) as file:
        file.executescript(LEDGER_SCHEMA + registry.schema())
        assert list(differences(file, made)) == []
        file.execute("PRAGMA foreign_keys = OFF")
        file.execute("DROP TABLE tool")
        (found,) = differences(file, made)
    assert (found.table, found.entry) == ("tool", "")
    assert found.message == "The register tool cannot be read: SQLite says: no such table: tool."
