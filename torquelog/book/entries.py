"""Entries by the name people give them."""

import sqlite3

from torquelog.errors import TorquelogError
from torquelog.ledger.form import Entry, parse_entry, parse_reference
from torquelog.ledger.store import entry_at


def the_entry(connection: sqlite3.Connection, name: str) -> Entry:
    """The entry of that name, `QHR-000123`; raises `entry-unknown`, or what the name's form brings."""
    stored = entry_at(connection, *parse_reference(name))
    if stored is None:
        raise TorquelogError("entry-unknown", f"There is no entry {name}.")
    return parse_entry(stored.text)
