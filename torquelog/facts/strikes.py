"""Strikes, which say that an entry was a mistake, and confirmations, by which a second person vouches for one.

Neither changes the entry it names; both may arrive before it, when chains of several stations are merged.
"""

import sqlite3
from typing import Final, NamedTuple

from torquelog.clock import Moment
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.rows import LATEST, AsOf, Mark, put, table

KINDS: Final = (
    Kind(
        "strike",
        (
            Member("entry", "reference", "the entry that was a mistake"),
            Member("why", "text", "the reason"),
            optional(
                "awaits", "yes", "it takes away what left a fastener open: a second person has to confirm it"
            ),
        ),
        strikable=False,
    ),
    Kind(
        "confirmation",
        (
            Member("entry", "reference", "the entry that waited for a second person"),
            Member("why", "text", "what it rests on"),
            optional("own", "yes", "nobody else held the role; absent: a second person confirmed"),
        ),
    ),
)

_TARGET: Final = "target_station TEXT NOT NULL, target_number INTEGER NOT NULL, why TEXT NOT NULL"

TABLES: Final = "\n".join(
    (
        table("strike", _TARGET + ", awaits INTEGER NOT NULL", indexes=("target_station, target_number",)),
        table("confirmation", _TARGET + ", own INTEGER NOT NULL", indexes=("target_station, target_number",)),
    )
)


class Strike(NamedTuple):
    """A strike: its own entry, when it was recorded, why, and whether it waits for a second person's word."""

    station: str
    number: int
    recorded: Moment
    why: str
    awaits: bool


STRUCK: Final = (
    "EXISTS (SELECT 1 FROM strike WHERE strike.target_station = reading.station "
    "AND strike.target_number = reading.number AND strike.known <= :known)"
)
"""SQL for "this reading is struck, as far as known by :known"."""


def stands(table_name: str) -> str:
    """SQL for "this row's entry is not struck, as far as known by :known" (bind the parameter `known`)."""
    return (
        f"NOT EXISTS (SELECT 1 FROM strike WHERE strike.target_station = {table_name}.station "
        f"AND strike.target_number = {table_name}.number AND strike.known <= :known)"
    )


def _target(body: Body) -> tuple[str, int]:
    station, _, number = body["entry"].rpartition("-")
    return station, int(number)


def _strike_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    station, number = _target(body)
    put(
        connection, "strike", mark, mark.recorded,
        target_station=station, target_number=number, why=body["why"], awaits=int("awaits" in body),
    )  # fmt: skip


def _confirmation_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    station, number = _target(body)
    put(
        connection, "confirmation", mark, mark.recorded,
        target_station=station, target_number=number, why=body["why"], own=int("own" in body),
    )  # fmt: skip


ROWS: Final = {"strike": _strike_rows, "confirmation": _confirmation_rows}


def strike_of(
    connection: sqlite3.Connection, station: str, number: int, as_of: AsOf = LATEST
) -> Strike | None:
    """The strike that names an entry, the earliest if several do."""
    row = connection.execute(
        "SELECT station, number, recorded, why, awaits FROM strike WHERE target_station = ? AND target_number = ? "
        "AND known <= ? ORDER BY recorded, station, number LIMIT 1",
        (station, number, as_of.known),
    ).fetchone()
    return Strike(row[0], row[1], row[2], row[3], bool(row[4])) if row else None


def last_struck(connection: sqlite3.Connection, station: str) -> int:
    """The largest number of a chain's entry that a strike names, 0 for none; a strike may come before its entry."""
    (number,) = connection.execute(
        "SELECT max(target_number) FROM strike WHERE target_station = ?", (station,)
    ).fetchone()
    return number or 0


def confirmed(connection: sqlite3.Connection, station: str, number: int, as_of: AsOf = LATEST) -> bool:
    """Whether a second person has confirmed an entry."""
    row = connection.execute(
        f"SELECT 1 FROM confirmation WHERE target_station = :station AND target_number = :number "
        f"AND known <= :known AND {stands('confirmation')}",
        {"station": station, "number": number, "known": as_of.known},
    ).fetchone()
    return row is not None


def waiting_in_job(
    connection: sqlite3.Connection, job: str, as_of: AsOf = LATEST
) -> list[tuple[str, int, str, int]]:
    """Strikes of a job's work that wait for a second person: group, number of the fastener, and the strike."""
    found = [
        row
        for work in ("reading", "fastener_act")
        for row in connection.execute(_WAITING.format(work=work), {"job": job, "known": as_of.known})
    ]
    return [(group, item, station, number) for _, station, number, group, item in sorted(found)]


_WAITING: Final = (
    "SELECT strike.recorded, strike.station, strike.number, grp, item FROM {work} JOIN strike "
    "ON strike.target_station = {work}.station AND strike.target_number = {work}.number "
    "WHERE {work}.job = :job AND {work}.known <= :known AND strike.awaits = 1 AND strike.known <= :known "
    "AND NOT EXISTS "
    "(SELECT 1 FROM confirmation WHERE confirmation.target_station = strike.station "
    "AND confirmation.target_number = strike.number AND confirmation.known <= :known "
    f"AND {stands('confirmation')})"
)


def own_in_job(connection: sqlite3.Connection, job: str, as_of: AsOf = LATEST) -> list[tuple[str, int]]:
    """What was confirmed in a job by one who did it, as nobody else could: readings, and strikes of its work."""
    named = {"job": job, "known": as_of.known}
    found = {
        (station, number)
        for query in (_OWN_READING, *(_OWN_STRIKE.format(work=work) for work in ("reading", "fastener_act")))
        for station, number in connection.execute(query, named)
    }
    return sorted(found)


_OWN_READING: Final = (
    "SELECT target_station, target_number FROM reading JOIN confirmation "
    "ON target_station = reading.station AND target_number = reading.number "
    "WHERE reading.job = :job AND confirmation.own = 1 AND confirmation.known <= :known "
    f"AND {stands('confirmation')}"
)
_OWN_STRIKE: Final = (
    "SELECT confirmation.target_station, confirmation.target_number FROM {work} JOIN strike "
    "ON strike.target_station = {work}.station AND strike.target_number = {work}.number "
    "JOIN confirmation ON confirmation.target_station = strike.station "
    "AND confirmation.target_number = strike.number "
    "WHERE {work}.job = :job AND confirmation.own = 1 AND confirmation.known <= :known AND strike.known <= :known "
    f"AND {stands('confirmation')}"
)


class Named(NamedTuple):
    """A strike with the entry that it names."""

    strike: Strike
    station: str
    number: int


def every_strike(connection: sqlite3.Connection, as_of: AsOf = LATEST) -> list[Named]:
    """Every strike, in the order in which they were recorded."""
    rows = connection.execute(
        "SELECT station, number, recorded, why, awaits, target_station, target_number FROM strike "
        "WHERE known <= ? ORDER BY recorded, station, number",
        (as_of.known,),
    )
    return [Named(Strike(row[0], row[1], row[2], row[3], bool(row[4])), row[5], row[6]) for row in rows]
