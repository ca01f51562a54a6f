"""Aircraft, assemblies and where they are: as people say it, and as programs are told."""

import sqlite3
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from torquelog.cli import words
from torquelog.cli.answer import Json
from torquelog.clock import Moment, offset_text
from torquelog.facts import aircraft
from torquelog.facts.assemblies import Assembly, Place
from torquelog.facts.rows import END_OF_TIME, AsOf

if TYPE_CHECKING:
    from torquelog.book.opening import Book

IN_WORDS = {
    "stores": "in stores",
    "shop": "in the shop",
    "scrap": "scrapped",
    "apart": "taken apart",
    "unknown": "at no known place",
}


def bears(connection: sqlite3.Connection, msn: str, at: Moment = END_OF_TIME) -> str:
    """The registration that an aircraft bears at a moment; its serial number where it bears none."""
    return aircraft.registration(connection, msn, AsOf(at, END_OF_TIME)) or msn


def place_text(connection: sqlite3.Connection, place: Place) -> str:
    """Where something is: "on QQ-HLB, main 2", "in stores", "at Hangar 7"."""
    if place.kind == "aircraft":
        return f"on {bears(connection, place.aircraft or '')}, {place.position}"
    return IN_WORDS.get(place.kind) or f"at {place.text}"


def place_since(book: "Book", place: Place) -> str:
    """Where something is, and since which day."""
    text = place_text(book.connection, place)
    if place.since is None:
        return text
    return f"{text}, since {words.day(words.local(place.since, book.zone).date())}"


def place_data(connection: sqlite3.Connection, place: Place, zone: ZoneInfo) -> dict[str, Json]:
    """Where something is, for programs; what does not apply is null."""
    return {
        "place": place.kind,
        "registration": bears(connection, place.aircraft) if place.aircraft else None,
        "msn": place.aircraft,
        "position": place.position,
        "text": place.text or None,
        "since": None if place.since is None else offset_text(place.since, zone),
        "held": place.held,
    }


def assembly_data(assembly: Assembly) -> dict[str, Json]:
    """An assembly, for programs."""
    return {"part": assembly.part, "serial": assembly.serial, "kind": assembly.sort}


def assembly_text(assembly: Assembly) -> str:
    """An assembly in words: "wheel WH-2231"."""
    return f"{assembly.sort.replace('-', ' ')} {assembly.serial}"


def moment_text(book: "Book", at: Moment) -> str:
    """A moment for programs, with the offset of the place."""
    return offset_text(at, book.zone)
