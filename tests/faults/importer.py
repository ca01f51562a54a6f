"""Somebody who brings in a file on a machine that is switched off at any moment, and gives the same command again.

As a command: `python -m tests.faults.importer FOLDER [beside]` brings in the file that `prepare` laid there, a few rows
in each transaction, and prints after each how many it wrote; with `beside`, another process reads it and makes the
entries ready.
"""

import sys
from datetime import datetime, timedelta
from itertools import count
from pathlib import Path

from tests.faults.laid import RECORD, lay, signed_in
from tests.importing.files import csv_of, pieces, reading
from tests.support.books import HOUR, NOON
from torquelog.book.opening import open_book
from torquelog.clock import SetClock
from torquelog.importing import as_judged
from torquelog.importing.bringing import bring_in
from torquelog.importing.kinds import KINDS
from torquelog.importing.setting import Setting
from torquelog.importing.sheet import Sheet
from torquelog.importing.turns import HOLD
from torquelog.importing.ways import Ways

ROWS = 600
BETWEEN = 30
"""Seconds from one reading to the next."""

TOGETHER = 4
GROUP = {"id": "tie-bolt", "on": "wheel", "count": 3, "torque": "95..105 N·m"}
FILE = "old.csv"


def prepare(folder: Path) -> None:
    """A record with a wheel and its job, the key that signs, and the file of old readings."""
    lay(folder, GROUP)
    rows = [
        reading(
            number % 3 + 1,
            at=str(datetime.fromisoformat("2026-11-25 06:00") + timedelta(seconds=BETWEEN * number)),
            loosened="yes",
        )
        for number in range(ROWS)
    ]
    (folder / FILE).write_text(csv_of([*rows, rows[0], rows[7]]), encoding="utf-8")


def main() -> None:
    """Bring the file in, from where the record stands, until killed or done."""
    folder, large = Path(sys.argv[1]), "beside" in sys.argv[2:]
    as_judged.MANY = 0 if large else ROWS * 2  # type: ignore[misc]  # as if there were so many rows
    signer = signed_in(folder)
    looks = count()
    with open_book(folder / RECORD, "write", SetClock(NOON + HOUR), clock_ok=True) as book:
        ways = Ways(
            Setting(book.zone, "TK"),
            seconds=lambda: next(looks) * HOLD,
            pause=lambda _: None,
            large=large,
            together=TOGETHER,
            written=lambda done, _: print(done, flush=True),
        )
        tally = bring_in(
            book, signer, KINDS["readings"], Sheet("readings", pieces((folder / FILE).read_bytes())), ways
        )
    assert not tally.errors, tally.shown


if __name__ == "__main__":
    main()
