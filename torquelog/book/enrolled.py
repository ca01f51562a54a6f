"""Who somebody is: the person on record by id, and the key that their passphrase opens at a station."""

import sqlite3

from torquelog.book.named import close_to
from torquelog.errors import TorquelogError
from torquelog.facts import people
from torquelog.facts.people import Person, SigningKey


def person_named(connection: sqlite3.Connection, person: str) -> Person:
    """The person with this id, as kept.

    Raises:
        TorquelogError: person-unknown, with the ids that are close to it.
    """
    found = people.person(connection, person)
    if found is None:
        raise TorquelogError(
            "person-unknown",
            f"Nobody is enrolled as {person}.",
            why=close_to(person, people.ids(connection)),
            hint="torquelog person list",
        )
    return found


def passphrase_key(connection: sqlite3.Connection, station: str, person: str) -> SigningKey:
    """The key that a person's passphrase opens at a station.

    Raises:
        TorquelogError: person-unknown; not-enrolled for somebody who never chose a passphrase there.
    """
    key = people.passphrase_key(connection, station, person)
    if key is None:
        found = person_named(connection, person)
        at = (
            ""
            if found.station == station
            else f" They are enrolled at {found.station}; each station has its own keys."
        )
        raise TorquelogError(
            "not-enrolled",
            f"{found.name} ({found.person}) has chosen no passphrase at {station} yet.",
            why=at.strip(),
            hint=f"torquelog person enrol {person} --code CODE   (quality gives the code)",
        )
    return key
