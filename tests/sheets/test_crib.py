"""The sheet of the crib: what may not be used and why, then the rest by its last day of use."""

from datetime import date

import pytest

from tests.sheets.conftest import Laid
from tests.sheets.reading import Sheet
from torquelog.crib.due import due
from torquelog.sheets.crib import crib_sheet, week
from torquelog.sheets.environment import html


@pytest.fixture(scope="module")
def sheet(laid: Laid) -> Sheet:
    """The scene `labelled`."""
    return Sheet(html(crib_sheet(laid("labelled").book)))


def test_what_may_not_be_used_stands_first_with_its_reason(sheet: Sheet) -> None:
    """In a sentence that stays true however long the sheet hangs."""
    unfit = sheet.table("Wrenches not to be used")
    assert [row[0] for row in unfit.rows] == ["! W-0301", "! W-0302", "! W-0388"]
    assert unfit.cell("! W-0388", "Why") == "Was dropped Wed 25 Nov 2026, and was not calibrated since."
    assert "before" not in unfit.cell("! W-0388", "Why")
    assert sheet.inside("h2")[0] == "Not to be used"


def test_each_tool_stands_on_it_once(laid: Laid, sheet: Sheet) -> None:
    """Unfit or usable, never both, none left out."""
    book = laid("labelled").book
    told = [row[0].removeprefix("! ") for table in sheet.tables() for row in table.rows]
    every = [line for sort in ("wrench", "adapter", "tester") for line in _lines(book, sort)]
    assert sorted(told) == sorted(every)


def _lines(book: object, sort: str) -> list[str]:
    found = due(book, sort=sort)  # type: ignore[arg-type]  # a record
    return [line.tool.tool for line in (*found.unfit, *found.soon, *found.running_out, *found.fine)]


def test_usable_tools_stand_by_their_last_day_under_the_week(sheet: Sheet) -> None:
    """With the cycles left."""
    table = sheet.table("Wrenches that may be used")
    assert table.between == ("Week 45 of 2027, from Mon 8 Nov 2027",)
    assert table.cell("W-0417", "Use through") == "9 Nov 2027"
    assert table.cell("W-0417", "Cycles left") == "5,000 of 5,000"
    assert table.cell("W-0417", "Range") == "20 to 150 N·m"
    assert sheet.table("Adapters that may be used").between == ("No due date",)


def test_a_restricted_tool_may_be_used_but_says_for_what(sheet: Sheet) -> None:
    """In the words of its label."""
    table = sheet.table("Wrenches that may be used")
    assert table.cell("W-0350", "Range") == "20 to 150 N·m limited use, up to 100 N·m, clockwise only"


@pytest.mark.parametrize(
    ("day", "heading"),
    [
        (date(2026, 11, 23), "Week 48 of 2026, from Mon 23 Nov 2026"),
        (date(2026, 11, 29), "Week 48 of 2026, from Mon 23 Nov 2026"),
        (date(2027, 1, 1), "Week 53 of 2026, from Mon 28 Dec 2026"),
        (None, "No due date"),
    ],
)
def test_a_week_begins_on_monday_and_has_the_number_of_iso_8601(day: date | None, heading: str) -> None:
    """Across the turn of a year as well."""
    assert week(day) == heading
