"""What a person did last: for going on with it."""

import sqlite3

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
