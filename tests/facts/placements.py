"""A naive account of where assemblies are: a list of what was told, and plain loops over it."""

from typing import NamedTuple

from tests.support.rows import Rows
from torquelog.clock import Moment, utc_text
from torquelog.facts.assemblies import Ending, Place
from torquelog.facts.rows import AsOf

KEYS = ("EX-1 WH-1", "EX-1 WH-2", "EX-7 BR-1")
SORTS = {"EX-1 WH-1": "wheel", "EX-1 WH-2": "wheel", "EX-7 BR-1": "brake"}


class Told(NamedTuple):
    """One thing that was told about an assembly, and when it was struck, as far as known (or never)."""

    key: str
    act: str
    at: Moment
    recorded: Moment
    known: Moment
    station: str
    number: int
    aircraft: str
    position: str
    to: str
    struck: Moment | None


def put(rows: Rows, told: Told) -> None:
    """Write the rows of what was told, and of its strike."""
    part, serial = told.key.split()
    body = {"act": told.act, "part": part, "serial": serial, "at": utc_text(told.at), "why": "reason"}
    if told.act == "fit":
        body |= {"aircraft": told.aircraft, "position": told.position}
    if told.act in ("move", "remove") and told.to:
        body["to"] = told.to
    name = rows.put(
        "placement", body, told.recorded, known=told.known, number=told.number, station=told.station
    )
    if told.struck is not None:
        rows.put(
            "strike",
            {"entry": name, "why": "x"},
            told.struck,
            station="QST",
            number=told.number * 2 + len(told.station),
        )


def counted(everything: list[Told], as_of: AsOf, key: str) -> list[Told]:
    """What counts of one assembly, in order."""
    found = []
    for told in everything:
        struck = told.struck is not None and told.struck <= as_of.known
        if told.key == key and told.at <= as_of.at and told.known <= as_of.known and not struck:
            found.append(told)
    return sorted(found, key=lambda told: (told.at, told.recorded, told.station, told.number))


def where(history: list[Told]) -> Place:
    """Where an assembly is after all that: the last word on its place, and the last word on its hold."""
    held = None
    for told in reversed(history):
        if told.act in ("hold", "release"):
            held = "reason" if told.act == "hold" else None
            break
    for told in reversed(history):
        if told.act == "fit":
            return Place("aircraft", told.aircraft, told.position, "", told.at, held)
        if told.act == "take-apart":
            return Place("apart", None, None, "", told.at, held)
        if told.act in ("move", "remove"):
            if told.to in ("stores", "shop", "scrap"):
                return Place(told.to, None, None, "", told.at, held)
            return Place("other" if told.to else "unknown", None, None, told.to, told.at, held)
    return Place("unknown", None, None, "", None, held)


def on_board(everything: list[Told], as_of: AsOf, msn: str, position: str | None) -> list[str]:
    """Which assemblies are at a position, or anywhere on the aircraft."""
    found = []
    for key in KEYS:
        place = where(counted(everything, as_of, key))
        if place.kind == "aircraft" and place.aircraft == msn and position in (None, place.position):
            found.append(key)
    return found


def ended_at(everything: list[Told], as_of: AsOf, msn: str, position: str) -> list[Ending]:
    """Each time an assembly came to a position or left it."""
    found = []
    for key in KEYS:
        history = counted(everything, as_of, key)
        for step, told in enumerate(history):
            if told.act in ("hold", "release"):
                continue
            before, after = where(history[:step]), where(history[: step + 1])
            if (msn, position) in ((before.aircraft, before.position), (after.aircraft, after.position)):
                found.append(Ending(told.at, told.recorded, told.station, told.number, key, told.act))
    return sorted(found)
