"""What was struck in a job besides its readings: acts, steps, parts and inspections, each still told with its strike."""

import sqlite3
from typing import Final, NamedTuple

from torquelog.clock import Moment
from torquelog.facts.rows import LATEST, AsOf


class Struck(NamedTuple):
    """A struck entry of a job.

    Attributes:
        station, number: the entry.
        at: when the work was said to be done.
        what: what it said, in few words; group the fastener's group or "", item its number or 0.
        performed_by: who did it.
    """

    station: str
    number: int
    at: Moment
    group: str
    item: int
    what: str
    performed_by: str


_WHAT: Final = {
    "fastener_act": ("grp", "item", "act || coalesce(' ' || what, '')"),
    "step_done": ("coalesce(grp, '')", "coalesce(item, 0)", "step"),
    "part_change": ("''", "0", "'part ' || direction || ' ' || hardware"),
    "inspection": ("grp", "item", "'inspection: ' || outcome"),
}
"""Each table of work besides the readings: its group, its number, and what a row of it says."""

_OF_JOB: Final = " UNION ALL ".join(
    f"SELECT {table}.station, {table}.number, {table}.at, {group}, {item}, {what}, performed_by FROM {table} "
    f"WHERE job = :job AND {table}.at <= :at AND {table}.known <= :known AND EXISTS (SELECT 1 FROM strike "
    f"WHERE strike.target_station = {table}.station AND strike.target_number = {table}.number "
    "AND strike.known <= :known)"
    for table, (group, item, what) in _WHAT.items()
)


def struck_of_job(connection: sqlite3.Connection, job: str, as_of: AsOf = LATEST) -> list[Struck]:
    """The struck acts, steps, parts and inspections of a job, in the order of the work."""
    rows = connection.execute(
        f"{_OF_JOB} ORDER BY 3, 1, 2, 5", {"job": job, "at": as_of.at, "known": as_of.known}
    )
    return [Struck(*row) for row in rows]
