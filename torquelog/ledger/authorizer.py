"""What statements of ours may do, asked by SQLite once when each is prepared, never for each row.

An INSERT OR REPLACE removes rows without asking here: that hole is closed by the guards before each INSERT.
"""

import sqlite3
from typing import Final

MUTABLE: Final = frozenset({"cycle_tally"})
"""Tables whose rows may be changed and removed: running sums that can be counted again."""

PERMANENT: Final = frozenset({"entry", "home"})
"""Tables that not even a migration may change, empty or drop."""

_READING_PRAGMAS: Final = frozenset(
    {
        "application_id",
        "busy_timeout",
        "compile_options",
        "data_version",
        "database_list",
        "encoding",
        "freelist_count",
        "journal_mode",
        "page_count",
        "page_size",
        "query_only",
        "schema_version",
        "synchronous",
        "trusted_schema",
        "user_version",
    }
)
_HARMLESS_PRAGMAS: Final = frozenset(
    {
        "index_info",
        "index_list",
        "index_xinfo",
        "integrity_check",
        "max_page_count",
        "quick_check",
        "table_info",
        "table_list",
        "table_xinfo",
        "wal_checkpoint",
    }
)
_PLAIN: Final = frozenset(
    {
        sqlite3.SQLITE_READ,
        sqlite3.SQLITE_RECURSIVE,
        sqlite3.SQLITE_SAVEPOINT,
        sqlite3.SQLITE_SELECT,
        sqlite3.SQLITE_TRANSACTION,
    }
)
_CHANGES: Final = frozenset({sqlite3.SQLITE_UPDATE, sqlite3.SQLITE_DELETE})
_REMOVALS: Final = _CHANGES | {sqlite3.SQLITE_DROP_TABLE}
_OTHER_FILES: Final = frozenset({sqlite3.SQLITE_ATTACH, sqlite3.SQLITE_DETACH})


def daily(action: int, first: str | None, second: str | None, *_: str | None) -> int:
    """Allow reading, inserting, transactions, harmless pragmas and changes in `MUTABLE`; deny all else.

    Args:
        action: one of SQLite's action codes.
        first: mostly the table's or the pragma's name.
        second: mostly the column, the function, or what a pragma shall be set to.
    """
    if action in _PLAIN:
        allowed = True
    elif action == sqlite3.SQLITE_INSERT:
        allowed = first is not None and not first.startswith("sqlite_")
    elif action in _CHANGES:
        allowed = first in MUTABLE
    elif action == sqlite3.SQLITE_FUNCTION:
        allowed = second != "load_extension"
    elif action == sqlite3.SQLITE_PRAGMA:
        allowed = first in _HARMLESS_PRAGMAS or (first in _READING_PRAGMAS and second is None)
    else:
        allowed = False
    return sqlite3.SQLITE_OK if allowed else sqlite3.SQLITE_DENY


def building(action: int, first: str | None, second: str | None, *rest: str | None) -> int:
    """Allow also what lays or migrates a schema, but no change of `PERMANENT` tables and no other file."""
    if action == sqlite3.SQLITE_PRAGMA and first == "user_version":
        return sqlite3.SQLITE_OK
    if action in (sqlite3.SQLITE_PRAGMA, sqlite3.SQLITE_FUNCTION):
        return daily(action, first, second, *rest)
    denied = action in _OTHER_FILES or (action in _REMOVALS and first in PERMANENT)
    return sqlite3.SQLITE_DENY if denied else sqlite3.SQLITE_OK
