"""The history of one fastener, for when it failed: who did what, when, with which wrench, and was that good?

Each torque is judged twice: by what was known then, and by what is known now.
"""

import sqlite3
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from torquelog.book.fasteners import endings
from torquelog.book.opening import Book
from torquelog.book.recall_doubts import Doubts
from torquelog.book.recall_judging import Judge, Scope
from torquelog.book.standing import Order, group_of, order_of
from torquelog.clock import Moment
from torquelog.errors import TorquelogError
from torquelog.facts import acts, uses
from torquelog.facts.card_form import Group
from torquelog.facts.readings import Reading
from torquelog.facts.rows import END_OF_TIME, LATEST, AsOf
from torquelog.facts.tracing import Traced, of_fastener
from torquelog.ledger.form import reference
from torquelog.quality.recall_view import Locations, head_of
from torquelog.rules.neighbours import beside
from torquelog.rules.recall_item import Where
from torquelog.rules.recall_verdict import Judged


class Torque(NamedTuple):
    """What a reading of a history did.

    Attributes:
        reading: as recorded.
        judged: what the fastener really got, as far as known now.
        doubts: recalls, and entries that call for one, which put a tool of it in doubt at that time.
    """

    reading: Reading
    judged: Judged
    doubts: tuple[str, ...]

    @property
    def good_then(self) -> bool:
        """Whether its tools were good, and its torque within the limits, by what was known then."""
        return self.reading.outcome == "within"

    @property
    def good_now(self) -> bool:
        """Whether that still holds by what is known now."""
        return self.good_then and self.judged.answer == "within" and not self.doubts


class Happening(NamedTuple):
    """One thing that happened to a fastener.

    Attributes:
        order: when, and its entry.
        what: tightened, checked, refused, struck, loosened, replaced, found, locked, or what its assembly did:
            fit, remove, move, take-apart.
        job, person: in which job, by whom; "" for what an assembly did.
        detail: what was found, or fitted; or "".
        torque: of a reading; else nothing.
    """

    order: Order
    what: str
    job: str
    person: str
    detail: str
    torque: Torque | None = None

    @property
    def at(self) -> Moment:
        """When it was done."""
        return self.order[0]

    @property
    def entry(self) -> str:
        """Its entry."""
        return reference(self.order[2], self.order[3])


class History(NamedTuple):
    """The history of one fastener.

    Attributes:
        owner, group, item: which.
        where: where it is.
        happenings: oldest first.
        neighbours: the numbers of the fasteners beside it, as far as the card says, at least one on each side.
        complete_as_of: the entry up to which this is complete.
    """

    owner: str
    group: str
    item: int
    where: Where
    happenings: tuple[Happening, ...]
    neighbours: tuple[int, ...]
    complete_as_of: str


def history(book: Book, owner: str, group: str, item: int, as_of: AsOf = LATEST) -> History:
    """Tell everything on record about one fastener.

    Args:
        book: the record.
        owner: whose it is: `assembly PART SERIAL` or `aircraft MSN POSITION`.
        group, item: which.
        as_of: which facts count.

    Raises:
        TorquelogError: `fastener-unknown` where nothing is on record about it.
    """
    connection = book.connection
    found = list(of_fastener(connection, owner, group, item, as_of))
    happenings = [*_readings(connection, found, as_of), *_acts(connection, owner, group, item, as_of)]
    if not happenings:
        raise TorquelogError(
            "fastener-unknown",
            f"Nothing is on record about {group}:{item} there.",
            hint="Look at the number, and at --assembly or --aircraft and --position",
        )
    in_jobs = {each.job for each in happenings}
    card_group = next(filter(None, (group_of(connection, job, group) for job in sorted(in_jobs))), None)
    happenings += _endings(connection, owner, card_group, in_jobs, as_of)
    return History(
        owner, group, item, Locations(connection, as_of)(owner),
        tuple(sorted(happenings, key=lambda each: each.order)), _neighbours(card_group, item), head_of(book),
    )  # fmt: skip


def _neighbours(group: Group | None, item: int) -> tuple[int, ...]:
    return beside(item, group.count, max(group.neighbours, 1)) if group else ()


def _readings(connection: sqlite3.Connection, found: Iterable[Traced], as_of: AsOf) -> Iterator[Happening]:
    judge = Judge(connection, Scope("", "", "", "", 0, END_OF_TIME), as_of)
    doubts = Doubts(connection, as_of)
    for each in found:
        reading = each.reading
        what = "tightened" if reading.act == "tighten" else "checked"
        if each.struck or reading.outcome == "refused":
            what = "struck" if each.struck else "refused"
        against = [
            doubt
            for tool in uses.tools_of(connection, reading.station, reading.number)
            for doubt in doubts.about(tool, reading.at)
        ]
        torque = Torque(reading, judge.judged(reading, frozenset(), {}), tuple(dict.fromkeys(against)))
        yield Happening(order_of(reading), what, reading.job, reading.performed_by, "", torque)


def _acts(
    connection: sqlite3.Connection, owner: str, group: str, item: int, as_of: AsOf
) -> Iterator[Happening]:
    for act in acts.on_fastener(connection, owner, group, item, as_of):
        fitted = [word for word in (act.hardware, act.serial, act.lot and f"lot {act.lot}") if word]
        detail = act.what or " ".join(fitted)
        if act.why:
            detail = f"{detail}: {act.why}" if detail else act.why
        order = (act.at, act.recorded, act.station, act.number)
        yield Happening(order, act.act, act.job, act.performed_by, detail)


def _endings(
    connection: sqlite3.Connection, owner: str, group: Group | None, in_jobs: set[str], as_of: AsOf
) -> Iterator[Happening]:
    """What its assembly did, or what came to its position and left."""
    if group is None:
        return
    for event in endings(connection, owner, group, in_jobs, as_of):
        order = (event.at, event.recorded, event.station, event.number)
        yield Happening(order, event.what, "", "", "")
