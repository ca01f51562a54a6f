"""Decisions that accept a fastener as it is, on approved data: what a recording asks of a recall's dispositions."""

import sqlite3
from typing import Final, NamedTuple

from torquelog.clock import Moment
from torquelog.facts.rows import LATEST, AsOf
from torquelog.facts.stations import counts_here


class AsItIs(NamedTuple):
    """A decision by which fasteners stay as they are: when, its entry, and their numbers from first to last."""

    at: Moment
    recorded: Moment
    station: str
    number: int
    first: int
    last: int


_OF_GROUP: Final = (
    "SELECT disposition.at, disposition.recorded, disposition.station, disposition.number, first, last "
    "FROM disposition_run JOIN disposition USING (station, number) WHERE owner = :owner AND grp = :group "
    "AND decision = 'accepted' AND document IS NOT NULL AND disposition.at <= :at AND disposition.known <= :known "
    f"AND (disposition.station = recall_station OR {counts_here('disposition')}) "
    "ORDER BY disposition.at, disposition.recorded, disposition.station, disposition.number, part"
)


def as_they_are(
    connection: sqlite3.Connection, owner: str, group: str, as_of: AsOf = LATEST
) -> tuple[AsItIs, ...]:
    """The decisions that accept fasteners of a group as they are, oldest first; each names its approved data."""
    rows = connection.execute(
        _OF_GROUP, {"owner": owner, "group": group, "at": as_of.at, "known": as_of.known}
    )
    return tuple(AsItIs(*row) for row in rows)
