"""Facts about the care of a record: damage is told at the sign-in, old backups are, and nothing is ever taken out."""

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.book.tampering import tamper
from tests.cli.hangar import PASSPHRASE, Hangar
from torquelog.book import soundness
from torquelog.cli.group import load
from torquelog.cli.table import paths

SIGN_IN = "sign-in TK --passphrase-stdin"
CHANGED = "UPDATE entry SET text = replace(text, 'EX-200', 'EX-300') WHERE number = 3"
PAGE = 4096
DAY = 24 * 3_600_000


@pytest.fixture(name="hangar")
def _hangar() -> Hangar:
    return Hangar("aircraft add QQ-HLB --type EX-200 --msn 1001 --on 2026-01-05")


def record() -> Path:
    return Path(os.environ["XDG_DATA_HOME"], "torquelog", "ledger.db")


@pytest.mark.parametrize("share", range(1, 8))
def test_a_damaged_page_is_told_at_the_sign_in(hangar: Hangar, share: int) -> None:
    """Anywhere in the file, far from what a sign-in reads; and nothing is recorded on top of it."""
    data = bytearray(record().read_bytes())
    page = len(data) // PAGE * share // 8
    data[page * PAGE : page * PAGE + 8] = b"\xff" * 8
    record().write_bytes(data)
    status, codes = hangar.refused(SIGN_IN, PASSPHRASE)
    assert (status, codes) == (6, ["damaged"])
    assert record().read_bytes() == bytes(data)


def test_a_broken_tail_is_told_at_the_sign_in(hangar: Hangar) -> None:
    """An entry near the end that was changed, which is not the one that was seen last."""
    tamper(record(), CHANGED)
    assert hangar.refused(SIGN_IN, PASSPHRASE) == (5, ["chain"])


def test_a_sign_in_looks_at_the_last_entries_only(hangar: Hangar, monkeypatch: pytest.MonkeyPatch) -> None:
    """So that it takes as long in six years as today; what lies before is verified."""
    monkeypatch.setattr(soundness, "TAIL", 1)
    tamper(record(), CHANGED)
    hangar.did(SIGN_IN, PASSPHRASE)


def test_of_a_large_file_the_end_of_each_table_is_looked_at(
    hangar: Hangar, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the next rows go; damage there is told before anything is recorded, and what lies before is verified."""
    monkeypatch.setattr(soundness, "WHOLE", 0)
    hangar.did(SIGN_IN, PASSPHRASE)
    good = record().read_bytes()
    for table in ("entry", "aircraft", "signing_key", "reading"):
        data = bytearray(good)
        (page,) = roots(table)
        data[(page - 1) * PAGE : (page - 1) * PAGE + 8] = b"\xff" * 8
        record().write_bytes(data)
        assert hangar.refused(SIGN_IN, PASSPHRASE) == (6, ["damaged"])
        assert record().read_bytes() == bytes(data)
    record().write_bytes(good)
    hangar.did(SIGN_IN, PASSPHRASE)
    tamper(record(), CHANGED)
    assert hangar.refused(SIGN_IN, PASSPHRASE) == (5, ["chain"])


def roots(table: str) -> tuple[int, ...]:
    """The page at which a table of the record begins."""
    with closing(sqlite3.connect(record())) as connection:
        return tuple(
            page
            for (page,) in connection.execute(
                "SELECT rootpage FROM sqlite_schema WHERE type = 'table' AND name = ?", (table,)
            )
        )


def test_who_signs_in_is_reminded_of_a_backup_older_than_a_day(hangar: Hangar) -> None:
    """Not in the first day of a record, and not where one was made since."""
    assert "backup" not in hangar.did(SIGN_IN, PASSPHRASE)
    hangar.now += DAY + 1000
    assert "No backup is known here: torquelog backup FILE\n" in hangar.did(SIGN_IN, PASSPHRASE)
    hangar.did("backup copy.db")
    assert "backup" not in hangar.did(SIGN_IN, PASSPHRASE)
    hangar.now += DAY + 1000
    assert "The last backup is of " in hangar.did(SIGN_IN, PASSPHRASE)


def test_no_command_takes_anything_out(hangar: Hangar) -> None:
    """No command purges, deletes or shortens; the station's rules say that entries are kept for good."""
    names = {name for name, _ in paths()}
    assert not {name for name in names if set(name.split()) & {"purge", "delete", "prune", "drop", "clean"}}
    options = {option for _, entry in paths() for each in load(entry).params for option in each.opts}
    assert not options & {"--purge", "--delete", "--prune", "--older-than"}
    shown = " ".join(hangar.did("station show").split())
    assert "Entries are kept for good; nothing is ever purged" in shown
