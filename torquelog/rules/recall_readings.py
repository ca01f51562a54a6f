"""What is kept of a fastener's readings in a recall: enough to name, count and decide about them, not the readings.

A recall of years of somebody's work names a million of them. A number takes four bytes here, a very large one eight.
"""

from array import array
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import Final, NamedTuple, Protocol

from torquelog.clock import Moment
from torquelog.facts.readings import Reading
from torquelog.facts.recalls import FINAL, Disposition
from torquelog.rules.recall_verdict import Judged

FOUR_BYTES: Final = 2**32
"""Numbers below this take four bytes."""


class Seen(Protocol):
    """A reading as a recall sees it (`recall_item.Taken`)."""

    @property
    def reading(self) -> Reading:
        """As recorded."""

    @property
    def known(self) -> Moment:
        """When this file came to know it."""

    @property
    def judged(self) -> Judged:
        """What it really did."""

    @property
    def part(self) -> str:
        """What it is to its item."""


class Own(NamedTuple):
    """Of the readings that this file knew when a station recorded them: the last number, and when the last was known."""

    station: str
    number: int
    known: Moment


class Run(NamedTuple):
    """Entries of one station that follow each other: their numbers as an array of this type."""

    station: str
    type: str
    numbers: bytes


class Readings(NamedTuple):
    """The readings of one fastener.

    Attributes:
        runs: their entries, oldest first.
        total: how many there are.
        parts: how many were tightened, checked, refused or struck, the governing one left out.
        first: the one that was known first: when, and its entry.
        own: what has to lie before a decision, of each station whose readings were known at once.
        late: when the last of those was known that came in later than they were recorded; nothing for none.
        over: when the bolt last got more than the card allows (`certain`), or may have (`possible`), as far as it did.
        directions_missing: wrenches, each with a direction in which it was used and is not calibrated.
    """

    runs: tuple[Run, ...]
    total: int
    parts: tuple[tuple[str, int], ...]
    first: tuple[Moment, str, int]
    own: tuple[Own, ...]
    late: Moment | None
    over: tuple[tuple[str, Moment], ...]
    directions_missing: frozenset[tuple[str, str]]

    def entries(self) -> Iterator[tuple[str, int]]:
        """Station and number of each, oldest first."""
        for station, type_, numbers in self.runs:
            for number in array(type_, numbers):
                yield station, number


def kept(seen: Sequence[Seen], governing: Seen) -> Readings:
    """What is kept of a fastener's readings.

    Args:
        seen: the readings, oldest first; at least one.
        governing: the one among them that is judged.
    """
    parts = Counter(each.part for each in seen if each is not governing)
    later = [each.known for each in seen if each.known != each.reading.recorded]
    return Readings(
        runs=tuple(_runs(each.reading for each in seen)), total=len(seen), parts=tuple(sorted(parts.items())),
        first=min((each.known, each.reading.station, each.reading.number) for each in seen),
        own=tuple(_own(seen)), late=max(later, default=None), over=tuple(_over(seen, governing)),
        directions_missing=frozenset(
            (each.reading.wrench, each.reading.direction)
            for each in seen
            if "direction-not-calibrated" in each.judged.reasons
        ),
    )  # fmt: skip


def _runs(readings: Iterable[Reading]) -> Iterator[Run]:
    for station, run in groupby(readings, key=lambda each: each.station):
        numbers = [each.number for each in run]
        type_ = "I" if max(numbers) < FOUR_BYTES else "Q"
        yield Run(station, type_, array(type_, numbers).tobytes())


def _over(seen: Sequence[Seen], governing: Seen) -> Iterator[tuple[str, Moment]]:
    """When the bolt last got too much, certainly or possibly: by what turned it, or by all there is."""
    turned = [each for each in seen if each.part in ("tightened", "checked")] or [governing]
    for level in ("certain", "possible"):
        moments = [each.reading.at for each in turned if each.judged.over == level]
        if moments:
            yield level, max(moments)


def _own(seen: Iterable[Seen]) -> Iterator[Own]:
    last: dict[str, tuple[int, Moment]] = {}
    for each in seen:
        if each.known == each.reading.recorded:
            number, known = last.get(each.reading.station, (each.reading.number, each.known))
            last[each.reading.station] = max(number, each.reading.number), max(known, each.known)
    for station, (number, known) in sorted(last.items()):
        yield Own(station, number, known)


def stand(readings: Readings, disposition: Disposition | None) -> bool:
    """Whether a decision is final and was taken when every one of these readings was known (`recall_item.stands`)."""
    return newest_stand(readings.own, readings.late, disposition)


def newest_stand(own: Iterable[Own], late: Moment | None, disposition: Disposition | None) -> bool:
    """The same by the newest of the readings (`Readings.own`, `Readings.late`)."""
    if disposition is None or disposition.decision not in FINAL:
        return False
    if late is not None and late > disposition.known:
        return False
    return all(lies_before(each, disposition) for each in own)


def lies_before(own: Own, disposition: Disposition) -> bool:
    """Whether what this file knew when its station recorded it was known before a decision: by its place in one chain."""
    if own.station == disposition.station:
        return own.number < disposition.number
    return own.known <= disposition.known
