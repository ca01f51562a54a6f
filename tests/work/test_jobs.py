"""Opening jobs: by which card, on what; and closing them."""

from pathlib import Path
from typing import Any

import pytest

from tests.support.books import HOUR, NOON, Kept, new_book
from tests.support.cards import AXLE_NUT, TIE_BOLT, card_content
from torquelog.book.jobview import job_state
from torquelog.errors import TorquelogError
from torquelog.facts import assemblies as assembly_facts
from torquelog.facts import jobs as facts
from torquelog.facts.assemblies import Assembly
from torquelog.ledger import store
from torquelog.work import aircraft, assemblies, cards, jobs

WHEEL = Assembly("EX-4410-1", "WH-2231", "wheel")
SPARE = Assembly("EX-4410-1", "WH-2240", "wheel")
BRAKE = Assembly("EX-5520", "BR-0907", "brake")


class Shop:
    """An aircraft, two wheels and a brake; cards are loaded and approved by one word."""

    def __init__(self, kept: Kept) -> None:
        self.kept, self.book, self.signer = kept, kept.book, kept.signer
        aircraft.add(self.book, self.signer, "QQ-HLB", msn="1001", type="EX-200")
        for each in (WHEEL, SPARE, BRAKE):
            assemblies.add(self.book, self.signer, each)

    def card(self, name: str, *groups: dict[str, Any], revision: str = "B", **more: Any) -> None:
        cards.load(self.book, self.signer, card_content(name, revision, *groups, **more))
        cards.approve(self.book, self.kept.quality, name, why="nobody else is here")

    def open(self, name: str, card: str, *named: str, **more: Any) -> jobs.Opened:
        return jobs.open_job(self.book, self.signer, name, card, named=named, **more)

    def refused(self, name: str, card: str, *named: str, **more: Any) -> TorquelogError:
        """The error of opening a job, which has to leave nothing on record."""
        head = store.head(self.book.connection, "QHR")
        with pytest.raises(TorquelogError) as caught:
            self.open(name, card, *named, **more)
        assert store.head(self.book.connection, "QHR") == head
        return caught.value


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    shop = Shop(new_book(tmp_path))
    shop.card("BUILD", TIE_BOLT)
    return shop


AT = {"on": "qq-hlb", "position": "Main  2"}


def test_a_job_on_the_bench(shop: Shop) -> None:
    """By one wheel, named by its serial alone or with its kind; the own approval is told."""
    opened = shop.open("J-1", "build", "wheel=wh-2231")
    assert opened.job.assemblies == {"wheel": WHEEL.key}
    assert (opened.job.aircraft, opened.own_approval) == (None, True)
    assert facts.job(shop.book.connection, "J-1") == opened.job
    assert shop.open("J-2", "build", "WH-2240").assemblies == (SPARE,)


def test_a_job_on_the_aircraft(shop: Shop) -> None:
    """A card with fasteners of the wheel and of the aircraft needs both."""
    shop.card("FIT", AXLE_NUT, TIE_BOLT)
    opened = shop.open("J-1", "FIT", "WH-2231", **AT)
    assert (opened.job.aircraft, opened.job.position) == ("1001", "main 2")
    no_place = shop.refused("J-2", "FIT", "WH-2231")
    assert (no_place.code, no_place.hint) == ("job-owner", "Add --aircraft REG --position POS.")
    no_wheel = shop.refused("J-2", "FIT", **AT)
    assert (no_wheel.code, no_wheel.exit, no_wheel.hint) == ("job-owner", 2, "Add --assembly wheel=SERIAL.")


def test_the_wheel_that_is_fitted_there_is_shown_not_taken(shop: Shop) -> None:
    """A job names its wheel itself; the error tells which one is on record at that position."""
    assemblies.fit(shop.book, shop.signer, "WH-2240", "QQ-HLB", "main 2")
    assert "WH-2240" in shop.refused("J-1", "BUILD", **AT).why


def test_a_job_is_about_something(shop: Shop) -> None:
    """Neither an assembly nor a position, or half a position, is refused by name."""
    shop.card("ANY", {"id": "nut", "count": 1, "torque": "1..2 N·m"})
    assert shop.refused("J-1", "ANY").code == "job-place"
    assert "--position" in shop.refused("J-1", "ANY", on="QQ-HLB").hint
    assert "--aircraft" in shop.refused("J-1", "ANY", position="main 2").hint
    assert shop.open("J-1", "ANY", **AT).job.position == "main 2"
    assert shop.refused("J-2", "ANY", "WH-2231", "BR-0907").code == "job-owner"


def test_a_name_is_used_once(shop: Shop) -> None:
    """Open or closed, the number of a job is not given again."""
    shop.open("J-1", "BUILD", "WH-2231")
    error = shop.refused("J-1", "BUILD", "WH-2240")
    assert (error.code, error.exit, error.hint) == ("exists", 2, "torquelog job show J-1")


def test_only_an_approved_card_opens_a_job(shop: Shop) -> None:
    """A draft is refused; with a newer draft beside it the approved revision is the one."""
    cards.load(shop.book, shop.signer, card_content("DRAFT", "A"))
    error = shop.refused("J-1", "DRAFT", "WH-2231")
    assert (error.code, error.exit, error.hint) == ("card-not-approved", 3, "torquelog card approve DRAFT")
    cards.load(shop.book, shop.signer, card_content("BUILD", "C"))
    assert shop.open("J-1", "BUILD", "WH-2231").job.revision == "B"


def test_an_open_job_keeps_its_revision(shop: Shop) -> None:
    """A newer approved revision opens the next job, not this one."""
    shop.open("J-1", "BUILD", "WH-2231")
    shop.card("BUILD", AXLE_NUT, revision="C")
    found = facts.job(shop.book.connection, "J-1")
    assert found is not None
    assert found.revision == "B"
    assert shop.open("J-2", "BUILD", **AT).job.revision == "C"


def test_an_assembly_of_another_kind_is_refused(shop: Shop) -> None:
    """Named as what it is not, two of a kind, or scrapped."""
    assert shop.refused("J-1", "BUILD", "brake=WH-2231").code == "assembly-kind"
    assert shop.refused("J-1", "BUILD", "WH-2231", "WH-2240").code == "assembly-kind"
    assemblies.move(shop.book, shop.signer, "WH-2231", "scrap")
    assert shop.refused("J-1", "BUILD", "WH-2231").code == "assembly-scrapped"
    assert shop.refused("J-1", "BUILD", "WH-9").code == "assembly-unknown"


def test_a_card_that_says_what_it_fits_is_for_nothing_else(shop: Shop) -> None:
    """By part number of an assembly, or by the type of the aircraft, in any case of letters."""
    shop.card("PART", TIE_BOLT, fits=["ex-4410-1"])
    shop.card("TYPE", TIE_BOLT, fits=["EX-200", "EX-300"])
    shop.card("OTHER", TIE_BOLT, fits=["EX-999"])
    assert shop.open("J-1", "PART", "WH-2231").job.card == "PART"
    assert shop.open("J-2", "TYPE", "WH-2231", **AT).job.card == "TYPE"
    error = shop.refused("J-3", "OTHER", "WH-2231", **AT)
    assert (error.code, error.exit) == ("card-misfit", 3)


def test_an_unknown_assembly_comes_on_record_with_its_job(shop: Shop) -> None:
    """Both in one step: where the job is refused the assembly is not on record either."""
    new = Assembly("EX-4410-1", "WH-2299", "wheel")
    shop.refused("J-1", "NO-CARD", "WH-2299", new=[new])
    opened = shop.open("J-1", "BUILD", "WH-2299", new=[new])
    assert opened.added == (new,)
    assert assembly_facts.find(shop.book.connection, "WH-2299") == new


def test_a_job_with_something_open_is_not_closed(shop: Shop) -> None:
    """The answer has what holds it open, and nothing is on record."""
    shop.open("J-1", "BUILD", "WH-2231")
    head = store.head(shop.book.connection, "QHR")
    closing = jobs.close(shop.book, shop.signer, "j-1")
    assert closing.reference == ""
    assert [hold.code for hold in closing.state.holds] == ["not-tightened"]
    assert store.head(shop.book.connection, "QHR") == head


def test_a_job_with_nothing_open_is_closed_once(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """From then on it is closed, by whoever asked; asked again it is refused."""
    shop.open("J-1", "BUILD", "WH-2231")
    monkeypatch.setattr(jobs, "job_state", lambda *name: job_state(*name)._replace(holds=()))
    shop.kept.clock.moment += HOUR
    closing = jobs.close(shop.book, shop.signer, "J-1", why="handed to the stores")
    found = facts.job(shop.book.connection, "J-1")
    assert found is not None
    assert (closing.state.job.closed, found.closed) == (NOON + HOUR, NOON + HOUR)
    with pytest.raises(TorquelogError) as caught:
        jobs.close(shop.book, shop.signer, "J-1")
    assert (caught.value.code, caught.value.exit) == ("job-closed", 3)


@pytest.mark.parametrize(
    ("text", "kind", "name"),
    [("WH-2231", "", "WH-2231"), ("wheel=WH-2231", "wheel", "WH-2231"), ("Wheel=EX-1 W", "wheel", "EX-1 W")],
)
def test_a_kind_may_stand_in_front(text: str, kind: str, name: str) -> None:
    """`KIND=` is split off, in small letters."""
    assert jobs.split_kind(text) == (kind, name)
