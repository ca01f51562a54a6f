"""The readings of a trace, each with what became of it and where its fastener is; and what they come to.

A trace may name every reading of twenty years. So they are walked through, oldest first, a piece at a time, and
what is kept of them grows with the fasteners and aircraft concerned, not with the readings.
"""

import sqlite3
from bisect import bisect_right
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from heapq import merge
from itertools import islice
from typing import Final, NamedTuple

from torquelog.book.standing import Undoing, order_of, undoings, undone
from torquelog.clock import Moment
from torquelog.facts.readings import Reading
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.facts.tracing import Traced, traced
from torquelog.quality.places import Location, Places, Stay

PIECE: Final = 4096
"""How many readings are looked at together."""

Owned = tuple[str, str]
"""A group of fasteners: its owner and its id."""


class Row(NamedTuple):
    """One reading of a trace.

    Attributes:
        reading: what was recorded.
        state: tight, loosened, apart, refused or struck.
        location: where its fastener is.
        ended: when it was loosened or came apart, in milliseconds since 1970 UTC; None where it was not.
    """

    reading: Reading
    state: str
    location: Location
    ended: Moment | None = None


class Carrier(NamedTuple):
    """An aircraft that carries, or carried, fasteners of a trace: how many, and whether it does now."""

    registration: str
    fasteners: int
    now: bool


class Standing(NamedTuple):
    """The fasteners of one group of an owner that carry a tightening of a trace: their numbers, and where they are."""

    owner: str
    group: str
    items: tuple[int, ...]
    location: Location


class Rows(Collection[Row]):
    """Every reading of a trace, oldest first, read from the record whenever they are walked through."""

    def __init__(
        self,
        connection: sqlite3.Connection,
        sources: Sequence[tuple[str, str]],
        since: Moment,
        until: Moment,
        as_of: AsOf,
    ) -> None:
        """Read nothing yet.

        Args:
            connection: the record.
            sources: by what the readings are found: keys of `facts.tracing`, and names.
            since, until: the window of performed work; `until` is not included.
            as_of: which facts count.
        """
        self.as_of = as_of
        self._connection = connection
        self._sources = sources
        self._window = since, until
        self._count: int | None = None

    def __iter__(self) -> Iterator[Row]:
        """Walk through them."""
        places = Places(self._connection, self.as_of)
        found = self._found()
        count = 0
        while piece := tuple(islice(found, PIECE)):
            by = _undoings(self._connection, piece, self.as_of)
            for each in piece:
                state, ended = _state(each, by)
                yield Row(each.reading, state, places.location(each.reading.owner), ended)
            count += len(piece)
        self._count = count

    def __len__(self) -> int:
        if self._count is None:
            self._count = sum(1 for _ in self._found())
        return self._count

    def __contains__(self, row: object) -> bool:
        return any(each == row for each in self)

    def _found(self) -> Iterator[Traced]:
        """The readings that the sources name, each once."""
        searches = [
            traced(self._connection, source, name, *self._window, self.as_of)
            for source, name in self._sources
        ]
        if len(searches) == 1:
            yield from searches[0]
            return
        before: tuple[str, int] | None = None
        for each in merge(*searches, key=lambda one: order_of(one.reading)):
            entry = (each.reading.station, each.reading.number)
            if entry != before:
                yield each
            before = entry


def _undoings(
    connection: sqlite3.Connection, found: Iterable[Traced], as_of: AsOf
) -> dict[Owned, list[Undoing]]:
    """What ended the tightness of each group from its first reading on; `found` is oldest first."""
    in_jobs: dict[Owned, set[str]] = {}
    since: dict[Owned, Moment] = {}
    for each in found:
        reading = each.reading
        key = reading.owner, reading.group
        if key not in since:
            since[key] = reading.at
            in_jobs[key] = set()
        in_jobs[key].add(reading.job)
    return {key: undoings(connection, *key, names, since[key], as_of) for key, names in in_jobs.items()}


def _state(each: Traced, by: dict[Owned, list[Undoing]]) -> tuple[str, Moment | None]:
    if each.struck:
        return "struck", None
    reading = each.reading
    if reading.outcome == "refused":
        return "refused", None
    ended = undone(reading, by.get((reading.owner, reading.group), ()))
    return (ended.state, ended.order[0]) if ended else ("tight", None)


class Sums:
    """What the readings of a trace come to, reading by reading, oldest first. Fasteners are kept as bits."""

    def __init__(self, places: Places) -> None:
        self.states: Counter[str] = Counter()
        self._places = places
        self._tight: dict[Owned, int] = {}
        self._once: dict[str, dict[Owned, int]] = {}
        self._stays: dict[str, tuple[list[Stay], list[Moment]]] = {}

    def see(self, row: Row) -> None:
        """The next reading."""
        self.states[row.state] += 1
        reading = row.reading
        if reading.act != "tighten" or row.state in ("refused", "struck"):
            return
        key = reading.owner, reading.group
        bit = 1 << reading.item
        if row.state == "tight":
            self._tight[key] = self._tight.get(key, 0) | bit
        if reading.owner not in self._stays:
            found = self._places.stays(reading.owner, reading.at)
            self._stays[reading.owner] = found, [each.until for each in found]
        stays, ends = self._stays[reading.owner]
        ended = END_OF_TIME if row.ended is None else row.ended
        for place in range(bisect_right(ends, reading.at), len(stays)):
            stay = stays[place]
            if stay.since >= ended:
                break
            once = self._once.setdefault(stay.registration, {})
            once[key] = once.get(key, 0) | bit

    def standing(self) -> tuple[Standing, ...]:
        """What carries a tightening, aircraft first, then by owner and group."""
        found = [
            Standing(owner, group, _items(bits), self._places.location(owner))
            for (owner, group), bits in self._tight.items()
        ]
        return tuple(
            sorted(found, key=lambda one: (not one.location.flying, one.location.registration, one[:2]))
        )

    def carriers(self) -> tuple[Carrier, ...]:
        """Aircraft that carry standing fasteners now, then those that carried any while it stood, by registration."""
        now: dict[str, dict[Owned, int]] = {}
        for key, bits in self._tight.items():
            location = self._places.location(key[0])
            if location.flying:
                now.setdefault(location.registration, {})[key] = bits
        past = {
            name: sum((bits & ~now.get(name, {}).get(key, 0)).bit_count() for key, bits in once.items())
            for name, once in self._once.items()
        }
        return (
            *(
                Carrier(name, sum(map(int.bit_count, items.values())), now=True)
                for name, items in sorted(now.items())
            ),
            *(Carrier(name, count, now=False) for name, count in sorted(past.items()) if count),
        )


def _items(bits: int) -> tuple[int, ...]:
    return tuple(item for item in range(bits.bit_length()) if bits >> item & 1)
