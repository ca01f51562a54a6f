"""What the pictures of docs/pictures show: sheets and screens of the demo's record, the same each time."""

import re
import shlex
from collections.abc import Callable, Iterator
from hashlib import sha256
from pathlib import Path
from typing import Final

import pytest

from tests.cli.technician import Keys
from tests.cli.terminal import Pipe, Terminal
from tests.project.dialogue import own_home
from torquelog.book.opening import Book, open_book
from torquelog.cli.run import run
from torquelog.clock import SetClock, from_utc_text
from torquelog.demo.hangar import PASSPHRASE
from torquelog.demo.story import tell
from torquelog.ledger import keys
from torquelog.sheets.aircraft import aircraft_sheet
from torquelog.sheets.crib import crib_sheet
from torquelog.sheets.environment import html, label_html
from torquelog.sheets.job import job_sheet
from torquelog.sheets.label import labels
from torquelog.sheets.recall import recall_sheet
from torquelog.sheets.worksheet import worksheet_sheet
from torquelog.sheets.wrench import wrench_sheet

LOOKED_AT: Final = from_utc_text("2026-11-25T12:00:00.000Z")
"""The day after the demo's week."""

DIGEST: Final = re.compile(r"\b[0-9a-f]{16,64}\b")

SHEETS: Final[dict[str, Callable[[Book], str]]] = {
    "sheet-job": lambda book: html(job_sheet(book, "J-302")),
    "sheet-worksheet": lambda book: html(worksheet_sheet(book, "J-303")),
    "sheet-crib": lambda book: html(crib_sheet(book)),
    "sheet-wrench": lambda book: html(wrench_sheet(book, "W-118")),
    "sheet-recall": lambda book: html(recall_sheet(book, "R-1")),
    "sheet-aircraft": lambda book: html(aircraft_sheet(book, "QQ-ULM")),
    "labels": lambda book: label_html(labels(book, "wrench", ["W-118", "W-204", "W-231", "W-260"])),
}

SCREENS: Final[dict[str, str]] = {
    "screen-status": "",
    "screen-due": "wrench due",
    "screen-trace": "trace wrench W-118",
    "screen-recall": "recall show R-1",
    "screen-work": "work J-303",
    "screen-refusal": "record tie-bolt:8 27 ft-lb --job J-303 --wrench W-231",
}
TYPED: Final = ("y", "W-204", "26.5", "", "", "")
"""What the technician answers at `work`: threads, wrench and setting, then three clicks."""

BEFORE: Final = (
    "sign-in JS --passphrase-stdin",
    "assembly add WH-7110 --part EX-7100-2 --kind wheel",
    "job open J-303 --card BENCH-WHEEL --assembly WH-7110",
)
"""What is done after the demo, so that there is work to show."""


class Shop:
    """The demo's record on the day after, in a folder of its own."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "demo.db"
        self.now = LOOKED_AT
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(keys, "LARGEST_N", keys.SMALLEST_N)
            tell(str(self.path))
        for line in BEFORE:
            status, _, err = self.typed(line, Pipe(), Pipe(f"{PASSPHRASE}\n"))
            assert status == 0, f"{line}\n{err}"

    def typed(self, line: str, out: Pipe, stdin: Pipe | None = None) -> tuple[int, str, str]:
        """Carry out a command line with everything on one screen; its status and what was written."""
        words = ["--db", str(self.path), *shlex.split(line)]
        self.now += 60_000
        status = run(words, clock=SetClock(self.now), stdin=stdin or Pipe(), stdout=out, stderr=out)
        return status, out.getvalue(), out.getvalue()

    def sheet(self, name: str) -> str:
        """The HTML of a sheet."""
        with open_book(self.path, "read", SetClock(LOOKED_AT + 3_600_000)) as book:
            return SHEETS[name](book)

    def screen(self, name: str) -> str:
        """What a terminal of 80 columns with colours shows, as it was written."""
        if name == "screen-work":
            return self._work()
        return self.typed(SCREENS[name], Terminal())[1]

    def _work(self) -> str:
        out, clock = Terminal(), SetClock(self.now)
        words = ["--db", str(self.path), *shlex.split(SCREENS["screen-work"])]
        run(words, clock=clock, stdin=Keys(TYPED, clock, out), stdout=out, stderr=out)
        self.now = clock.moment
        last = out.getvalue().split("\x1b[H\x1b[2J")[-1]
        return last.partition("\n\x1b[1mStopped")[0]  # no key of TYPED ended it, but the input


def surroundings(patch: pytest.MonkeyPatch, folder: Path) -> None:
    """Nothing of whoever makes or checks the pictures is seen in them."""
    own_home(patch, folder)
    patch.delenv("NO_COLOR")
    patch.setenv("COLUMNS", "80")
    patch.setenv("TERM", "xterm")


def sources(shop: Shop) -> Iterator[tuple[str, str]]:
    """Each picture's name and what it shows."""
    for name in SCREENS:
        yield name, shop.screen(name)
    for name in SHEETS:
        yield name, shop.sheet(name)


def digest(text: str) -> str:
    """What a picture's source is known by; digests and identities, which are new each time, count for nothing."""
    return sha256(DIGEST.sub("", text).encode()).hexdigest()
