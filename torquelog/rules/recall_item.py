"""The items of a recall: all readings of one fastener are one item, the governing one is judged.

Pure: what the record says of each reading goes in, items in the order in which people should look at them
come out.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Final, NamedTuple

from torquelog.clock import Moment
from torquelog.facts.fastener_runs import Fastener
from torquelog.facts.readings import Reading
from torquelog.facts.recalls import FINAL, Disposition
from torquelog.rules import recall_readings
from torquelog.rules.recall_readings import Own, Readings
from torquelog.rules.recall_verdict import Judged

WORST_FIRST: Final = ("outside", "indeterminate", "within")


class Taken(NamedTuple):
    """A reading of a recall.

    Attributes:
        reading: as recorded.
        struck: whether it was struck.
        known: when this file came to know it.
        roles: as what the recalled tool stands in it besides its wrench: adapter, run-on-wrench or run-on-adapter.
        judged: what it really did.
    """

    reading: Reading
    struck: bool
    known: Moment
    roles: frozenset[str]
    judged: Judged

    @property
    def part(self) -> str:
        """What it is to its item: tightened, checked, refused or struck."""
        if self.struck:
            return "struck"
        if self.reading.outcome == "refused":
            return "refused"
        return "tightened" if self.reading.act == "tighten" else "checked"


class Again(NamedTuple):
    """A tightening after the recalled one.

    Attributes:
        entry: the reading, as QHR-000123.
        at: when.
        wrench: with which wrench.
        good_then: whether the wrench was good at that time by what was known then.
        good_now: whether nothing that is known now speaks against it.
        loosened: whether the fastener was loosened, or came apart, before.
    """

    entry: str
    at: Moment
    wrench: str
    good_then: bool
    good_now: bool
    loosened: bool

    @property
    def good(self) -> bool:
        """Whether it counts."""
        return self.good_then and self.good_now


class Where(NamedTuple):
    """Where an item is.

    Attributes:
        kind: aircraft, stores, shop, other, scrap, apart or unknown.
        registration, position, since: the aircraft, where it is on one; "" and nothing elsewhere.
        text: the place in words.
    """

    kind: str
    registration: str
    position: str
    since: Moment | None
    text: str

    @property
    def flying(self) -> bool:
        """Whether it is on an aircraft."""
        return self.kind == "aircraft"


class Found(NamedTuple):
    """What is found out about one fastener, before it is an item.

    Attributes:
        fastener: owner, group and number.
        governing: of its readings the one that is judged.
        readings: what is kept of all of them.
        undone: `loosened` or `apart` where what the governing reading did was undone since, else "".
        replaced: when its hardware was replaced since, or nothing.
        again: the last tightening since, or nothing.
        where: where it is.
    """

    fastener: Fastener
    governing: Taken
    readings: Readings
    undone: str
    replaced: Moment | None
    again: Again | None
    where: Where


class Item(NamedTuple):
    """One fastener of a recall.

    Attributes:
        number: its number in the recall.
        fastener: owner, group and number.
        readings: what is kept of the recall's readings on it.
        governing: the one that is judged.
        verdict: within, outside or indeterminate; reasons: why.
        over: `certain` or `possible` where the bolt got more than the card allows, else "".
        state: tight, loosened or apart: whether what the governing reading did still stands.
        replaced: when the hardware was replaced since, or nothing.
        again: the last tightening since, or nothing.
        where: where it is.
        disposition: the newest decision about it, or nothing.
        decided: whether that decision is final and no reading came in after it.
    """

    number: int
    fastener: Fastener
    readings: Readings
    governing: Taken
    verdict: str
    reasons: tuple[str, ...]
    over: str
    state: str
    replaced: Moment | None
    again: Again | None
    where: Where
    disposition: Disposition | None = None
    decided: bool = False

    @property
    def retightened(self) -> bool:
        """Whether a tightening that counts came after."""
        return self.again is not None and self.again.good

    @property
    def concerns(self) -> bool:
        """Whether what the recalled tool did is still there: it stands as it was left, or the bolt may have yielded.

        A tightening since that does not count, because its wrench is in doubt too, leaves it as it is.
        """
        if self.replaced is not None or self.retightened or self.state != "tight":
            doubtful = self.again is not None and not self.again.good
            return self.replaced is None and (doubtful or (bool(self.over) and self.verdict != "within"))
        return True

    @property
    def beyond(self) -> Fraction:
        """How far outside the nearer limit the governing torque lies, as a share of it; 0 where unknown."""
        return self.governing.judged.beyond or Fraction(0)


def governing(readings: Sequence[Taken]) -> Taken:
    """The reading whose torque stands: the last tightening, else the last check, refusal or struck entry.

    Args:
        readings: of one fastener, oldest first; at least one.
    """
    for part in ("tightened", "checked", "refused"):
        chosen = [each for each in readings if each.part == part]
        if chosen:
            return chosen[-1]
    return readings[-1]


def item(found: Found) -> Item:
    """Judge one fastener: by its governing reading, and by what an earlier one may have done to the bolt."""
    judged = found.governing.judged
    verdict, reasons = judged.answer, judged.reasons
    overs = {level for level, last in found.readings.over if found.replaced is None or last > found.replaced}
    over = next((level for level in ("certain", "possible") if level in overs), "")
    if over == "certain" and verdict != "outside":
        verdict, reasons = "outside", (*reasons, "over-torque-before")
    return Item(
        number=0, fastener=found.fastener, readings=found.readings, governing=found.governing, verdict=verdict,
        reasons=reasons, over=over, state=found.undone or "tight", replaced=found.replaced, again=found.again,
        where=found.where,
    )  # fmt: skip


def urgency(each: Item) -> tuple[object, ...]:
    """The order in which people should look: what concerns, what flies, how far out; then by name."""
    return (
        not each.concerns, not each.where.flying, WORST_FIRST.index(each.verdict), -each.beyond,
        each.where.registration, each.where.position, each.fastener,
    )  # fmt: skip


def numbered(items: Iterable[Item], order: Sequence[Fastener]) -> list[Item]:
    """Number the items: as they were numbered at the opening, later ones after these as they became known."""
    numbers = {fastener: place for place, fastener in enumerate(dict.fromkeys(order), 1)}
    late = [each for each in items if each.fastener not in numbers]
    for each in sorted(late, key=_known):
        numbers[each.fastener] = len(numbers) + 1
    return [each._replace(number=numbers[each.fastener]) for each in items]


def _known(each: Item) -> tuple[Moment, str, int, Fastener]:
    return *each.readings.first, each.fastener


def decided(each: Item, disposition: Disposition | None) -> Item:
    """The item with its newest decision; a reading that came to be known later opens it again."""
    return each._replace(disposition=disposition, decided=recall_readings.stand(each.readings, disposition))


def stands(reading: Reading, known: Moment, disposition: Disposition | None) -> bool:
    """Whether a decision is final and was taken when a reading was known already.

    Args:
        reading: the reading.
        known: when this file came to know it.
        disposition: the newest decision about its fastener, or nothing.
    """
    if disposition is None or disposition.decision not in FINAL:
        return False
    if known != reading.recorded:
        return known <= disposition.known
    return recall_readings.lies_before(Own(reading.station, reading.number, known), disposition)
