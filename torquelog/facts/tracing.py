"""Which readings a search names: by tool, by whose fasteners, by person, lot or card; struck and refused ones too."""

import sqlite3
from collections.abc import Iterator
from typing import Final, NamedTuple

from torquelog.clock import Moment
from torquelog.facts.lots import OF_LOT
from torquelog.facts.readings import COLUMNS, Reading, from_row
from torquelog.facts.rows import LATEST, AsOf
from torquelog.facts.strikes import STRUCK, stands

_EVERYBODY: Final = (
    "(WITH RECURSIVE one (person) AS (SELECT min(performed_by) FROM reading UNION ALL "
    "SELECT (SELECT min(performed_by) FROM reading WHERE performed_by > one.person) FROM one "
    "WHERE one.person IS NOT NULL) SELECT person FROM one WHERE person IS NOT NULL) "
    "CROSS JOIN reading INDEXED BY reading_by_performed_by ON reading.performed_by = person"
)
"""The readings of everybody who performed any, found by a leap from one person to the next: then their index finds
those of a time, and the others are not looked at."""

_FROM: Final[dict[str, str]] = {
    "tool": "(SELECT DISTINCT station, number FROM tool_use WHERE tool = :name AND at >= :since AND at < :until) "
    "JOIN reading USING (station, number) WHERE 1",
    "owner": "reading WHERE reading.owner = :name",
    "position": "reading WHERE reading.owner >= :name || ' ' AND reading.owner < :name || '!'",
    "person": "reading WHERE reading.performed_by = :name",
    "lot": f"reading WHERE {OF_LOT}",
    "job": "reading WHERE reading.job = :name",
    "card": "reading WHERE reading.job IN (SELECT job.job FROM job WHERE job.card = :name "
    "AND :revision IN ('', job.revision) AND job.known <= :known)",
    "shop": f"{_EVERYBODY} WHERE reading.station = :name AND reading.owner >= 'assembly ' "
    "AND reading.owner < 'assembly!'",
    "window": f"{_EVERYBODY} WHERE :name = ''",
}
"""By what a search goes: a tool, an owner, all positions of an aircraft, a performer, a lot, a job, the jobs of a card,
a station's work on assemblies; or by time alone."""

_ORDERS: Final = {
    False: "reading.at, reading.recorded, reading.station, reading.number",
    True: "owner, grp, item, reading.at, reading.recorded, reading.station, reading.number",
}
"""The order of the work; or fastener by fastener, each in that order. SQLite sorts what does not fit in a file."""


class Traced(NamedTuple):
    """A reading that a search found, whether it was struck, and when this file came to know it."""

    reading: Reading
    struck: bool
    known: Moment


def traced(
    connection: sqlite3.Connection, source: str, name: str, since: Moment, until: Moment, as_of: AsOf = LATEST,
    *, revision: str = "", by_fastener: bool = False,
) -> Iterator[Traced]:  # fmt: skip
    """The readings that a search names, performed from `since` up to, not including, `until`, oldest first.

    Args:
        connection: the record.
        source: one of the keys of the table of sources: tool, owner, position, person, lot, job, card or shop.
        name: the tool, the owner text, the person, the lot, the job, the card or the station; for `position` the text
            `aircraft MSN`.
        since, until: milliseconds since 1970 UTC.
        as_of: which facts count.
        revision: of a card, the only one meant, or "".
        by_fastener: whether they come fastener by fastener, each one's oldest first.
    """
    rows = connection.execute(
        f"SELECT {COLUMNS}, {STRUCK}, reading.known FROM {_FROM[source]} AND reading.at >= :since "
        "AND reading.at < :until AND reading.at <= :at AND reading.known <= :known "
        f"ORDER BY {_ORDERS[by_fastener]}",
        {
            "name": name, "since": since, "until": until, "at": as_of.at, "known": as_of.known, "revision": revision,
        },
    )  # fmt: skip
    return (Traced(from_row(row), row[-2] == 1, row[-1]) for row in rows)


def how_many(
    connection: sqlite3.Connection, source: str, name: str, since: Moment, until: Moment, as_of: AsOf = LATEST,
    *, revision: str = "",
) -> int:  # fmt: skip
    """How many readings a search names (`traced`)."""
    row: tuple[int] = connection.execute(
        f"SELECT count(*) FROM {_FROM[source]} AND reading.at >= :since AND reading.at < :until "
        "AND reading.at <= :at AND reading.known <= :known",
        {
            "name": name, "since": since, "until": until, "at": as_of.at, "known": as_of.known, "revision": revision,
        },
    ).fetchone()  # fmt: skip
    return row[0]


class Newest(NamedTuple):
    """Of a fastener's readings that a search names, those of one station that this file came to know in one way.

    Attributes:
        owner, group, item: the fastener.
        station: whose readings.
        late: 1 where this file came to know them later than they were recorded, else 0.
        number: the highest number of their entries.
        known: when the last of them was known.
    """

    owner: str
    group: str
    item: int
    station: str
    late: int
    number: int
    known: Moment


def newest_of_each(
    connection: sqlite3.Connection, source: str, name: str, since: Moment, until: Moment, as_of: AsOf = LATEST,
    *, revision: str = "",
) -> Iterator[Newest]:  # fmt: skip
    """The newest readings of each fastener that a search names (`traced`), fastener by fastener."""
    rows = connection.execute(
        "SELECT owner, grp, item, reading.station, reading.known <> reading.recorded, max(reading.number), "
        f"max(reading.known) FROM {_FROM[source]} AND reading.at >= :since AND reading.at < :until "
        "AND reading.at <= :at AND reading.known <= :known GROUP BY 1, 2, 3, 4, 5 ORDER BY 1, 2, 3, 4, 5",
        {
            "name": name, "since": since, "until": until, "at": as_of.at, "known": as_of.known, "revision": revision,
        },
    )  # fmt: skip
    return map(Newest._make, rows)


def naming(
    connection: sqlite3.Connection, tool: str, since: Moment, until: Moment, as_of: AsOf = LATEST
) -> int:
    """How many readings name a tool in a window, counted by themselves, to compare with what a search shows."""
    row: tuple[int] = connection.execute(
        "SELECT count(*) FROM (SELECT DISTINCT station, number FROM tool_use WHERE tool = ? AND at >= ? AND at < ? "
        "AND at <= ? AND known <= ? AND role NOT IN ('elsewhere', 'tested'))",
        (tool, since, until, as_of.at, as_of.known),
    ).fetchone()
    return row[0]


def jobs_of_card(
    connection: sqlite3.Connection, card: str, as_of: AsOf = LATEST, revision: str = ""
) -> list[str]:
    """The jobs that were opened by a card: by one revision where it is named, else by any."""
    rows = connection.execute(
        "SELECT DISTINCT job FROM job WHERE card = ? AND ? IN ('', revision) AND known <= ? ORDER BY job",
        (card, revision, as_of.known),
    )
    return [name for (name,) in rows]


def opened_by_card(connection: sqlite3.Connection, card: str, as_of: AsOf = LATEST) -> bool:
    """Whether any job was opened by a card."""
    row = connection.execute(
        "SELECT 1 FROM job WHERE card = ? AND known <= ? LIMIT 1", (card, as_of.known)
    ).fetchone()
    return row is not None


class Tightening(NamedTuple):
    """A standing tightening within its limits: which fastener, when, its entry, with which wrench, and how."""

    item: int
    at: Moment
    recorded: Moment
    station: str
    number: int
    wrench: str
    loosened: int
    awaits: int


def last_tightening(
    connection: sqlite3.Connection, owner: str, group: str, item: int, since: Moment, as_of: AsOf = LATEST
) -> Tightening | None:
    """The newest standing tightening of one fastener within its limits, where it is not older than a moment."""
    row = connection.execute(
        "SELECT item, at, recorded, station, number, wrench, loosened, awaits FROM reading WHERE owner = :owner "
        "AND grp = :group AND item = :item AND at >= :since AND act = 'tighten' AND outcome = 'within' "
        f"AND at <= :at AND known <= :known AND {stands('reading')} "
        "ORDER BY at DESC, recorded DESC, station DESC, number DESC LIMIT 1",
        {"owner": owner, "group": group, "item": item, "since": since, "at": as_of.at, "known": as_of.known},
    ).fetchone()
    return Tightening(*row) if row else None


def taken_apart(
    connection: sqlite3.Connection, assembly: str, since: Moment, as_of: AsOf = LATEST
) -> Iterator[tuple[Moment, Moment, str, int]]:
    """When an assembly came apart or was scrapped from a moment on: (at, recorded, station, number), oldest first."""
    rows: Iterator[tuple[Moment, Moment, str, int]] = connection.execute(
        "SELECT at, recorded, station, number FROM placement WHERE assembly = :assembly AND at >= :since "
        "AND (act = 'take-apart' OR destination = 'scrap') AND at <= :at AND known <= :known "
        f"AND {stands('placement')} ORDER BY at, recorded, station, number",
        {"assembly": assembly, "since": since, "at": as_of.at, "known": as_of.known},
    )
    return rows


def of_fastener(
    connection: sqlite3.Connection, owner: str, group: str, item: int, as_of: AsOf = LATEST
) -> Iterator[Traced]:
    """Every reading of one fastener, refused and struck ones too, oldest first."""
    rows = connection.execute(
        f"SELECT {COLUMNS}, {STRUCK}, reading.known FROM reading WHERE owner = :owner AND grp = :group "
        "AND item = :item AND at <= :at AND known <= :known ORDER BY at, recorded, station, number",
        {"owner": owner, "group": group, "item": item, "at": as_of.at, "known": as_of.known},
    )
    return (Traced(from_row(row[:-2]), bool(row[-2]), row[-1]) for row in rows)
