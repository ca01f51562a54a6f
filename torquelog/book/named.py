"""What a person named: the aircraft, assembly, card or job on record, or an error that shows what is close to it."""

import sqlite3
from collections.abc import Iterable

from torquelog.errors import TorquelogError
from torquelog.facts import aircraft, assemblies, cards, jobs, stations
from torquelog.facts.aircraft import Aircraft
from torquelog.facts.assemblies import Assembly
from torquelog.facts.card_form import Card
from torquelog.facts.jobs import Job
from torquelog.facts.rows import LATEST, AsOf
from torquelog.facts.stations import Station
from torquelog.ledger.text import gate_identifier


def aircraft_named(connection: sqlite3.Connection, text: str, as_of: AsOf = LATEST) -> Aircraft:
    """The aircraft with a registration as of a moment, or with a serial number.

    Raises:
        TorquelogError: `aircraft-unknown`, and `identifier-form`.
    """
    name = gate_identifier(text, "an aircraft")
    found = aircraft.aircraft(connection, name, as_of)
    if found is None:
        bore = aircraft.bearers(connection, name, LATEST)
        near = f"Serial number {bore[0]} bore it at another time." if bore else ""
        raise _unknown(
            "aircraft-unknown",
            f"No aircraft {name} is on record.",
            near or close_to(name, aircraft.names(connection)),
            "torquelog aircraft list",
        )
    return found


def station_named(connection: sqlite3.Connection, name: str) -> Station:
    """The station with this code.

    Raises:
        TorquelogError: `station-unknown`.
    """
    found = stations.station(connection, name)
    if found is None:
        raise _unknown(
            "station-unknown",
            f"No record of a station {name} is in this file.",
            close_to(name, (each.code for each in stations.stations(connection))),
            "torquelog station show",
        )
    return found


def assembly_key(text: str) -> str:
    """A serial number, or part and serial number with a blank between, as they are kept.

    Raises:
        TorquelogError: `identifier-form`.
    """
    part, _, serial = text.strip(" ").partition(" ")
    if not serial:
        return gate_identifier(part, "a serial number")
    return assemblies.key_of(
        gate_identifier(part, "a part number"), gate_identifier(serial, "a serial number")
    )


def assembly_named(connection: sqlite3.Connection, text: str, as_of: AsOf = LATEST) -> Assembly:
    """The assembly with a serial number, or with a part and serial number.

    Raises:
        TorquelogError: `assembly-unknown`, `ambiguous`, and `identifier-form`.
    """
    name = assembly_key(text)
    found = assemblies.find(connection, name, as_of)
    if found is None:
        serials = (each.serial for each in assemblies.assemblies(connection))
        raise _unknown(
            "assembly-unknown",
            f"No assembly {name} is on record.",
            close_to(name, serials),
            f"torquelog assembly add {name.rpartition(' ')[2]}",
        )
    return found


def approved_card(connection: sqlite3.Connection, text: str) -> Card:
    """The newest approved revision of a card, which alone opens a job.

    Raises:
        TorquelogError: `card-unknown`, `card-not-approved`, and `identifier-form`.
    """
    card = card_named(connection, text)
    approved = cards.newest_approved(connection, card.card)
    if approved is None:
        raise TorquelogError(
            "card-not-approved",
            f"{card.card} revision {card.revision} is a draft: nobody has approved it.",
            why="A job is opened by an approved card.",
            hint=f"torquelog card approve {card.card}",
        )
    return approved


def card_named(connection: sqlite3.Connection, text: str, revision: str | None = None) -> Card:
    """The newest revision of a card, approved or not, or the one that is named.

    Raises:
        TorquelogError: `card-unknown`, and `identifier-form`.
    """
    name = gate_identifier(text, "a card")
    if revision is None:
        found = cards.newest(connection, name)
        what = f"No card {name} is on record."
        near = "" if found else close_to(name, cards.names(connection))
    else:
        found = cards.card_of_revision(connection, name, revision)
        what = f"No card {name} with revision {revision} is on record."
        near = ""
    if found is None:
        raise _unknown("card-unknown", what, near, "torquelog card list")
    return found


def job_named(connection: sqlite3.Connection, text: str, as_of: AsOf = LATEST) -> Job:
    """The job of that name.

    Raises:
        TorquelogError: `job-unknown`, and `identifier-form`.
    """
    name = gate_identifier(text, "a job")
    found = jobs.job(connection, name, as_of)
    if found is None:
        raise _unknown(
            "job-unknown",
            f"There is no job {name}.",
            close_to(name, jobs.names(connection)),
            "torquelog job list",
        )
    return found


def close_to(name: str, others: Iterable[str]) -> str:
    """A sentence that shows the names most like this one; empty where none is. It is text, and runs nothing."""
    from difflib import get_close_matches

    near = get_close_matches(name, list(others), n=3)
    return f"Did you mean {' or '.join(near)}?" if near else ""


def _unknown(code: str, what: str, near: str, command: str) -> TorquelogError:
    return TorquelogError(code, what, why=near, hint=command)
