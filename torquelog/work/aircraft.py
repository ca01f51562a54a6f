"""Putting aircraft on record, and saying which registration each one bears from which day on."""

from datetime import date
from typing import NamedTuple

from torquelog.book.named import aircraft_named
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import Writing, writing
from torquelog.clock import day_end, local_date
from torquelog.errors import TorquelogError
from torquelog.facts import aircraft
from torquelog.facts.aircraft import Aircraft, Registration
from torquelog.facts.rows import END_OF_TIME, AsOf


class Registered(NamedTuple):
    """An aircraft with the registration it was given.

    Attributes:
        aircraft: serial number and type.
        registration: what it bears.
        on: from this day on.
        before: the registration it bore until then, or nothing.
        later: what it bears by the record from a later day on: this was told late.
        reference: the entry of the registration.
    """

    aircraft: Aircraft
    registration: str
    on: date
    before: str | None
    later: tuple[Registration, ...]
    reference: str


def add(
    book: Book, signer: Signer, registration: str, *, msn: str, type: str, on: date | None = None
) -> Registered:
    """Put an aircraft on record.

    Args:
        book, signer: where, and who signs.
        registration: what it bears, as an identifier.
        msn: the manufacturer's serial number, as an identifier.
        type: the aircraft's type.
        on: the first day of the registration; today where nothing is said.

    Raises:
        TorquelogError: `exists`, `registration-taken`, `in-the-future`.
    """
    with writing(book) as w:
        known = aircraft.by_msn(w.connection, msn)
        if known is not None:
            bears = aircraft.registration(w.connection, msn)
            raise TorquelogError(
                "exists",
                f"Serial number {msn} is on record already: {bears or 'no registration'}, {known.type}.",
                hint=f"torquelog aircraft register {msn} {registration}",
            )
        day = _day(book, w, on)
        _check_free(book, w, registration, day)
        w.append(signer, "aircraft", {"msn": msn, "type": type})
        return _register(book, w, signer, Aircraft(msn, type), registration, day, None)


def register(book: Book, signer: Signer, name: str, registration: str, on: date | None = None) -> Registered:
    """Give an aircraft on record another registration.

    Args:
        book, signer: where, and who signs.
        name: its serial number, or a registration that it bears.
        registration: what it bears from now on, as an identifier.
        on: the first day; today where nothing is said.

    Raises:
        TorquelogError: `aircraft-unknown`, `exists`, `registration-taken`, `in-the-future`.
    """
    with writing(book) as w:
        found = aircraft_named(w.connection, name)
        day = _day(book, w, on)
        borne = aircraft.registrations(w.connection, found.msn, _as_of(book, day))
        before = borne[-1].registration if borne else None
        if before == registration:
            raise TorquelogError("exists", f"{registration} is its registration already.")
        _check_free(book, w, registration, day)
        return _register(book, w, signer, found, registration, day, before)


def _register(
    book: Book, w: Writing, signer: Signer, found: Aircraft, registration: str, on: date, before: str | None
) -> Registered:
    body = {"msn": found.msn, "registration": registration, "on": on.isoformat()}
    entry = w.append(signer, "registration", body)
    last = day_end(on, book.zone) - 1
    later = tuple(each for each in aircraft.registrations(w.connection, found.msn) if each.since > last)
    return Registered(found, registration, on, before, later, entry.reference)


def _day(book: Book, w: Writing, on: date | None) -> date:
    today = local_date(w.time(), book.zone)
    if on is not None and on > today:
        raise TorquelogError(
            "in-the-future",
            f"{on} is later than today. Nothing was recorded.",
            why="A registration is recorded once it is borne.",
        )
    return on or today


def _as_of(book: Book, day: date) -> AsOf:
    return AsOf(day_end(day, book.zone) - 1, END_OF_TIME)


def _check_free(book: Book, w: Writing, registration: str, day: date) -> None:
    """A registration is borne by one aircraft at a time."""
    bearer = aircraft.aircraft(w.connection, registration, _as_of(book, day))
    if bearer is not None:
        raise TorquelogError(
            "registration-taken",
            f"{registration} is borne by the aircraft with serial number {bearer.msn}. Nothing was recorded.",
            hint=f"torquelog aircraft register {bearer.msn} NEW   gives that one its new registration first",
        )
