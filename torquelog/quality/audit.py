"""Lists that an audit asks for: struck entries, changed limits, authorised people, certificates. Each as of a moment."""

from typing import NamedTuple

from torquelog.book.opening import Book
from torquelog.clock import Moment
from torquelog.facts import calibrations, limits_told, people, stations, strikes, tools
from torquelog.facts.calibrations import Calibration
from torquelog.facts.limits_told import Told
from torquelog.facts.people import Person
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.facts.strikes import Strike
from torquelog.facts.tools import SORTS, Tool
from torquelog.ledger.form import Entry, parse_entry
from torquelog.ledger.store import entry_at


class Window(NamedTuple):
    """What is asked for: from `since` up to, not including, `until`, by what was known at `known`."""

    since: Moment
    until: Moment
    known: Moment

    def holds(self, at: Moment) -> bool:
        """Whether a moment lies inside."""
        return self.since <= at < self.until


BEGINNING: Moment = -62_135_596_800_000
ALL = Window(BEGINNING, END_OF_TIME, END_OF_TIME)


class StruckEntry(NamedTuple):
    """A strike: the entry it names, or nothing where that is not held here; who struck it; whether that was confirmed."""

    strike: Strike
    struck: Entry | None
    name: str
    signer: str
    confirmed: bool


class Authorised(NamedTuple):
    """A role that a person holds for work at a moment.

    Attributes:
        person: who.
        station: by whose chain.
        role: which.
        since: since when, or nothing for the first person, whose roles have no beginning.
        until: its end, exclusive, or nothing.
        told: when it was recorded.
        inspects: what may be inspected, or "".
        signs: whether a signature in that role counts as well.
    """

    person: Person
    station: str
    role: str
    since: Moment | None
    until: Moment | None
    told: Moment
    inspects: str
    signs: bool


class LimitsChanged(NamedTuple):
    """A change of a tool's interval or cycle limit: the tool before and after, and the change."""

    before: Tool
    after: Tool
    told: Told


def struck(book: Book, window: Window = ALL) -> tuple[StruckEntry, ...]:
    """The strikes recorded in a window, oldest first."""
    found = []
    for each in strikes.every_strike(book.connection, AsOf(END_OF_TIME, window.known)):
        if window.holds(each.strike.recorded):
            stored = entry_at(book.connection, each.station, each.number)
            own = entry_at(book.connection, each.strike.station, each.strike.number)
            found.append(
                StruckEntry(
                    each.strike,
                    parse_entry(stored.text) if stored else None,
                    f"{each.station}-{each.number:06d}",
                    parse_entry(own.text).signer if own else "",
                    strikes.confirmed(
                        book.connection, each.strike.station, each.strike.number,
                        AsOf(END_OF_TIME, window.known),
                    ),
                )
            )  # fmt: skip
    return tuple(found)


def limits_changed(book: Book, window: Window = ALL) -> tuple[LimitsChanged, ...]:
    """The changes of intervals and cycle limits in a window, oldest first."""
    found = []
    for each in limits_told.every_change(book.connection, AsOf(END_OF_TIME, window.known)):
        before = tools.tool(book.connection, each.tool, AsOf(each.at - 1, window.known))
        after = tools.tool(book.connection, each.tool, AsOf(each.at, window.known))
        if before is not None and after is not None and window.holds(each.at):
            found.append(LimitsChanged(before, after, each))
    return tuple(found)


def authorised(book: Book, at: Moment) -> tuple[Authorised, ...]:
    """Every role held for work at a moment, by what was known then: by person, then by role.

    Args:
        book: the record.
        at: the moment.
    """
    found = []
    for station in stations.stations(book.connection):
        for person in people.people(book.connection, station.code):
            changes = people.role_changes(book.connection, station.code, person.person, at)
            performing = people.performing_roles(changes, at)
            signing = people.signing_roles(changes, at)
            for role in people.ROLES:
                if role in performing:
                    last = [each for each in changes if each.role == role and each.held][-1]
                    first = last.since is not None and last.since <= people.FIRST
                    since = None if first else last.recorded if last.since is None else last.since
                    found.append(
                        Authorised(
                            person, station.code, role, since, last.until, last.recorded,
                            last.inspects or "", role in signing,
                        )
                    )  # fmt: skip
    return tuple(sorted(found, key=lambda each: (each.person.person, each.station)))


def certificates(book: Book, window: Window = ALL) -> tuple[Calibration, ...]:
    """The certificates recorded in a window, accepted or not, oldest first."""
    known = AsOf(window.known, window.known)
    found = [
        certificate
        for sort in SORTS
        for tool in tools.tools(book.connection, sort, known)
        for certificate in calibrations.calibrations(book.connection, tool.tool, known, points=False)
        if window.holds(certificate.recorded)
    ]
    return tuple(sorted(found, key=lambda each: (each.recorded, each.station, each.number)))
