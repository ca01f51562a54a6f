"""A station that builds wheels, fits them, tightens brakes and calibrates its wrenches, for as long as it is told.

    python -m tests.generator.station PATH READINGS [WRENCHES [BUSY [SEED]]]

Everything is invented. The same seed gives the same work; keys, ids and nonces are random as always. Work is
written in few large transactions, so that a large station takes minutes and not hours.
"""

import random
import sys
from collections.abc import Iterator
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

from tests.support.books import sign_in
from torquelog.book.asked import Asked
from torquelog.book.founding import found_station
from torquelog.book.opening import Book
from torquelog.book.writing import Writing, writing
from torquelog.clock import Moment, Period, SetClock, from_utc_text, offset_text
from torquelog.crib.calibration import NewCalibration, calibrate
from torquelog.crib.register import NewTool, register
from torquelog.facts.assemblies import Assembly
from torquelog.facts.calibrations import Point
from torquelog.facts.tools import Scale
from torquelog.torque.number import display
from torquelog.torque.units import Length, Torque
from torquelog.work import aircraft, assemblies, cards
from torquelog.work.cardfile import read_card
from torquelog.work.record import record_in

BEGIN = from_utc_text("2016-01-04T06:00:00.000Z")
MINUTE: Moment = 60_000
DAY: Moment = 24 * 60 * MINUTE
BOLTS = 12
READINGS_A_WHEEL = 2 * BOLTS
SPARE_WHEELS = 6
JOBS_A_DAY = 16

SETTINGS = ("36.0", "72.0")
TOO_HIGH = 0.004
FORGOTTEN = 0.006
FORGOTTEN_WRENCH = "W-OLD"
BUSY_WRENCH = "W-BUSY"

CARD = """
[card]
id = "GEN-WHEEL"
title = "Main wheel, build-up (invented)"
document = "EX-GEN 32-40"
revision = "A"
date = 2015-11-02
kind = "wheel"
[[group]]
id = "tie-bolt"
on = "wheel"
count = 12
torque = "68..76 N·m"
order = "star"
passes = ["50 %", "100 %"]
above = "loosen"
"""


class Size(NamedTuple):
    """How large the station is: readings in all, wrenches, aircraft, and readings of the busy wrench at the end.

    The busy wrench has every second wheel from then on, so that a record of any size ends in the same way.
    """

    readings: int
    wrenches: int = 20
    aircraft: int = 12
    busy: int = 0


class Station:
    """The open record of a made station and what is going on in it."""

    def __init__(self, path: Path, size: Size, seed: int) -> None:
        """Begin the record, register tools, aircraft, wheels, and approve the card."""
        self.random = random.Random(seed)
        self.clock = SetClock(BEGIN)
        self.size = size
        self.book, self.quality = found_station(
            path, self.clock, station="GEN", zone="Europe/Lisbon", policies={"accuracy-share": "100"},
            person="AA", name="Adele Ahn", licence=None, passphrase="a station made up", scrypt_n=2**15,
        )  # fmt: skip
        self.book.clock_ok = True
        self.signer = sign_in(self.book, self.quality)
        self.made = 0
        self.busy = False
        self.wheels_built = 0
        self.wheels = [f"WH-{number:04d}" for number in range(size.aircraft * 2 + SPARE_WHEELS)]
        self.fitted: dict[tuple[str, str], str] = {}
        self._furnish()

    def _furnish(self) -> None:
        for number in range(self.size.wrenches):
            self._wrench(f"W-{number:04d}")
        self._wrench(FORGOTTEN_WRENCH)
        self._wrench(BUSY_WRENCH)
        for number in range(self.size.aircraft):
            aircraft.add(self.book, self.signer, f"QQ-{number:03d}", msn=f"EX-{number:04d}", type="EX-9")
        for serial in self.wheels:
            assemblies.add(self.book, self.signer, Assembly("EX-4410", serial, "wheel"))
        content = read_card(CARD, "made.toml").content
        cards.load(self.book, self.signer, content)
        self.card = cards.approve(self.book, self.quality, "GEN-WHEEL", why="made up").card

    def _wrench(self, number: str) -> None:
        scale = Scale("N·m", Torque("20", "N·m"), Torque("120", "N·m"), Torque("0.2", "N·m"))
        register(self.book, self.signer, NewTool(
            number, "wrench", type="setting", scales=(scale,), lever=Length("400", "mm"), accuracy="4",
            every=Period(12, "month"),
        ))  # fmt: skip
        self.calibrate(number)

    def calibrate(self, number: str) -> None:
        """Calibrate one wrench today, a little off as wrenches are, and accept the certificate."""
        day = date(1970, 1, 1) + timedelta(milliseconds=self.clock.moment)
        off = Fraction(self.random.randint(-12, 12), 1000)
        states = ("as-left",) if self.clock.moment < BEGIN + DAY else ("as-found", "as-left")
        points = tuple(
            Point(
                state, "cw", Torque(nominal, "N·m"), Torque(display(Fraction(nominal) * (1 + off), 6), "N·m")
            )
            for state in states
            for nominal in ("20", "70", "120")
        )
        certificate = f"K-{number}-{day.isoformat()}"
        calibrate(
            self.book, self.signer, number, NewCalibration(certificate, day, points=points), accept=True
        )

    def live(self) -> None:
        """Work day by day until so many readings are on record."""
        day = 0
        while self.made < self.size.readings:
            day += 1
            self.clock.moment = max(self.clock.moment, BEGIN + day * DAY)
            self.signer = sign_in(self.book, self.quality)
            self._calibrate_some(day)
            with writing(self.book) as w:
                for _ in range(JOBS_A_DAY):
                    self._wheel(w)
                    if self.made >= self.size.readings:
                        break

    def _calibrate_some(self, day: int) -> None:
        every = 330
        for number in range(self.size.wrenches):
            if (day + number * every // self.size.wrenches) % every == 0:
                self.calibrate(f"W-{number:04d}")
        if self.size.busy and not self.busy and self.made >= self.size.readings - 2 * self.size.busy:
            self.calibrate(BUSY_WRENCH)
            self.busy = True

    def _wheel(self, w: Writing) -> None:
        serial = self.random.choice(self.wheels)
        wrench = self._taken()
        key = f"EX-4410 {serial}"
        job = f"J-{self.made:08d}"
        self.take_off(w, serial)
        body = {
            "job": job,
            "card": self.card.card,
            "revision": self.card.revision,
            "digest": self.card.digest,
        }
        w.append(self.signer, "job", {**body, "assemblies": {"wheel": key}})
        for asked in self._readings(job, wrench):
            self.clock.moment += self.random.randint(15_000, 40_000)
            record_in(w, self.book, self.signer, asked)
            self.made += 1
        w.append(self.signer, "job-closed", {"job": job})
        self._on(w, serial)

    def _taken(self) -> str:
        """The wrench of the next wheel."""
        self.wheels_built += 1
        if self.busy and self.wheels_built % 2:
            return BUSY_WRENCH
        return f"W-{self.random.randrange(self.size.wrenches):04d}"

    def _readings(self, job: str, wrench: str) -> Iterator[Asked]:
        """Two passes; now and then a setting too high or the wrench that nobody calibrates, each put right."""
        for reading in SETTINGS:
            for item in self.card.groups[0].order:
                chance = self.random.random()
                if chance < TOO_HIGH:
                    yield self._asked(job, item, "84.0", wrench)
                elif chance < FORGOTTEN:
                    yield self._asked(job, item, reading, FORGOTTEN_WRENCH)
                if chance < FORGOTTEN:
                    again = SETTINGS[: SETTINGS.index(reading) + 1]
                    for number, setting in enumerate(again):
                        yield self._asked(job, item, setting, wrench)._replace(loosened=number == 0)
                else:
                    yield self._asked(job, item, reading, wrench)

    def _asked(self, job: str, item: int, reading: str, wrench: str) -> Asked:
        return Asked(job, "tie-bolt", item, Torque(reading, "N·m"), wrench, (), "AA")

    def take_off(self, w: Writing, serial: str) -> None:
        """Take a wheel off its aircraft, if it is on one, and apart."""
        for place, other in list(self.fitted.items()):
            if other == serial:
                self._place(w, serial, "remove", {})
                del self.fitted[place]
        self._place(w, serial, "take-apart", {"why": "overhaul"})

    def _on(self, w: Writing, serial: str) -> None:
        place = (
            f"EX-{self.random.randrange(self.size.aircraft):04d}",
            self.random.choice(("left main", "right main")),
        )
        if place in self.fitted:
            self._place(w, self.fitted.pop(place), "remove", {})
        self._place(w, serial, "fit", {"aircraft": place[0], "position": place[1]})
        self.fitted[place] = serial

    def _place(self, w: Writing, serial: str, act: str, more: dict[str, str]) -> None:
        self.clock.moment += MINUTE
        at = offset_text(self.clock.moment, self.book.zone)
        w.append(
            self.signer, "placement", {"act": act, "part": "EX-4410", "serial": serial, "at": at, **more}
        )


def make(path: Path, size: Size, seed: int = 1) -> Book:
    """Make a station of that size at `path`; gives the open record."""
    station = Station(path, size, seed)
    station.live()
    return station.book


def main() -> None:
    """Make a station from the command line."""
    path, readings, *more = sys.argv[1:]
    wrenches, busy, seed = (*(int(word) for word in more), *(20, 0, 1)[len(more) :])
    make(Path(path), Size(int(readings), wrenches, max(Size(0).aircraft, wrenches // 5), busy), seed).close()


if __name__ == "__main__":
    main()
