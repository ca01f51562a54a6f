"""Inspections: fasteners accepted or rejected by somebody who did none of their work, item by item.

A re-inspection is another kind: where nobody else is there, the performer looks again and gives the reason. It is
never an independent inspection, and it lifts no rejection.
"""

import sqlite3
from collections.abc import Iterator
from typing import Any, Final, NamedTuple

from torquelog.clock import Moment, from_offset_text
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.readings import owner_text
from torquelog.facts.rows import LATEST, AsOf, Mark, put, table
from torquelog.facts.strikes import stands

OUTCOMES: Final = ("accepted", "rejected")

_MEMBERS: Final = (
    Member("job", "identifier", "the job"),
    Member("group", "name", "the group"),
    Member("items", "count*", "the numbers of the fasteners"),
    optional("assembly", "text", "part and serial number, where the fasteners travel with an assembly"),
    optional("aircraft", "identifier", "the aircraft's serial number, where they stay with the aircraft"),
    optional("position", "text", "the position on the aircraft, beside `aircraft`"),
    Member("outcome", "name", "accepted or rejected"),
    optional(
        "wrench_seen", "identifier*", "the wrenches that the inspector read, blind; absent: none was seen"
    ),
    Member("performed_by", "identifier", "who inspected"),
    Member("performed_at", "moment", "when"),
)

KINDS: Final = (
    Kind(
        "inspection",
        (*_MEMBERS, optional("why", "text", "what was found; a rejection has one; absent: nothing")),
    ),
    Kind("re-inspection", (*_MEMBERS, Member("why", "text", "why the performer looked again himself"))),
)

TABLES: Final = table(
    "inspection",
    "job TEXT NOT NULL, owner TEXT NOT NULL, grp TEXT NOT NULL, item INTEGER NOT NULL, outcome TEXT NOT NULL, "
    "own INTEGER NOT NULL, performed_by TEXT NOT NULL, seen TEXT, why TEXT",
    part=True,
    indexes=("owner, grp, item, at", "job"),
)


class Inspected(NamedTuple):
    """One fastener as it was inspected.

    Attributes:
        station, number: the entry.
        at, recorded: when it was inspected and when recorded.
        job, group, item: which fastener, in which job.
        outcome: accepted or rejected.
        own: whether its performer looked again, as nobody else was there.
        performed_by: who inspected.
        why: what was found, or "".
    """

    station: str
    number: int
    at: Moment
    recorded: Moment
    job: str
    group: str
    item: int
    outcome: str
    own: bool
    performed_by: str
    why: str


def _rows(connection: sqlite3.Connection, mark: Mark, body: Body, own: int) -> None:
    at = from_offset_text(body["performed_at"])
    for part, item in enumerate(body["items"]):
        put(
            connection, "inspection", mark, at,
            part=part, job=body["job"], owner=owner_text(body), grp=body["group"], item=int(item),
            outcome=body["outcome"], own=own, performed_by=body["performed_by"],
            seen=", ".join(body["wrench_seen"]) if "wrench_seen" in body else None, why=body.get("why"),
        )  # fmt: skip


def _inspection_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    _rows(connection, mark, body, 0)


def _re_inspection_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    _rows(connection, mark, body, 1)


ROWS: Final[dict[str, Any]] = {"inspection": _inspection_rows, "re-inspection": _re_inspection_rows}


def of_group(
    connection: sqlite3.Connection, owner: str, group: str, item: int | None, as_of: AsOf = LATEST
) -> Iterator[Inspected]:
    """The standing inspections of one fastener, or of a whole group where `item` is None, oldest first."""
    one = "" if item is None else "AND item = :item "
    rows = connection.execute(
        "SELECT station, number, at, recorded, job, grp, item, outcome, own, performed_by, coalesce(why, '') "
        f"FROM inspection WHERE owner = :owner AND grp = :group {one}AND at <= :at AND known <= :known "
        f"AND {stands('inspection')} ORDER BY at, recorded, station, number, part",
        {"owner": owner, "group": group, "item": item, "at": as_of.at, "known": as_of.known},
    )
    return (Inspected._make(row)._replace(own=bool(row[8])) for row in rows)


def performers(
    connection: sqlite3.Connection, owner: str, group: str, jobs: frozenset[str], as_of: AsOf = LATEST
) -> frozenset[str]:
    """Who performed or signed work in a group in any of these jobs, struck entries included."""
    found: set[str] = set()
    for job in sorted(jobs):
        named = {"owner": owner, "group": group, "job": job, "known": as_of.known}
        for work in ("reading", "fastener_act", "step_done"):
            rows = connection.execute(
                f"SELECT DISTINCT performed_by FROM {work} WHERE owner = :owner AND grp = :group AND job = :job "
                "AND known <= :known",
                named,
            )
            found.update(person for (person,) in rows)
        rows = connection.execute(
            "SELECT DISTINCT signer FROM reading WHERE owner = :owner AND grp = :group AND job = :job "
            "AND known <= :known",
            named,
        )
        found.update(person for (person,) in rows)
    return frozenset(found)


def performed_in_job(connection: sqlite3.Connection, job: str, as_of: AsOf = LATEST) -> frozenset[str]:
    """Who performed any work at all in a job."""
    named = {"job": job, "known": as_of.known}
    found: set[str] = set()
    for work in ("reading", "fastener_act", "step_done"):
        rows = connection.execute(
            f"SELECT DISTINCT performed_by FROM {work} WHERE job = :job AND known <= :known", named
        )
        found.update(person for (person,) in rows)
    return frozenset(found)
