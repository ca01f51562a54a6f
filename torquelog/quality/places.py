"""Where the fasteners of an owner are, and on which aircraft they have been."""

import sqlite3
from typing import Final, NamedTuple

from torquelog.clock import Moment
from torquelog.facts import aircraft, assemblies
from torquelog.facts.assemblies import Place
from torquelog.facts.rows import END_OF_TIME, LATEST, AsOf

BEGINNING: Final[Moment] = -62_135_596_800_000


class Location(NamedTuple):
    """Where a fastener is as of the moment asked.

    Attributes:
        registration, position, since: the aircraft, where it is on one; registration is the serial number
            where none is on record, since is None where the fastener belongs to the aircraft itself.
        text: the place in words: a position, stores, wheel shop, taken apart, not known.
        flying: whether it is on an aircraft.
    """

    registration: str
    position: str
    since: Moment | None
    text: str
    flying: bool


class Stay(NamedTuple):
    """How long an owner was on an aircraft: from `since` up to, not including, `until`."""

    registration: str
    since: Moment
    until: Moment


_WORDS: Final = {
    "stores": "stores",
    "shop": "shop",
    "scrap": "scrapped",
    "apart": "taken apart",
    "unknown": "never fitted",
}


class Places:
    """Where owners are as of a moment; each owner and each aircraft is looked up once."""

    def __init__(self, connection: sqlite3.Connection, as_of: AsOf = LATEST) -> None:
        self._connection = connection
        self._as_of = as_of
        self._locations: dict[str, Location] = {}
        self._registrations: dict[str, str] = {}

    def location(self, owner: str) -> Location:
        """Where the fasteners of an owner are."""
        if owner not in self._locations:
            self._locations[owner] = self._located(owner)
        return self._locations[owner]

    def stays(self, owner: str, since: Moment) -> list[Stay]:
        """When an owner was on which aircraft from a moment on; what belongs to an aircraft was always there."""
        kind, _, name = owner.partition(" ")
        if kind == "aircraft":
            return [Stay(self.registration(name.partition(" ")[0]), BEGINNING, END_OF_TIME)]
        moves = assemblies.moves_since(self._connection, name, since, self._as_of)
        ends = [*(each.at for each in moves[1:]), END_OF_TIME]
        return [
            Stay(self.registration(each.aircraft), each.at, end)
            for each, end in zip(moves, ends, strict=False)
            if each.act == "fit" and each.aircraft
        ]

    def registration(self, msn: str) -> str:
        """What an aircraft bears, or its serial number."""
        if msn not in self._registrations:
            self._registrations[msn] = aircraft.registration(self._connection, msn, self._as_of) or msn
        return self._registrations[msn]

    def _located(self, owner: str) -> Location:
        kind, _, name = owner.partition(" ")
        if kind == "aircraft":
            msn, _, position = name.partition(" ")
            return Location(self.registration(msn), position, None, position, flying=True)
        return self.of_place(assemblies.place(self._connection, name, self._as_of))

    def of_place(self, place: Place) -> Location:
        """The location of what is at a place."""
        if place.kind == "aircraft" and place.aircraft:
            where = place.position or ""
            return Location(self.registration(place.aircraft), where, place.since, where, flying=True)
        unknown = place.kind == "unknown" and place.since is not None
        words = "not known" if unknown else _WORDS.get(place.kind, place.kind)
        return Location("", "", place.since, place.text or words, flying=False)
