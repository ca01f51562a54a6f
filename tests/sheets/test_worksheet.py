"""The worksheet: boxes in the card's order, what to draw and to set, and how to enter it later."""

import re

import pytest

from tests.project.dialogue import parsed
from tests.sheets.conftest import Laid
from tests.sheets.reading import Sheet
from torquelog.cli.table import paths
from torquelog.sheets.environment import html
from torquelog.sheets.worksheet import worksheet_sheet
from torquelog.torque.sequence import order


@pytest.fixture(scope="module")
def sheet(laid: Laid) -> Sheet:
    """Job J-1 of the scene `build`."""
    return Sheet(html(worksheet_sheet(laid("build").book, "J-1")))


@pytest.fixture(scope="module")
def brake(laid: Laid) -> Sheet:
    """Job J-2 of the scene `brake`, reckoned through adapter A-03."""
    return Sheet(html(worksheet_sheet(laid("brake").book, "J-2", adapters=["A-03"])))


def test_there_are_boxes_for_each_pass_in_the_cards_order(sheet: Sheet) -> None:
    """With the limits of that pass above them."""
    for caption in ("Tie bolts, pass 1, 50 %: 34 to 38 N·m", "Tie bolts, pass 2: 68 to 76 N·m"):
        table = sheet.table(caption)
        assert table.titles == ("Turn", "No.", "Set or read, unit", "Wrench, adapters", "Time", "Initials")
        assert [int(row[1]) for row in table.rows] == list(order(12, "star"))


def test_what_is_on_record_already_is_marked(sheet: Sheet) -> None:
    """Everything else is blank: a worksheet offers no value that could be copied without a wrench in hand."""
    table = sheet.table("Tie bolts, pass 2")
    done = {row[1] for row in table.rows if row[2] == "on record"}
    assert done == {"1", "2", "3", "4", "5", "6", "7", "8", "10"}
    assert {row[2:] for row in table.rows if row[1] not in done} == {("", "", "", "")}


def test_run_on_torque_has_a_box_where_the_card_wants_it(sheet: Sheet, brake: Sheet) -> None:
    """And is said to come on top of the settings."""
    assert "Run-on torque, tool" in brake.table("Brake nuts, pass 1").titles
    assert "Measure the run-on torque first" in brake.text
    assert "Run-on torque, tool" not in sheet.table("Tie bolts, pass 1").titles


def test_tools_that_could_be_drawn_stand_with_what_to_set(sheet: Sheet, brake: Sheet) -> None:
    """For each pass; a tool issued to the job is among them, an overdue one is not."""
    table = sheet.table("Wrenches that could be drawn for tie bolts")
    assert table.cell("W-0417", "Set: Pass 1, 50 %") == "36 N·m"
    assert table.cell("W-0417", "Set: Pass 2") == "72 N·m"
    assert [row[0] for row in table.rows] == ["W-0417"]
    drawn = brake.table("Wrenches that could be drawn for brake nuts")
    assert drawn.cell("W-0417", "Set: Pass 1") == "36.5 N·m"
    assert drawn.cell("W-0417", "Where") == "with TK for J-2"


def test_locking_parts_and_checks_have_boxes(sheet: Sheet, brake: Sheet) -> None:
    """As the card names them; a check on record is marked."""
    assert brake.table("Brake nuts: locking").rows == (("Locking wire", "1 to 4", "", "", ""),)
    assert brake.table("Brake nuts: parts fitted").rows == (("EX-7311", "", "-", "", ""),)
    assert sheet.table("Operational checks").rows == (
        ("No leak at the fitting under pressure", "on record", "", ""),
    )


def test_an_inspection_has_boxes_where_the_card_asks_for_one(sheet: Sheet, brake: Sheet) -> None:
    """Fastener by fastener, for somebody who did none of the work; what is accepted already is marked."""
    table = brake.table("Brake nuts: independent inspection, by somebody who did none of this work")
    assert [row[:2] for row in table.rows] == [("1", "on record"), ("2", ""), ("3", ""), ("4", "")]
    assert not [each for each in sheet.tables() if "inspection" in each.caption]


def test_the_commands_to_enter_it_exist_and_hold_no_reading(brake: Sheet) -> None:
    """Each begins with a command of torquelog; words in capitals stand for what is typed in."""
    (block,) = brake.inside("pre")
    lines = [f"torquelog {line.strip()}" for line in block.split("torquelog ") if line.strip()]
    known = {name for name, _ in paths()}
    for line in lines:
        words, _, _ = parsed(line)
        assert {" ".join(words[:1]), " ".join(words[:2])} & known, line
        assert not re.search(r"\d N·m|\d ?Nm|lbf", line)
    assert len(lines) == 3
