"""The hangar of the demo: its people, tools, aircraft and cards. All of it is invented."""

from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Final, NamedTuple

from torquelog.book.founding import found_station
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import writing
from torquelog.clock import Moment, Period, SetClock, offset_text, parse_moment
from torquelog.crib import calibration, custody, register
from torquelog.crib.calibration import NewCalibration
from torquelog.crib.register import NewTool
from torquelog.facts.assemblies import Assembly
from torquelog.facts.calibrations import Point
from torquelog.facts.tools import Scale
from torquelog.ledger import keys
from torquelog.quality import people
from torquelog.torque.units import Length, Torque
from torquelog.work import aircraft, assemblies, cardfile, cards

PASSPHRASE: Final = "an invented hangar"  # noqa: S105  published on purpose: the demo guards nothing
"""Everybody's in the demo, so that one can sign in and look around."""

SCRYPT_N: Final = 2**15
HOUR: Final[Moment] = 3_600_000
STATION: Final = "QVN"
ZONE: Final = "Europe/Tallinn"
NM: Final = "N·m"
FT: Final = "lbf·ft"


class Hand(NamedTuple):
    """One person's two signers: by passphrase, and by the sign-in of the day."""

    by_passphrase: Signer
    signed_in: Signer


class Hangar:
    """The open record of the demo with its clock and its people."""

    def __init__(self, path: str) -> None:
        """Begin the record at `path`; the first person is the one of quality."""
        self.clock = SetClock(0)
        self.clock.moment = self.at("2026-11-16 07:30")
        self.book, quality = found_station(
            path, self.clock, station=STATION, zone=ZONE, policies={}, person="EV", name="Eha Vaarik",
            licence=None, passphrase=PASSPHRASE, scrypt_n=SCRYPT_N,
        )  # fmt: skip
        self.book.clock_ok = True
        self.people: dict[str, Hand] = {"EV": Hand(quality, self._sign_in(quality))}

    def at(self, local: str) -> Moment:
        """A moment of the hangar's own clock."""
        from torquelog.clock import zone

        return parse_moment(local, zone(ZONE))

    def signer(self, person: str) -> Signer:
        """The person's sign-in; a new one where the last one has ended by now."""
        return self.people[person].signed_in

    def new_day(self, local: str) -> None:
        """Set the clock to the morning of another day and sign everybody in."""
        self.clock.moment = self.at(local)
        for person, hand in self.people.items():
            self.people[person] = hand._replace(signed_in=self._sign_in(hand.by_passphrase))

    def later(self, seconds: int) -> None:
        """Let time go by."""
        self.clock.moment += seconds * 1000

    def enrol(self, person: str, name: str, roles: tuple[str, ...]) -> None:
        """Add a person, who then chooses a passphrase with the one-time code."""
        quality = self.people["EV"].by_passphrase
        given = people.add_person(self.book, quality, person, name, roles)
        own = _enrol(self.book, person, given.code)
        self.people[person] = Hand(own, self._sign_in(own))

    def _sign_in(self, signer: Signer) -> Signer:
        seed = keys.new_seed()
        with writing(self.book) as w:
            until = offset_text(w.time() + 12 * HOUR, self.book.zone)
            entry = w.append(signer, "sign-in", {"public_key": keys.public_key(seed), "until": until})
        return Signer(signer.person, entry.number, "sign-in", seed)


def _enrol(book: Book, person: str, code: str) -> Signer:
    from torquelog.work.enrolling import enrol

    return enrol(book, person, code, PASSPHRASE, scrypt_n=SCRYPT_N).signer


def furnish(hangar: Hangar) -> None:
    """Enrol the people, register tools, aircraft and assemblies, load and approve the cards."""
    hangar.enrol("JS", "Jaan Sild", ("technician",))
    hangar.enrol("MR", "Mirja Roos", ("technician", "inspector"))
    hangar.enrol("LO", "Liis Oja", ("crib",))
    _tools(hangar)
    book, technician = hangar.book, hangar.signer("JS")
    aircraft.add(book, technician, "QQ-TAN", msn="EX-0041", type="EX-9")
    aircraft.add(book, technician, "QQ-ULM", msn="EX-0057", type="EX-9")
    assemblies.add(book, technician, Assembly("EX-7100-2", "WH-7104", "wheel"))
    assemblies.add(book, technician, Assembly("EX-7300-1", "BR-0310", "brake"))
    for name in ("bench-wheel", "line-brake"):
        _card(hangar, name)


def _card(hangar: Hangar, name: str) -> None:
    file = sample_folder() / f"{name}.toml"
    content = cardfile.read_card(file.read_text(encoding="utf-8"), file.name).content
    loaded = cards.load(hangar.book, hangar.signer("JS"), content)
    cards.approve(hangar.book, hangar.people["MR"].by_passphrase, loaded.card.card)


def sample_folder() -> Path:
    """Where the sample files lie: beside the package when installed, else in the copy of the project."""
    inside = Path(__file__).parents[1] / "sample_data"
    return inside if inside.is_dir() else Path(__file__).parents[2] / "sample_data"


def _tools(hangar: Hangar) -> None:
    _wrench(hangar, "W-118", ("30", "150", "0.5", NM), None, date(2026, 5, 11), "K-2026-031", "B1")
    _wrench(hangar, "W-204", ("20", "100", "0.5", FT), "12", date(2026, 10, 5), "K-2026-088", "B2")
    _wrench(hangar, "W-231", ("20", "100", "0.5", FT), "12", date(2025, 11, 16), "K-2025-097", "B2")
    _wrench(hangar, "W-260", ("20", "100", "0.5", FT), "12", date(2026, 3, 2), "K-2026-012", "B3", cycles=500)
    adapter = NewTool("A-07", "adapter", length=Length("3", "in"), place="B4")
    register.register(hangar.book, hangar.signer("LO"), adapter)


def _wrench(
    hangar: Hangar, number: str, scale: tuple[str, str, str, str], lever: str | None, on: date,
    certificate: str, place: str, *, cycles: int = 5000,
) -> None:  # fmt: skip
    low, high, graduation, unit = scale
    shown = Scale(unit, Torque(low, unit), Torque(high, unit), Torque(graduation, unit))
    new = NewTool(
        number, "wrench", type="setting", scales=(shown,), lever=Length(lever, "in") if lever else None,
        accuracy="4", every=Period(12, "month"), cycles=cycles, place=place,
    )  # fmt: skip
    book, crib = hangar.book, hangar.signer("LO")
    register.register(book, crib, new)
    points = tuple(_point("as-left", low, high, unit, share) for share in (0, 1, 2))
    calibration.calibrate(
        book,
        crib,
        number,
        NewCalibration(certificate, on, points=points, laboratory="Example Laboratory"),
        accept=True,
    )


def _point(state: str, low: str, high: str, unit: str, step: int) -> Point:
    """One of three results over the range, a quarter of a percent off: the tool is well inside its accuracy."""
    nominal = Fraction(low) + (Fraction(high) - Fraction(low)) * step / 2
    return result(state, _text(nominal), _text(nominal * Fraction(399, 400)), unit)


def result(state: str, shown: str, measured: str, unit: str) -> Point:
    """A clockwise result with its uncertainty, half a percent of the reference (k = 2)."""
    uncertainty = Torque(_text(Fraction(measured) / 200), unit)
    return Point(state, "cw", Torque(shown, unit), Torque(measured, unit), uncertainty=uncertainty, k="2")


def _text(value: Fraction) -> str:
    from torquelog.torque.number import display

    return display(value, 5)


def issue(hangar: Hangar, tools: tuple[str, ...], to: str, job: str) -> None:
    """Hand tools over the counter."""
    custody.issue(hangar.book, hangar.signer("LO"), list(tools), to, job=job)


def give_back(hangar: Hangar, tools: tuple[str, ...], *, uses: int = 0) -> None:
    """Take tools back at the counter."""
    custody.give_back(hangar.book, hangar.signer("LO"), list(tools), uses=uses)
