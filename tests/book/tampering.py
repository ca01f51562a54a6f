"""Changing a record from outside: by SQL on a bare connection, around every guard."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from torquelog.book.verification import verify_file
from torquelog.book.verified import Finding, Report
from torquelog.errors import TorquelogError


def tamper(path: str | Path, *statements: str) -> None:
    """Carry out statements with every trigger out of the way, and put the triggers back as they were."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA synchronous = OFF")
        connection.execute("BEGIN")
        triggers = connection.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall()
        for name, _ in triggers:
            connection.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            connection.execute(statement)
        for _, text in triggers:
            connection.execute(text)
        connection.execute("COMMIT")
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def change_text(path: str | Path, number: int, change: Callable[[str], str], station: str = "QHR") -> None:
    """Change the text of one entry."""
    with closing(sqlite3.connect(path)) as connection:
        where = f"WHERE station = '{station}' AND number = {number}"
        (text,) = connection.execute(f"SELECT text FROM entry {where}").fetchone()
    tamper(path, f"UPDATE entry SET text = '{change(text).replace(chr(39), chr(39) * 2)}' {where}")


def other_id(text: str) -> str:
    """The text of an entry with another id: canonical, and not what was signed."""
    start, middle, rest = text.rpartition('"id":"')
    return start + middle + ("1" if rest[0] == "0" else "0") + rest[1:]


def verified(path: str | Path, checkpoint: str | None = None) -> Report:
    """What a verification finds."""
    report, _, _ = verify_file(str(path), checkpoint)
    return report


def found(path: str | Path) -> Finding:
    """The one thing that a verification finds."""
    report = verified(path)
    assert not report.holds
    (finding,) = report.findings
    return finding


def trouble(path: str | Path) -> str:
    """The code of what a verification finds, or of what keeps it from looking; "" where all holds."""
    try:
        report = verified(path)
    except TorquelogError as error:
        return error.code
    return report.findings[0].code if report.findings else ""


def flipped(data: bytes, bit: int) -> bytes:
    """The bytes with one bit the other way."""
    changed = bytearray(data)
    changed[bit // 8] ^= 1 << bit % 8
    return bytes(changed)


def as_text(data: bytes) -> str:
    """SQL for a text of these bytes, whatever they are."""
    return f"CAST(x'{data.hex()}' AS TEXT)"
