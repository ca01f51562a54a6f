"""Records of other stations, each with a first person of its own."""

from pathlib import Path

from tests.support.books import Kept, new_book
from torquelog.clock import SetClock

PEOPLE = {"LGW": ("AB", "Ann Bold"), "FAO": ("CD", "Caio Dias"), "QHR": ("XY", "Xenia Yates")}


def other_station(folder: Path, code: str, clock: SetClock | None = None) -> Kept:
    """A record of another station, in a folder of its own."""
    place = folder / f"at-{code.lower()}"
    place.mkdir()
    person, name = PEOPLE[code]
    return new_book(place, station=code, person=person, name=name, clock=clock)
