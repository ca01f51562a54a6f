"""Fitting, removing, moving, taking apart, holding and releasing."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.support.books import HOUR, NOON, Kept, new_book, sign_in
from torquelog.errors import TorquelogError
from torquelog.facts import assemblies as facts
from torquelog.facts.assemblies import Assembly
from torquelog.ledger import store
from torquelog.work import aircraft, assemblies

WHEEL = Assembly("EX-4410-1", "WH-2231", "wheel")
SPARE = Assembly("EX-4410-1", "WH-2240", "wheel")
BRAKE = Assembly("EX-5520", "BR-0907", "brake")


class Hangar:
    """Two aircraft, two wheels and a brake, and short words for the acts."""

    def __init__(self, kept: Kept) -> None:
        self.kept = kept
        self.book, self.signer, self.clock = kept.book, kept.signer, kept.clock
        for registration, msn in (("QQ-HLB", "1001"), ("QQ-MRA", "1002")):
            aircraft.add(self.book, self.signer, registration, msn=msn, type="EX-200")
        for each in (WHEEL, SPARE, BRAKE):
            assemblies.add(self.book, self.signer, each)

    def act(self, what: Callable[..., assemblies.Placed], *words: Any, **named: Any) -> assemblies.Placed:
        return what(self.book, self.signer, *words, **named)

    def refused(self, what: Callable[..., assemblies.Placed], *words: Any, **named: Any) -> TorquelogError:
        """The error of an act, which has to leave nothing on record."""
        head = store.head(self.book.connection, "QHR")
        with pytest.raises(TorquelogError) as caught:
            self.act(what, *words, **named)
        assert store.head(self.book.connection, "QHR") == head
        return caught.value


@pytest.fixture
def hangar(tmp_path: Path) -> Hangar:
    return Hangar(new_book(tmp_path))


def test_a_wheel_is_fitted_and_comes_off(hangar: Hangar) -> None:
    """Where it was and is, on which registration, and since when, stand in the answer."""
    fitted = hangar.act(assemblies.fit, "wh-2231", "qq-hlb", " Main 2")
    assert (fitted.before.kind, fitted.after.kind) == ("unknown", "aircraft")
    assert (fitted.registration, fitted.position, fitted.at) == ("QQ-HLB", "main 2", NOON)
    hangar.clock.moment += HOUR
    off = hangar.act(assemblies.remove, "WH-2231", to="Stores")
    assert (off.before.position, off.after.kind, off.registration) == ("main 2", "stores", "QQ-HLB")


def test_what_is_fitted_elsewhere_has_to_come_off_first(hangar: Hangar) -> None:
    """Fitted to one aircraft it is refused at another position, and at its own."""
    hangar.act(assemblies.fit, "WH-2231", "QQ-HLB", "main 2")
    elsewhere = hangar.refused(assemblies.fit, "WH-2231", "QQ-MRA", "main 1")
    assert (elsewhere.code, elsewhere.exit) == ("assembly-fitted", 3)
    assert elsewhere.hint == "torquelog assembly remove WH-2231"
    assert hangar.refused(assemblies.fit, "WH-2231", "QQ-HLB", "main 2").code == "assembly-fitted"


def test_a_position_carries_one_of_a_kind(hangar: Hangar) -> None:
    """A wheel where a wheel is needs --replacing; a brake at the same position does not."""
    hangar.act(assemblies.fit, "WH-2231", "QQ-HLB", "main 2")
    hangar.act(assemblies.fit, "BR-0907", "QQ-HLB", "main 2")
    taken = hangar.refused(assemblies.fit, "WH-2240", "QQ-HLB", "main 2")
    assert (taken.code, taken.exit) == ("position-occupied", 2)
    assert "--replacing" in taken.hint
    done = hangar.act(assemblies.fit, "WH-2240", "QQ-HLB", "main 2", replacing=True)
    assert done.replaced == (WHEEL,)
    there = facts.fitted(hangar.book.connection, "1001", "main 2")
    assert there == [BRAKE, SPARE]
    assert facts.place(hangar.book.connection, WHEEL.key).kind == "unknown"


def test_replacing_what_is_not_there_is_a_question(hangar: Hangar) -> None:
    """No wheel is at that position, so something that was said is wrong."""
    hangar.act(assemblies.fit, "BR-0907", "QQ-HLB", "main 2")
    error = hangar.refused(assemblies.fit, "WH-2231", "QQ-HLB", "main 2", replacing=True)
    assert (error.code, error.exit) == ("nothing-to-replace", 2)


def test_a_held_assembly_is_not_fitted(hangar: Hangar) -> None:
    """The reason is shown, and how it is released; released it is fitted."""
    hangar.act(assemblies.hold, "WH-2231", "recall R-7")
    error = hangar.refused(assemblies.fit, "WH-2231", "QQ-HLB", "main 2")
    assert (error.code, error.exit) == ("assembly-held", 3)
    assert "recall R-7" in error.what
    assert hangar.refused(assemblies.hold, "WH-2231", "again").code == "assembly-held"
    hangar.act(assemblies.release, "WH-2231", "found good")
    assert hangar.refused(assemblies.release, "WH-2231", "again").code == "assembly-not-held"
    hangar.act(assemblies.fit, "WH-2231", "QQ-HLB", "main 2")


def test_scrap_is_the_end(hangar: Hangar) -> None:
    """What was scrapped is neither fitted, moved nor taken apart."""
    hangar.act(assemblies.move, "WH-2231", "SCRAP")
    for act, words in (
        (assemblies.fit, ("QQ-HLB", "main 2")),
        (assemblies.move, ("stores",)),
        (assemblies.take_apart, ("why",)),
    ):
        error = hangar.refused(act, "WH-2231", *words)
        assert (error.code, error.exit) == ("assembly-scrapped", 3)


def test_on_the_aircraft_it_is_neither_moved_nor_taken_apart(hangar: Hangar) -> None:
    """It comes off first; the hint says how."""
    hangar.act(assemblies.fit, "WH-2231", "QQ-HLB", "main 2")
    for act, word in ((assemblies.move, "stores"), (assemblies.take_apart, "inspection")):
        error = hangar.refused(act, "WH-2231", word)
        assert (error.code, error.hint) == ("assembly-fitted", "torquelog assembly remove WH-2231")


def test_what_is_not_fitted_does_not_come_off(hangar: Hangar) -> None:
    """Also not a second time."""
    error = hangar.refused(assemblies.remove, "WH-2231")
    assert (error.code, error.exit) == ("assembly-not-fitted", 3)


def test_an_act_told_late_is_judged_at_its_time(hangar: Hangar) -> None:
    """Fitted an hour ago, told now; what is on record since then is pointed out."""
    hangar.clock.moment += 4 * HOUR
    hangar.act(assemblies.move, "WH-2231", "Hangar 7")
    late = hangar.act(assemblies.fit, "WH-2231", "QQ-HLB", "main 2", at=NOON + HOUR)
    assert (late.at, late.after.kind) == (NOON + HOUR, "aircraft")
    assert [each.act for each in late.later] == ["move"]
    assert facts.place(hangar.book.connection, WHEEL.key).text == "Hangar 7"
    assert hangar.refused(assemblies.remove, "WH-2231", at=NOON).code == "assembly-not-fitted"


def test_a_registration_is_read_as_of_the_time_of_the_act(hangar: Hangar) -> None:
    """Told after the aircraft got another registration, the old name of that day still means it."""
    hangar.clock.moment += 48 * HOUR
    hangar.signer = sign_in(hangar.book, hangar.kept.quality)
    aircraft.register(hangar.book, hangar.signer, "1001", "QQ-NEW")
    aircraft.register(hangar.book, hangar.signer, "1002", "QQ-HLB")
    late = hangar.act(assemblies.fit, "WH-2231", "QQ-HLB", "main 2", at=NOON + HOUR)
    assert (late.after.aircraft, late.registration) == ("1001", "QQ-HLB")


def test_a_time_to_come_is_refused(hangar: Hangar) -> None:
    """One millisecond later than now is later than now."""
    error = hangar.refused(assemblies.move, "WH-2231", "stores", at=NOON + 1)
    assert (error.code, error.exit) == ("in-the-future", 2)


def test_an_unknown_serial_shows_what_is_close(hangar: Hangar) -> None:
    """The error shows names and the command that puts it on record."""
    error = hangar.refused(assemblies.remove, "WH-2213")
    assert error.code == "assembly-unknown"
    assert "WH-2231" in error.why
    assert error.hint == "torquelog assembly add WH-2213"


def test_an_assembly_is_put_on_record_once(hangar: Hangar) -> None:
    """The same part and serial again is refused, whatever kind is said."""
    with pytest.raises(TorquelogError) as caught:
        assemblies.add(hangar.book, hangar.signer, WHEEL._replace(sort="brake"))
    assert caught.value.what == "Wheel EX-4410-1 WH-2231 is on record already."
    other_part = assemblies.add(hangar.book, hangar.signer, WHEEL._replace(part="EX-9"))
    assert other_part.assembly.key == "EX-9 WH-2231"
    assert hangar.refused(assemblies.move, "WH-2231", "shop").code == "ambiguous"
    assert hangar.act(assemblies.move, "ex-9 wh-2231", "shop").assembly.part == "EX-9"


def test_a_place_of_ours_is_recognised_by_its_word(hangar: Hangar) -> None:
    """Stores, shop and scrap in any case; anything else stays as it is written."""
    assert assemblies.place_of(" Shop ") == "shop"
    assert assemblies.place_of("Wheel  House, Porto") == "Wheel House, Porto"
