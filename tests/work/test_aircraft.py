"""Putting aircraft on record and giving them registrations."""

from datetime import date
from pathlib import Path

import pytest

from tests.support.books import DAY, Kept, new_book, sign_in
from torquelog.errors import TorquelogError
from torquelog.facts import aircraft as facts
from torquelog.work import aircraft


@pytest.fixture
def kept(tmp_path: Path) -> Kept:
    kept = new_book(tmp_path)
    aircraft.add(kept.book, kept.signer, "QQ-HLB", msn="1001", type="EX-200")
    return kept


def code_of(act: object, *arguments: object, **named: object) -> str:
    with pytest.raises(TorquelogError) as caught:
        act(*arguments, **named)  # type: ignore[operator]
    return caught.value.code


def test_an_aircraft_bears_its_registration_from_today(kept: Kept) -> None:
    """Nothing said means the local day of now."""
    added = aircraft.add(kept.book, kept.signer, "QQ-MRA", msn="1002", type="EX-200")
    assert (added.on, added.before) == (date(2026, 11, 25), None)
    assert facts.registration(kept.book.connection, "1002") == "QQ-MRA"


def test_a_serial_number_is_used_once(kept: Kept) -> None:
    """The hint shows how an aircraft on record gets another registration."""
    with pytest.raises(TorquelogError) as caught:
        aircraft.add(kept.book, kept.signer, "QQ-NEW", msn="1001", type="EX-200")
    assert caught.value.code == "exists"
    assert caught.value.hint == "torquelog aircraft register 1001 QQ-NEW"


def test_a_registration_is_borne_by_one_aircraft(kept: Kept) -> None:
    """Taken on that day it is refused; once the first aircraft has another, it is free."""
    act = (aircraft.add, kept.book, kept.signer, "QQ-HLB")
    assert code_of(*act, msn="1002", type="EX-200") == "registration-taken"
    aircraft.register(kept.book, kept.signer, "QQ-HLB", "QQ-OLD")
    aircraft.add(kept.book, kept.signer, "QQ-HLB", msn="1002", type="EX-200")
    assert facts.registration(kept.book.connection, "1001") == "QQ-OLD"


def test_a_registration_told_late_counts_from_its_day(kept: Kept) -> None:
    """On Monday it was given, on Wednesday it is told."""
    kept.clock.moment += 2 * DAY
    again = sign_in(kept.book, kept.quality)
    told = aircraft.register(kept.book, again, "1001", "QQ-NEW", date(2026, 11, 26))
    assert (told.before, told.on) == ("QQ-HLB", date(2026, 11, 26))
    assert code_of(aircraft.register, kept.book, again, "1001", "QQ-NEW") == "exists"


def test_a_registration_of_tomorrow_is_refused(kept: Kept) -> None:
    """What is not so yet is not on record."""
    tomorrow = date(2026, 11, 26)
    assert code_of(aircraft.register, kept.book, kept.signer, "1001", "QQ-NEW", tomorrow) == "in-the-future"


def test_an_unknown_aircraft_shows_what_is_close(kept: Kept) -> None:
    """A did-you-mean is text; nothing is taken for it."""
    with pytest.raises(TorquelogError) as caught:
        aircraft.register(kept.book, kept.signer, "QQ-HLD", "QQ-NEW")
    assert (caught.value.code, caught.value.why) == ("aircraft-unknown", "Did you mean QQ-HLB?")
