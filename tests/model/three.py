"""Three stations that work for one another: a crib, a wheel shop, a line. Each keeps a record; files go between them.

What each does is done by the acts, so much of it is refused there until the other's file has come.
"""

import contextlib
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

from tests.support.books import NOON, new_book
from tests.support.story import PASSES, Crew, Story
from torquelog.book import exporting, takein
from torquelog.book.opening import open_book
from torquelog.clock import SetClock
from torquelog.crib import custody
from torquelog.errors import TorquelogError
from torquelog.facts import registry, stations, tools
from torquelog.quality import station
from torquelog.work import assemblies

CODES: Final = ("CRB", "WSH", "LIN")
FIRST: Final = {"CRB": ("CA", "Carla Abel"), "WSH": ("WA", "Willem Abt"), "LIN": ("LA", "Lea Aho")}
WRENCHES: Final = ("W-1", "W-2")
WHEELS: Final = ("WH-1", "WH-2")


@cache
def _laid(code: str) -> Crew:
    with TemporaryDirectory() as folder:
        person, name = FIRST[code]
        kept = new_book(Path(folder), station=code, person=person, name=name)
        kept.book.close()
        return Crew(Path(kept.book.path).read_bytes(), {"TK": kept.quality}, {"TK": kept.signer})


class Place(Story):
    """One of the three; its first person acts wherever the scene's words say TK."""

    def __init__(self, folder: Path, code: str, clock: SetClock) -> None:
        crew, path = _laid(code), folder / f"{code.lower()}.db"
        path.write_bytes(crew.file)
        self.code, self.clock, self.last = code, clock, ""
        self.person = FIRST[code][0]
        self.book = open_book(path, "write", clock, clock_ok=True)
        self.own, self.signed = dict(crew.own), dict(crew.signed)
        self.signed[self.person] = self.signed["TK"]

    def send(self, to: "Place", *, everything: bool = True) -> None:
        """Hand this record over as a file: all of it, or what the other one does not hold of this chain."""
        held = None if everything else stations.held_through(to.book.connection, to.code, self.code)
        parts = exporting.parts(self.book.connection, **({"after": {self.code: held[0]}} if held else {}))
        lines = list(exporting.lines(self.book.connection, parts))
        self.clock.moment += 1000
        if lines:
            takein.take_in(to.book, to.signed["TK"], lines)

    def accept(self, code: str) -> None:
        """Let another station's signatures count."""
        self._tick()
        station.accept_station(self.book, self.own["TK"], code, "identity compared by telephone")

    def put(self, serial: str, to: str) -> None:
        """Move an assembly that is on no aircraft."""
        self._tick()
        assemblies.move(self.book, self.signed["TK"], serial, to)


class Three:
    """The three records, with one clock, and how many of the acts were carried out."""

    def __init__(self, folder: Path) -> None:
        self.clock = SetClock(NOON)
        self.places = {code: Place(folder, code, self.clock) for code in CODES}
        self.done: list[str] = []

    def close(self) -> None:
        """Close the three records."""
        for place in self.places.values():
            place.close_book()

    def move(self, code: str, what: str, number: int) -> None:
        """Let something be done at one of them; what the rules there do not allow is left."""
        with contextlib.suppress(TorquelogError):
            MOVES[what](self.places[code], number)
            self.done.append(what)

    def send(self, sender: str, receiver: str, *, everything: bool) -> None:
        """Let a file go from one to another."""
        if sender != receiver:
            self.places[sender].send(self.places[receiver], everything=everything)

    def meet(self, order: list[tuple[str, str]]) -> None:
        """Send everything from each to each, in this order."""
        for sender, receiver in order:
            self.send(sender, receiver, everything=True)


def _take(place: Place, number: int) -> None:
    wrench, item = WRENCHES[number % 2], 1 + number % 3
    reading = ("36 N·m", "72 N·m", "84 N·m", "72 N·m")[number % 4]
    place.take(f"tie-bolt:{item}", reading, wrench, by=place.person, job=f"J-{place.code}")


def _calibrate(place: Place, number: int) -> None:
    if tools.tool(place.book.connection, WRENCHES[number % 2]):
        place.calibrate(WRENCHES[number % 2], f"2026-11-{10 + number % 15}")


def _strike(place: Place, number: int) -> None:
    newest = place.book.connection.execute(
        "SELECT station, number FROM reading WHERE station = ? ORDER BY number DESC LIMIT 1 OFFSET ?",
        (place.code, number % 4),
    ).fetchone()
    if newest:
        place.correct(f"{newest[0]}-{newest[1]:06d}", by="TK")


MOVES: Final[Mapping[str, Callable[[Place, int], Any]]] = {
    "wrench": lambda place, number: place.wrench(WRENCHES[number % 2]),
    "certificate": _calibrate,
    "dropped": lambda place, number: place.report(WRENCHES[number % 2], "dropped"),
    "issue": lambda place, number: custody.issue(
        place.book, place.signed["TK"], [WRENCHES[number % 2]], place.person
    ),
    "back": lambda place, number: place.give_back(WRENCHES[number % 2]),
    "wheel": lambda place, number: place.assembly(WHEELS[number % 2]),
    "card": lambda place, number: place.card("BUILD", PASSES),
    "job": lambda place, number: place.job(f"J-{place.code}", "BUILD", WHEELS[number % 2]),
    "reading": _take,
    "strike": _strike,
    "aircraft": lambda place, number: place.aircraft(),
    "fit": lambda place, number: place.fit(WHEELS[number % 2]),
    "remove": lambda place, number: place.remove(WHEELS[number % 2]),
    "shop": lambda place, number: place.put(WHEELS[number % 2], "shop"),
    "apart": lambda place, number: place.take_apart(WHEELS[number % 2]),
    "accept": lambda place, number: place.accept(CODES[number % 3]),
}  # fmt: skip


def facts(place: Place) -> dict[str, list[Any]]:
    """Every fact row of a record but for when it was known there, who is at home there, and how far others are held."""
    found = {}
    tables = (line.split()[2] for line in registry.schema().splitlines() if line.startswith("CREATE TABLE"))
    for name in sorted(set(tables) - {"taken_in", "home"}):
        cursor = place.book.connection.execute(f"SELECT * FROM {name}")
        kept = [number for number, column in enumerate(cursor.description) if column[0] != "known"]
        found[name] = sorted((tuple(row[number] for number in kept) for row in cursor), key=repr)
    return found
