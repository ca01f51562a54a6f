"""What a review of the record looks at: work as it was entered, signatures of those who check it, and the answers."""

import sqlite3
from collections.abc import Iterator
from typing import Final, NamedTuple

from torquelog.clock import Moment
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.members import target
from torquelog.facts.rows import LATEST, AsOf, Mark, put, table
from torquelog.facts.stations import counts_here
from torquelog.facts.strikes import stands
from torquelog.ledger.form import reference
from torquelog.torque.units import Torque

KINDS: Final = (
    Kind(
        "review-answer",
        (
            Member("entry", "reference", "the entry that the review asks about"),
            Member("why", "text", "the answer"),
            optional(
                "own",
                "yes",
                "by somebody who is asked about, as nobody else held the role; absent: by another",
            ),
        ),
        strikable=False,
    ),
)

TABLES: Final = table(
    "review_answer",
    "target_station TEXT NOT NULL, target_number INTEGER NOT NULL, signer TEXT NOT NULL, why TEXT NOT NULL, "
    "own INTEGER NOT NULL",
    indexes=("target_station, target_number",),
)


class Work(NamedTuple):
    """A standing reading as a review sees it; the columns of its table with the same names."""

    station: str
    number: int
    at: Moment
    recorded: Moment
    job: str
    owner: str
    group: str
    item: int
    wrench: str
    value: str
    unit: str
    performed_by: str
    outcome: str
    awaits: int

    @property
    def indicated(self) -> Torque:
        """What was set or read."""
        return Torque(self.value, self.unit)

    @property
    def reference(self) -> str:
        """Its entry."""
        return reference(self.station, self.number)


class Signature(NamedTuple):
    """What somebody signed who checks the work of others: the entry, when, who, and whether it is an approval,
    an inspection or a confirmation.
    """

    station: str
    number: int
    recorded: Moment
    person: str
    what: str

    @property
    def reference(self) -> str:
        """Its entry."""
        return reference(self.station, self.number)


class Inspection(NamedTuple):
    """An inspection beside the last reading of what it looked at: both entries, both times, job and group."""

    station: str
    number: int
    at: Moment
    recorded: Moment
    person: str
    job: str
    group: str
    worked: Moment

    @property
    def reference(self) -> str:
        """Its entry."""
        return reference(self.station, self.number)


class Answered(NamedTuple):
    """An answer: its entry, the entry it is about, when, by whom, and what it says."""

    station: str
    number: int
    entry: str
    recorded: Moment
    signer: str
    why: str
    own: bool

    @property
    def reference(self) -> str:
        """Its own entry."""
        return reference(self.station, self.number)


def _answer_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    station, number = target(body["entry"])
    put(
        connection, "review_answer", mark, mark.recorded,
        target_station=station, target_number=number, signer=mark.signer, why=body["why"], own=int("own" in body),
    )  # fmt: skip


ROWS: Final = {"review-answer": _answer_rows}

_WORK: Final = (
    "SELECT station, number, at, recorded, job, owner, grp, item, wrench, value, unit, performed_by, outcome, awaits "
    f"FROM reading WHERE at <= :at AND known <= :known AND {stands('reading')} "
    "ORDER BY at, recorded, station, number"
)
_SIGNED: Final = (
    "SELECT DISTINCT station, number, recorded, performed_by, 'inspection' FROM inspection "
    f"WHERE known <= :known AND {stands('inspection')} UNION ALL "
    "SELECT station, number, recorded, approver, 'approval' FROM card_approval "
    f"WHERE known <= :known AND {stands('card_approval')} ORDER BY 3, 1, 2"
)
_INSPECTED: Final = (
    "SELECT inspection.station, inspection.number, inspection.at, inspection.recorded, inspection.performed_by, "
    "inspection.job, inspection.grp, max(reading.at) FROM inspection JOIN reading ON reading.owner = inspection.owner "
    "AND reading.grp = inspection.grp AND reading.item = inspection.item AND reading.job = inspection.job "
    "AND reading.at <= inspection.at AND reading.at > inspection.at - :within AND reading.known <= :known "
    "WHERE inspection.known <= :known "
    f"AND {stands('inspection')} GROUP BY inspection.station, inspection.number "
    "ORDER BY inspection.recorded, inspection.station, inspection.number"
)


def work(connection: sqlite3.Connection, as_of: AsOf = LATEST) -> Iterator[Work]:
    """Every standing reading, refused ones too, in the order in which the work was done."""
    return map(Work._make, connection.execute(_WORK, as_of._asdict()))


def size(connection: sqlite3.Connection, as_of: AsOf = LATEST) -> int:
    """About how many readings `work` walks through: struck ones are counted as well."""
    (count,) = connection.execute("SELECT count(*) FROM reading WHERE known <= ?", (as_of.known,)).fetchone()
    return int(count)


def signatures(connection: sqlite3.Connection, as_of: AsOf = LATEST) -> list[Signature]:
    """Every standing inspection and approval, in the order in which they were recorded."""
    return [Signature(*row) for row in connection.execute(_SIGNED, as_of._asdict())]


def inspections(connection: sqlite3.Connection, within: Moment, as_of: AsOf = LATEST) -> list[Inspection]:
    """The standing inspections of what was worked on within so long before, with the last reading of it."""
    rows = connection.execute(_INSPECTED, {**as_of._asdict(), "within": within})
    return [Inspection(*row) for row in rows]


def answers(connection: sqlite3.Connection, as_of: AsOf = LATEST) -> list[Answered]:
    """Every answer of this station and of those that quality here has accepted, oldest first."""
    rows = connection.execute(
        "SELECT station, number, target_station, target_number, recorded, signer, why, own FROM review_answer "
        f"WHERE at <= :at AND known <= :known AND {counts_here('review_answer')} ORDER BY recorded, station, number",
        as_of._asdict(),
    )
    return [
        Answered(row[0], row[1], reference(row[2], row[3]), row[4], row[5], row[6], bool(row[7]))
        for row in rows
    ]
