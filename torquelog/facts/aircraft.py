"""Aircraft: each known by its manufacturer's serial number; it bears a registration from a day on."""

import sqlite3
from datetime import date
from typing import Any, Final, NamedTuple

from torquelog import clock
from torquelog.facts import stations
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.rows import IN_ORDER, LATEST, AsOf, Mark, put, table
from torquelog.facts.strikes import stands

KINDS: Final = (
    Kind(
        "aircraft",
        (
            Member("msn", "identifier", "the manufacturer's serial number"),
            Member("type", "text", "the aircraft's type"),
        ),
    ),
    Kind(
        "registration",
        (
            Member("msn", "identifier", "the manufacturer's serial number"),
            Member("registration", "identifier", "the registration it bears"),
            Member("on", "date", "the first day, in the station's zone"),
            optional("why", "text", "the reason; absent: none was asked"),
        ),
    ),
)

TABLES: Final = "\n".join(
    (
        table("aircraft", "msn TEXT NOT NULL, type TEXT NOT NULL", indexes=("msn",)),
        table(
            "registration",
            "msn TEXT NOT NULL, registration TEXT NOT NULL",
            indexes=("msn, at", "registration, at"),
        ),
    )
)


class Aircraft(NamedTuple):
    """An aircraft: the manufacturer's serial number and the type."""

    msn: str
    type: str


class Registration(NamedTuple):
    """A registration that an aircraft bore from the moment `since` on."""

    msn: str
    registration: str
    since: clock.Moment


def _aircraft_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    put(connection, "aircraft", mark, mark.recorded, msn=body["msn"], type=body["type"])


def _registration_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    station = stations.station(connection, mark.station)
    place = clock.zone(station.zone if station else "UTC")
    at = clock.day_start(date.fromisoformat(body["on"]), place)
    put(connection, "registration", mark, at, msn=body["msn"], registration=body["registration"])


ROWS: Final = {"aircraft": _aircraft_rows, "registration": _registration_rows}


def by_msn(connection: sqlite3.Connection, msn: str, as_of: AsOf = LATEST) -> Aircraft | None:
    """The aircraft with this manufacturer's serial number, as it was first put on record anywhere."""
    row = connection.execute(
        f"SELECT msn, type FROM aircraft WHERE msn = :msn AND known <= :known AND {stands('aircraft')} "
        "ORDER BY recorded, station, number LIMIT 1",
        {"msn": msn, "known": as_of.known},
    ).fetchone()
    return Aircraft(*row) if row else None


def aircraft(connection: sqlite3.Connection, name: str, as_of: AsOf = LATEST) -> Aircraft | None:
    """The aircraft that bears this registration as of a moment, else the one with this serial number.

    A registration that nobody bore yet at the moment is looked up among the first ones on record: work done
    before its aircraft was put on record is about that aircraft all the same.
    """
    for msn in bearers(connection, name, as_of):
        if registration(connection, msn, as_of) == name:
            return by_msn(connection, msn, as_of)
    return by_msn(connection, name, as_of)


def registration(connection: sqlite3.Connection, msn: str, as_of: AsOf = LATEST) -> str | None:
    """The registration of an aircraft as of a moment; before the first on record, that first one.

    It has none after another aircraft was given its registration.
    """
    row = _first(
        connection,
        f"msn = :name AND at <= :at ORDER BY {_NEWEST_FIRST}",
        msn,
        as_of,
    ) or _first(connection, f"msn = :name ORDER BY {IN_ORDER}", msn, as_of)
    if row is None:
        return None
    newest = _first(
        connection, f"registration = :name AND at <= :at ORDER BY {_NEWEST_FIRST}", row.registration, as_of
    )
    return row.registration if newest is None or newest.msn == msn else None


def registrations(connection: sqlite3.Connection, msn: str, as_of: AsOf = LATEST) -> tuple[Registration, ...]:
    """Every registration that an aircraft bore, oldest first."""
    rows = connection.execute(
        f"{_SELECT} AND msn = :msn AND at <= :at ORDER BY {IN_ORDER}",
        {"msn": msn, "at": as_of.at, "known": as_of.known},
    )
    return tuple(Registration(*row) for row in rows)


def fleet(connection: sqlite3.Connection, as_of: AsOf = LATEST) -> list[Aircraft]:
    """Every aircraft on record, by serial number."""
    names = connection.execute(
        f"SELECT DISTINCT msn FROM aircraft WHERE known <= :known AND {stands('aircraft')} ORDER BY msn",
        {"known": as_of.known},
    ).fetchall()
    found = (by_msn(connection, msn, as_of) for (msn,) in names)
    return [each for each in found if each is not None]


def bearers(connection: sqlite3.Connection, name: str, as_of: AsOf = LATEST) -> list[str]:
    """The serial numbers of the aircraft that ever bore a registration, as far as known; the last one first."""
    rows = connection.execute(
        f"{_SELECT} AND registration = :name ORDER BY {_NEWEST_FIRST}",
        {"name": name, "known": as_of.known},
    )
    return list(dict.fromkeys(msn for msn, _, _ in rows))


def names(connection: sqlite3.Connection) -> list[str]:
    """Every registration and serial number on record."""
    rows = connection.execute(
        f"SELECT registration FROM registration WHERE {stands('registration')} "
        f"UNION SELECT msn FROM aircraft WHERE {stands('aircraft')}",
        {"known": LATEST.known},
    )
    return [name for (name,) in rows]


_NEWEST_FIRST: Final = "at DESC, recorded DESC, station DESC, number DESC"
_SELECT: Final = (
    f"SELECT msn, registration, at FROM registration WHERE known <= :known AND {stands('registration')}"
)


def _first(connection: sqlite3.Connection, condition: str, name: str, as_of: AsOf) -> Registration | None:
    values: dict[str, Any] = {"name": name, "at": as_of.at, "known": as_of.known}
    row = connection.execute(f"{_SELECT} AND {condition} LIMIT 1", values).fetchone()
    return Registration(*row) if row else None
