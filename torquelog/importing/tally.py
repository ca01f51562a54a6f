"""What became of a file: counts, and the first things that were wrong, so that millions of errors stay a short answer."""

from collections import Counter
from typing import Final, NamedTuple

from torquelog.importing.sheet import Wrong

SHOWN: Final = 20
"""How many errors, and changed outcomes, are kept to be shown; the rest is counted."""


class Placed(NamedTuple):
    """Something that is wrong, and the line of its row."""

    line: int
    wrong: Wrong


class Changed(NamedTuple):
    """A row that came out otherwise than it was judged, as somebody wrote meanwhile."""

    line: int
    judged: str
    written: str


class Tally:
    """What became of a file so far.

    Attributes:
        rows: how many were read.
        outcomes: units by what became of them, or would become in a dry run.
        wrong: errors by code, and `shown`, the first of them.
        rejected: rows that were not brought in.
        changes: how many rows came out otherwise than they were judged, and `changed`, the first of them.
        first, last: the entries that were written, or "".
        left: units that were judged and are not written yet.
        stopped: what stopped the writing, as somebody wrote meanwhile.
        interrupted: whether somebody pressed Ctrl-C.
        doubled: the lines of rows of which the same was said before in the file, the first of them.
    """

    def __init__(self) -> None:
        self.rows = self.rejected = self.changes = self.left = 0
        self.outcomes: Counter[str] = Counter()
        self.wrong: Counter[str] = Counter()
        self.exits: set[int] = set()
        self.shown: list[Placed] = []
        self.changed: list[Changed] = []
        self.doubled: list[int] = []
        self.first = self.last = ""
        self.stopped: Placed | None = None
        self.interrupted = False

    @property
    def errors(self) -> int:
        """How much was found wrong."""
        return self.wrong.total()

    def reject(self, rows: int, wrong: list[Placed]) -> None:
        """Count rows that are not brought in, and what is wrong with them."""
        self.rejected += rows
        for each in wrong:
            self.wrong[each.wrong.error.code] += 1
            self.exits.add(each.wrong.error.exit)
            if len(self.shown) < SHOWN:
                self.shown.append(each)

    def wrote(self, entry: str, outcome: str) -> None:
        """Count a unit that is on record."""
        self.outcomes[outcome] += 1
        self.left -= 1
        if outcome != "on-record":
            self.first, self.last = self.first or entry, entry

    def change(self, line: int, judged: str, written: str) -> None:
        """Count a unit that came out otherwise than it was judged."""
        self.changes += 1
        if len(self.changed) < SHOWN:
            self.changed.append(Changed(line, judged, written))
