"""Somebody who brings in a file on a machine that is switched off at any moment, and gives the same command again.

As a command: `python -m tests.faults.importer FOLDER` brings in the file that `prepare` laid there, a few rows in each
transaction, and prints after each how many it wrote.
"""

import json
import sys
from itertools import count
from pathlib import Path

from tests.importing.files import csv_of, pieces, reading
from tests.support.books import HOUR, NOON
from tests.support.story import Story
from torquelog.book.opening import open_book
from torquelog.book.signer import Signer
from torquelog.clock import SetClock, offset_text
from torquelog.importing.bringing import HOLD, Ways, bring_in
from torquelog.importing.kinds import KINDS
from torquelog.importing.setting import Setting
from torquelog.importing.sheet import Sheet
from torquelog.ledger import keys
from torquelog.ledger.form import parse_reference

ROWS = 150
TOGETHER = 4
GROUP = {"id": "tie-bolt", "on": "wheel", "count": 3, "torque": "95..105 N·m"}
FILE, RECORD, SIGNER = "old.csv", "qhr.db", "signer.json"


def prepare(folder: Path) -> None:
    """A record with a wheel and its job, the key that signs, and the file of old readings."""
    story = Story(folder)
    story.wrench(cycles=None)
    story.assembly()
    story.card("BUILD", GROUP)
    story.job()
    seed = keys.new_seed()
    until = offset_text(story.clock.moment + 16 * HOUR, story.book.zone)
    entry = story.says("sign-in", {"public_key": keys.public_key(seed), "until": until}, own=True)
    kept = {"key": parse_reference(entry)[1], "seed": seed.hex()}
    (folder / SIGNER).write_text(json.dumps(kept), encoding="utf-8")
    rows = [
        reading(
            number % 3 + 1,
            number % 60,
            at=f"2026-11-25 {6 + number // 60:02}:{number % 60:02}",
            loosened="yes",
        )
        for number in range(ROWS)
    ]
    (folder / FILE).write_text(csv_of([*rows, rows[0], rows[7]]), encoding="utf-8")
    story.close_book()


def main() -> None:
    """Bring the file in, from where the record stands, until killed or done."""
    folder = Path(sys.argv[1])
    kept = json.loads((folder / SIGNER).read_text(encoding="utf-8"))
    signer = Signer("TK", kept["key"], "sign-in", bytes.fromhex(kept["seed"]))
    looks = count()
    with open_book(folder / RECORD, "write", SetClock(NOON + HOUR), clock_ok=True) as book:
        ways = Ways(
            Setting(book.zone, "TK"),
            seconds=lambda: next(looks) * HOLD / TOGETHER,
            pause=lambda _: None,
            written=lambda done, _: print(done, flush=True),
        )
        tally = bring_in(
            book, signer, KINDS["readings"], Sheet("readings", pieces((folder / FILE).read_bytes())), ways
        )
    assert not tally.errors, tally.shown


if __name__ == "__main__":
    main()
