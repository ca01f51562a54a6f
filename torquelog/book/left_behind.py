"""What the readings of a group left behind, kept by a writer who goes on adding to them.

Three questions are asked before every reading and look at readings themselves: what was taken at this fastener, which
numbers of the group are tight at this pass, which wrench was used last. What the record answers once is kept, and each
reading that this writer adds is put to it, as the record would. `book.recent` says how long it may be kept, and drops it
with everything else; whatever cannot be put to it plainly has to be asked for again.
"""

import sqlite3
from typing import Any, Final

from torquelog.clock import Moment
from torquelog.facts import lately, readings, strikes
from torquelog.facts.lately import LastUse
from torquelog.facts.readings import Taken
from torquelog.facts.rows import LATEST

TIGHT: Final = ("within", "tighten")


class LeftBehind:
    """What is kept of one group of one owner.

    Attributes:
        rests: what others keep of the group that no reading changes, by job.
    """

    __slots__ = (
        "_connection", "_group", "_last", "_owner", "_since", "_struck", "_taken", "_tight", "_told", "rests",
    )  # fmt: skip

    def __init__(self, connection: sqlite3.Connection, owner: str, group: str) -> None:
        self._connection = connection
        self._owner = owner
        self._group = group
        self._tight: dict[tuple[str, str, int], set[int]] = {}
        self._last: dict[str, LastUse | None] = {}
        self._taken: dict[int, list[Taken]] | None = None
        self._since: Moment | None = None
        self._told = False
        self._struck: dict[str, int] = {}
        self.rests: dict[str, Any] = {}

    def tight(self, job: str, slot: tuple[str, int]) -> set[int]:
        """The numbers tightened within limits at a step or pass of a job (`readings.tightened_at`); not to be changed."""
        key = (job, *slot)
        found = self._tight.get(key)
        if found is None:
            found = set(readings.tightened_at(self._connection, job, self._owner, self._group, slot))
            self._tight[key] = found
        return found

    def last_use(self, job: str) -> LastUse | None:
        """The newest reading of a job in this group (`lately.last_in_group`)."""
        try:
            return self._last[job]
        except KeyError:
            found = lately.last_in_group(self._connection, job, self._owner, self._group)
            self._last[job] = found
            return found

    def taken(self, item: int, since: Moment | None) -> list[Taken]:
        """Everything taken at one fastener (`readings.taken`), in any order; not to be changed.

        The first time one fastener is asked about, the second time the whole group: whoever asks twice goes on.
        """
        if self._taken is not None and self._since == since:
            return self._taken.get(item, [])
        if not self._told:
            self._told = True
            return list(readings.taken(self._connection, self._owner, self._group, item, LATEST, since))
        self._taken, self._since = {}, since
        for each in readings.taken(self._connection, self._owner, self._group, None, LATEST, since):
            self._taken.setdefault(each.item, []).append(each)
        return self._taken.get(item, [])

    def add(self, reading: Taken) -> bool:
        """Put a reading that was just added to what is kept; False where it has to be asked for again."""
        if reading.number <= self._last_struck(reading.station):
            return False
        tight = self._tight.get((reading.job, reading.step, reading.pass_))
        if tight is not None and (reading.outcome, reading.act) == TIGHT:
            tight.add(reading.item)
        use = (reading.at, reading.recorded, reading.station, reading.number, reading.wrench)
        if reading.job in self._last and reading.outcome != "refused":
            before = self._last[reading.job]
            self._last[reading.job] = use if before is None else max(before, use)
        return self._taken is None or self._add_taken(self._taken, reading)

    def _add_taken(self, taken: dict[int, list[Taken]], reading: Taken) -> bool:
        """A reading of the time before what counts has to be looked at closely: then it is asked for again."""
        if self._since is not None and reading.at < self._since:
            return False
        taken.setdefault(reading.item, []).append(reading)
        return True

    def _last_struck(self, station: str) -> int:
        found = self._struck.get(station)
        if found is None:
            found = self._struck[station] = strikes.last_struck(self._connection, station)
        return found
