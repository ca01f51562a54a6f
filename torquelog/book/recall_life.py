"""What became of the fasteners of one group after a recalled reading: loosened, replaced, apart, tightened again.

However long the record is, only what came after is read.
"""

import sqlite3
from bisect import bisect_right
from collections.abc import Iterable
from typing import Final

from torquelog.book.fasteners import endings
from torquelog.book.standing import Order, group_of, order_of
from torquelog.clock import Moment
from torquelog.facts import acts, readings
from torquelog.facts.readings import Reading
from torquelog.facts.rows import LATEST, AsOf
from torquelog.facts.tracing import Tightening, last_tightening, taken_apart

NOBODY: Final = frozenset[str]()

Ending = tuple[Order, frozenset[str]]
"""When the tightness of a whole group ended, and the jobs whose work that leaves as it is."""


class Life:
    """The life of a group's fasteners from a moment on."""

    def __init__(
        self,
        connection: sqlite3.Connection,
        owner: str,
        group: str,
        in_jobs: Iterable[str],
        since: Moment,
        as_of: AsOf = LATEST,
    ) -> None:
        self._connection = connection
        self._owner = owner
        self._group = group
        self._as_of = as_of
        self._endings = sorted(self._ended(sorted(in_jobs), since))
        self._loosened: dict[int, list[Order]] = {}
        self._replaced: dict[int, list[Order]] = {}
        for at, recorded, station, number, item in readings.loosenings(
            connection, owner, group, since, as_of
        ):
            self._loosened.setdefault(item, []).append((at, recorded, station, number))
        for act in acts.on_fastener(connection, owner, group, None, as_of):
            place = (act.at, act.recorded, act.station, act.number)
            if act.act != "locked":
                self._loosened.setdefault(act.item, []).append(place)
            if act.act == "replaced":
                self._replaced.setdefault(act.item, []).append(place)

    def _ended(self, in_jobs: list[str], since: Moment) -> Iterable[Ending]:
        kind, _, name = self._owner.partition(" ")
        if kind == "assembly":
            return [(each, NOBODY) for each in taken_apart(self._connection, name, since, self._as_of)]
        groups = (group_of(self._connection, job, self._group) for job in in_jobs)
        group = next(filter(None, groups), None)
        if group is None:
            return []
        found = endings(self._connection, self._owner, group, in_jobs, self._as_of)
        return [((each.at, each.recorded, each.station, each.number), each.spares) for each in found]

    def undone(self, reading: Reading) -> str:
        """What first ended what a reading tightened: `loosened`, `apart`, or "" where it still stands."""
        place = order_of(reading)
        loosened = min((each for each in self._loosened.get(reading.item, ()) if each > place), default=None)
        first = bisect_right(self._endings, place, key=lambda each: each[0])
        apart = next((order for order, spares in self._endings[first:] if reading.job not in spares), None)
        if apart is None or (loosened is not None and loosened < apart):
            return "" if loosened is None else "loosened"
        return "apart"

    def replaced_after(self, reading: Reading) -> Moment | None:
        """When the hardware was last replaced after a reading, or nothing."""
        place = order_of(reading)
        found = [each for each in self._replaced.get(reading.item, ()) if each > place]
        return max(found)[0] if found else None

    def tightened_after(self, reading: Reading) -> Tightening | None:
        """The newest tightening after a reading that is within its limits, or nothing."""
        found = last_tightening(
            self._connection, self._owner, self._group, reading.item, reading.at, self._as_of
        )
        return found if found is not None and found[1:5] > order_of(reading) else None
