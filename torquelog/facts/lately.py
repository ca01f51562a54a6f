"""What was done last: by a person, for going on with it; in a group of a job, to notice a mixture of wrenches."""

import sqlite3
from typing import Final, TypeAlias

from torquelog.clock import Moment
from torquelog.facts.rows import LATEST, AsOf
from torquelog.facts.strikes import stands


def last_work(connection: sqlite3.Connection, person: str, as_of: AsOf = LATEST) -> tuple[str, Moment] | None:
    """The job of the reading that a person performed last, refused ones too, and when; struck ones do not count."""
    row = connection.execute(
        "SELECT job, at FROM reading WHERE performed_by = :person AND at <= :at AND known <= :known AND "
        f"{stands('reading')} ORDER BY at DESC, recorded DESC, station DESC, number DESC LIMIT 1",
        {"person": person, "at": as_of.at, "known": as_of.known},
    ).fetchone()
    return (str(row[0]), int(row[1])) if row else None


# By job, newest first, the first row is mostly the answer; by owner there would be years of them.
_LAST_IN_GROUP: Final = (
    "SELECT at, recorded, station, number, wrench FROM reading INDEXED BY reading_by_job WHERE owner = :owner "
    f"AND grp = :group AND job = :job AND outcome != 'refused' AND known <= :known AND {stands('reading')} "
    "ORDER BY at DESC, recorded DESC, station DESC, number DESC LIMIT 1"
)

LastUse: TypeAlias = tuple[Moment, Moment, str, int, str]
"""A reading by which a wrench was used: at, recorded, station, number, and the wrench; the greatest is the newest."""


def last_in_group(connection: sqlite3.Connection, job: str, owner: str, group: str) -> LastUse | None:
    """The newest standing reading in a job's group that was not refused, to notice a mixture of wrenches."""
    row: LastUse | None = connection.execute(
        _LAST_IN_GROUP, {"owner": owner, "group": group, "job": job, "known": LATEST.known}
    ).fetchone()
    return row
