"""The sheet of a wrench: its certificates in numbers, its drift, what befell it, where it was used."""

import pytest

from tests.sheets.conftest import Laid
from tests.sheets.reading import Sheet
from torquelog.errors import TorquelogError
from torquelog.sheets.environment import html
from torquelog.sheets.wrench import wrench_sheet


@pytest.fixture(scope="module")
def sheet(laid: Laid) -> Sheet:
    """Wrench W-0388 of the scene `veteran`."""
    return Sheet(html(wrench_sheet(laid("veteran").book, "W-0388")))


def test_how_it_stands_is_said_first(laid: Laid, sheet: Sheet) -> None:
    """That it may not be used and why; or for what it may be used, through which day."""
    assert "Not to be used. Was dropped Wed 25 Nov 2026, and was not calibrated since." in sheet.text
    good = Sheet(html(wrench_sheet(laid("build").book, "W-0417")))
    assert "It may be used clockwise, 20 to 150 N·m, through Tue 9 Nov 2027." in good.text


def test_every_single_result_is_in_the_table_with_its_deviation(sheet: Sheet) -> None:
    """By ISO 6789: 150 shown where the reference is 142.98 is a deviation of +4.91 %, outside 4 %."""
    table = sheet.table("Results of certificate C-W-0388-2026-10-06")
    assert len(table.rows) == 12
    row = next(row for row in table.rows if row[3] == "142.98 N·m")
    assert row == (
        "as found reading 2", "clockwise", "150 N·m", "142.98 N·m", "+4.91 %", "± 0.3 N·m, k = 2", "! outside 4 %",
    )  # fmt: skip
    left = next(row for row in table.rows if row[0] == "as left" and row[2] == "150 N·m")
    assert left[6] == "= inside 4 %"


def test_each_certificate_has_a_curve_whose_numbers_stand_beside_it(sheet: Sheet) -> None:
    """Five certificates, five curves and the drift; each drawing says where its numbers are."""
    drawn = [each for each in sheet.all("svg") if each.attributes.get("role") == "img"]
    assert len(drawn) == 6
    assert all("stand in the table" in each.attributes["aria-label"] for each in drawn)
    results = [table for table in sheet.tables() if table.caption.startswith("Results of certificate")]
    assert len(results) == 5


def test_the_drift_is_told_from_as_left_to_the_next_as_found(sheet: Sheet) -> None:
    """Each interval with its days and its change, and what is expected on the due date."""
    table = sheet.table("Intervals at 150 N·m, clockwise")
    assert table.row("2 Oct 2022") == (
        "2 Oct 2022", "3 Oct 2023", "366", "+0.16 %", "+0.66 %", "+0.50 %",
        "C-W-0388-2022-10-02 to C-W-0388-2023-10-03",
    )  # fmt: skip
    assert "Expected as found on Wed 6 Oct 2027: +1.97 %" in sheet.text
    assert "not wholly inside its accuracy of 4 %" in sheet.text


def test_without_enough_certificates_a_sentence_says_why_nothing_is_predicted(laid: Laid) -> None:
    """One certificate tells of no drift."""
    good = Sheet(html(wrench_sheet(laid("build").book, "W-0417")))
    assert "No drift is known yet" in good.text
    assert not [table for table in good.tables() if table.caption.startswith("Intervals")]


def test_its_life_and_its_jobs_are_on_it(laid: Laid, sheet: Sheet) -> None:
    """Moves, reports, uses elsewhere; and the readings of each job, refused and struck ones counted."""
    told = [row[1:4] for row in sheet.table("Events").rows]
    assert told[0] == ("dropped", "", "TK")
    assert ("returned", "12 uses elsewhere", "TK") in told
    assert ("issued", "IK", "TK") in told
    assert "No reading on record names it." in sheet.text
    used = Sheet(html(wrench_sheet(laid("build").book, "W-0417"))).table("Jobs in which it was used")
    assert used.cell("J-1", "Readings") == "22"
    assert used.cell("J-1", "Struck") == "1"
    assert used.cell("J-1", "Outside limits") == "1"


def test_only_a_wrench_has_one(laid: Laid) -> None:
    """An adapter has no curve."""
    with pytest.raises(TorquelogError, match="A-03 is an adapter, not a wrench"):
        wrench_sheet(laid("labelled").book, "A-03")
