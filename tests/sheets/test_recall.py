"""The sheet of a recall: one page for a meeting, then every item; and the sheet of the aircraft it concerns."""

import pytest

from tests.sheets.conftest import Laid
from tests.sheets.reading import Sheet
from torquelog.quality.recall import show
from torquelog.quality.trace import trace
from torquelog.sheets.aircraft import aircraft_sheet
from torquelog.sheets.environment import html
from torquelog.sheets.recall import recall_sheet


@pytest.fixture(scope="module")
def sheet(laid: Laid) -> Sheet:
    """Recall R-1 of the scene `recalled`."""
    return Sheet(html(recall_sheet(laid("recalled").book, "R-1")))


@pytest.fixture(scope="module")
def aircraft(laid: Laid) -> Sheet:
    """Aircraft QQ-HLB of the scene `recalled`."""
    return Sheet(html(aircraft_sheet(laid("recalled").book, "QQ-HLB")))


def test_the_summary_says_how_many_are_what_and_what_flies(sheet: Sheet) -> None:
    """The figures of the story: 140 fasteners, 76 outside, 26 nobody can tell, 38 inside; 40 outside ones fly."""
    assert "140 fasteners: 76 outside, 26 that nobody can tell, 38 inside." in sheet.text
    assert "Flying: 40 outside, 26 that nobody can tell." in sheet.text
    assert "38 decided, 102 undecided. 30 were tightened again since, and that counts." in sheet.text


def test_the_parts_add_up_to_the_readings(sheet: Sheet) -> None:
    """So that a reader sees that none was left out."""
    told = "423 readings = 140 that decide (one for each fastener) + 280 earlier passes"
    told += " + 2 refused attempts + 1 struck entry."
    assert f"Nothing was left out: {told}" in sheet.text
    assert 423 == 140 + 280 + 2 + 1


def test_the_places_add_up_to_what_still_stands(laid: Laid, sheet: Sheet) -> None:
    """An aircraft a line, what flies first."""
    table = sheet.table("Fasteners on which it still stands")
    assert [row[0] for row in table.rows] == ["on QQ-HLB", "Other Air, Porto", "stores"]
    assert table.row("on QQ-HLB")[2:] == ("88", "40", "26", "22", "66")
    counts = show(laid("recalled").book, "R-1").counts
    assert sum(int(row[2]) for row in table.rows) == counts.concerned


def test_every_item_is_on_it_in_the_order_of_urgency(laid: Laid, sheet: Sheet) -> None:
    """With the torque as found, its uncertainty, the verdict and the decision."""
    items = show(laid("recalled").book, "R-1").items
    table = sheet.table("Items")
    assert [row[0] for row in table.rows] == [str(item.number) for item in items]
    first = table.rows[0]
    assert first[1].startswith("bolt 1 EX-4410-1 LOW-1; now QQ-HLB main 5")
    assert first[3:6] == ("20.73 N·m ± 0.12 N·m", "20.9 to 23.1 N·m", "! outside, 0.17 N·m below")
    assert first[6] == ". undecided"
    accepted = [row for row in table.rows if row[6].startswith("= accepted")]
    assert len(accepted) == 38
    assert accepted[0][6].startswith("= accepted TK, as quality sees it, QHR-")


def test_what_it_rests_on_and_what_it_does_not_cover_is_told(sheet: Sheet) -> None:
    """The failed certificate, what the laboratory should measure, other stations' records."""
    assert "20 N·m shown was 18.69 N·m" in sheet.text
    assert "Ask the laboratory to measure at 25 N·m clockwise before it adjusts: 26 fasteners" in sheet.text
    assert "Records of other stations count as far as they were taken in" in sheet.text


def test_an_aircraft_shows_what_is_fitted_and_what_stands_on_it(laid: Laid, aircraft: Sheet) -> None:
    """Positions in the order people count, each run of fasteners with wrench, certificate and job."""
    fitted = aircraft.table("Assemblies")
    assert [row[0] for row in fitted.rows] == [f"main {number}" for number in (0, 1, 2, *range(5, 13))]
    standing = aircraft.table("Tightenings that stand")
    assert standing.row("main 5")[1:6] == (
        "Bolts 1 to 10 EX-4410-1 LOW-1", "20.9..23.1 N·m", "W-1", "C-W-1-2027-01-10", "J-5",
    )  # fmt: skip
    assert aircraft.facts()["Fasteners tightened and standing"] == "118"
    assert trace(laid("recalled").book, "aircraft", "1001").standing == 118


def test_an_aircraft_shows_its_wrenches_and_the_recall_that_concerns_it(aircraft: Sheet) -> None:
    """How each wrench stands today, by a sentence beside the sign."""
    wrenches = aircraft.table("Wrenches")
    assert wrenches.cell("W-1", "Stands today").startswith("! not to be used")
    assert wrenches.cell("W-2", "Stands today") == "= may be used"
    assert aircraft.table("Open recalls").rows == (("! R-1", "wrench W-1", "88", "40", "66"),)
