"""The station's rules, its clock, and the stations whose signatures it accepts. All of it is quality's, by passphrase."""

import sqlite3
from collections.abc import Callable
from typing import Final, NamedTuple

from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import writing
from torquelog.clock import Moment, from_utc_text
from torquelog.errors import TorquelogError
from torquelog.facts import stations
from torquelog.facts.stations import DEFAULTS, Rules, Station
from torquelog.ledger import store
from torquelog.ledger.form import Entry, parse_entry


class Range(NamedTuple):
    """A rule whose value is a whole number: from `low` through `high`, in words `unit`."""

    low: int
    high: int
    unit: str


CHOICES: Final = {"due-through": ("day", "month")}
"""Rules whose value is one of a few words."""

RANGES: Final = {
    "shift-hours": Range(1, 16, "hours"),
    "idle-minutes": Range(1, 960, "minutes"),
    "gap-hours": Range(1, 8760, "hours"),
    "accuracy-share": Range(1, 100, "percent"),
    "late-minutes": Range(0, 1440, "minutes"),
    "reliability-percent": Range(50, 99, "percent"),
    "hands-seconds": Range(0, 600, "seconds"),
    "burst-count": Range(2, 100, "signatures"),
    "burst-minutes": Range(1, 60, "minutes"),
    "inspection-minutes": Range(0, 240, "minutes"),
    "places-minutes": Range(0, 240, "minutes"),
    "review-late-hours": Range(1, 8760, "hours"),
}
"""Rules whose value is a whole number. A sign-in lasts at most 16 hours."""


class RuleSet(NamedTuple):
    """A rule set from now on: its entry, the rule, its value before and after."""

    reference: str
    rule: str
    before: str
    value: str


class Shown(NamedTuple):
    """A station as it stands: which, its rules now, the other chains held, and the number and time of its head."""

    station: Station
    rules: Rules
    held: tuple[tuple[Station, int, bool], ...]
    head: int
    recorded: Moment


class ClockReleased(NamedTuple):
    """A head in the future released: the entry, the time the head bore, and the time from now on."""

    reference: str
    head: Moment
    now: Moment


class StationAccepted(NamedTuple):
    """Another station accepted: the entry, its code and its identity."""

    reference: str
    code: str
    identity: str


def set_rule(book: Book, signer: Signer, rule: str, value: str, why: str | None = None) -> RuleSet:
    """Set one of the station's rules, from now on and never backwards.

    Raises:
        TorquelogError: rule-name, rule-value, rule-same.
    """
    meant = read_rule(rule, value)
    with writing(book) as w:
        before = stations.rules(w.connection, w.station).values[rule]
        if before == meant:
            raise TorquelogError("rule-same", f"{rule} is {meant} already.")
        body = {"rule": rule, "value": meant} | ({"why": why} if why else {})
        appended = w.append(signer, "rule", body)
    return RuleSet(appended.reference, rule, before, meant)


def read_rule(rule: str, value: str) -> str:
    """The value of a rule as it is kept: a word of the rule's, or a whole number inside its range.

    Raises:
        TorquelogError: rule-name, rule-value.
    """
    if rule in CHOICES:
        return _read(rule, value, lambda text: text in CHOICES[rule], " or ".join(CHOICES[rule]))
    if rule in RANGES:
        low, high, unit = RANGES[rule]
        return _read(
            rule,
            value,
            lambda text: text.isdigit() and low <= int(text) <= high,
            f"{low} to {high}, in {unit}",
        )
    raise TorquelogError(
        "rule-name", f'There is no rule "{rule}".', hint=f"The rules: {', '.join(DEFAULTS)}."
    )


def _read(rule: str, value: str, fits: Callable[[str], bool], words: str) -> str:
    text = value.strip(" ")
    if not text.isascii() or len(text) > 12 or not fits(text):
        raise TorquelogError("rule-value", f'{rule} cannot be "{value[:40]}".', hint=f"It takes {words}.")
    return str(int(text)) if text.isdigit() else text


def show(book: Book) -> Shown:
    """The station as it stands."""
    held = []
    for each in stations.stations(book.connection):
        through = stations.held_through(book.connection, book.station, each.code)
        if through is not None:
            held.append((each, through[0], stations.accepted(book.connection, book.station, each.code)))
    station = stations.station(book.connection, book.station)
    assert station is not None  # noqa: S101  an open book has its station
    head = _head(book.connection, book.station)
    rules = stations.rules(book.connection, book.station)
    return Shown(station, rules, tuple(held), head.number, from_utc_text(head.recorded_at))


def release_clock(book: Book, signer: Signer, why: str) -> ClockReleased:
    """Let the chain go on from the clock's time where its head bears a time of the future.

    Sign-ins and one-time codes of before end with it: it revives nothing.

    Args:
        book: the record, open for writing.
        signer: quality, by passphrase.
        why: how the time of the future came about.

    Raises:
        TorquelogError: clock-right where there is nothing to release.
    """
    with writing(book) as w:
        head = from_utc_text(_head(w.connection, w.station).recorded_at)
        if book.clock.now() >= head:
            raise TorquelogError(
                "clock-right",
                "The last entry bears no time of the future.",
                why="There is nothing to release.",
            )
        appended = w.append(signer, "clock", {"why": why})
    return ClockReleased(appended.reference, head, appended.recorded)


def _head(connection: sqlite3.Connection, station: str) -> Entry:
    newest = store.head(connection, station)
    assert newest is not None  # noqa: S101  an open book has its first entry
    return parse_entry(newest.text)


def accept_station(book: Book, signer: Signer, code: str, why: str) -> StationAccepted:
    """Let another station's signatures count here from now on.

    Raises:
        TorquelogError: station-unknown where nothing was taken in of it; station-accepted.
    """
    with writing(book) as w:
        found = stations.station(w.connection, code) if code != w.station else None
        if found is None:
            raise TorquelogError(
                "station-unknown",
                f"Nothing of a station {code} has been taken in here.",
                hint="torquelog take-in FILE",
            )
        if stations.accepted(w.connection, w.station, code):
            raise TorquelogError("station-accepted", f"{code} is accepted already.")
        appended = w.append(
            signer, "station-accepted", {"code": code, "identity": found.identity, "why": why}
        )
    return StationAccepted(appended.reference, code, found.identity)
