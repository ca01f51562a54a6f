"""Room in the write-ahead log, made once before many readings are written one by one.

A log that grows with every commit has the file system write down its new size each time, so the disk is flushed twice.
Rows written into a log that is as long as it ever becomes need one flush. SQLite makes such a log by itself, within the
first ninety readings; this makes it at once, by a row that is larger than the memory for pages and is taken back.
"""

import os
import sqlite3
from contextlib import suppress
from typing import Final

from torquelog.book.opening import Book

LOG_BYTES: Final = 4_200_000
"""How long a log becomes before SQLite carries it over and begins it anew: 1,000 pages."""

KEPT_IN_MEMORY: Final = 2_100_000
"""Bytes of pages that SQLite holds back before it writes any of them."""

FREE_BYTES: Final = 64_000_000
"""With less than this free on the disk nothing is made: others may need it."""


def make_room(book: Book) -> None:
    """Let the log of a record have its full length; no trouble with it is any trouble."""
    with suppress(OSError, sqlite3.Error):
        if os.path.getsize(f"{book.path}-wal") < LOG_BYTES and _free(book.path) >= FREE_BYTES:
            _fill(book.connection)


def _fill(connection: sqlite3.Connection) -> None:
    connection.execute("BEGIN IMMEDIATE")
    try:
        connection.execute(
            "INSERT INTO cycle_tally (tool, day, uses) VALUES (hex(zeroblob(?)), 0, 0)",
            ((LOG_BYTES + KEPT_IN_MEMORY) // 2,),
        )
    finally:
        connection.rollback()


def _free(path: str) -> int:
    from shutil import disk_usage

    return disk_usage(os.path.dirname(path) or ".").free
