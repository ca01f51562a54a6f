"""What spreadsheets get: nothing that they would compute, nothing that only Python could read."""

import csv
from io import StringIO

import pytest

from torquelog.cli.answer import Column, Table
from torquelog.cli.spreadsheet import cell, write_csv


@pytest.mark.parametrize("text", ["=1+1", "+SUM(A1)", "-2+3", "@cmd", "-2 in", "-0.50 %", "＝1+1", "＠cmd"])
def test_what_begins_like_a_formula_gets_an_apostrophe(text: str) -> None:
    """A place or a reason may say anything; a spreadsheet computes none of it."""
    assert cell(text) == f"'{text}"


@pytest.mark.parametrize("text", ["-2", "+3.5", "44.10", "W-0417", "", "a=b"])
def test_numbers_and_other_text_stay_as_they_are(text: str) -> None:
    """A sign in front of a number makes no formula."""
    assert cell(text) == text


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("\x1b[31mred", "\\x1b[31mred"),
        ("\x9b31m", "\\x9b31m"),
        ("\t=1+1", "\\x09=1+1"),
        ("\r=1+1", "\\x0d=1+1"),
        ("a\u202eb", "a\\u202eb"),
        ("one\ntwo", "one\ntwo"),
    ],
)
def test_what_cannot_be_seen_is_written_out(text: str, shown: str) -> None:
    """What another program signed may hold anything; only a line break stays what it is."""
    assert cell(text) == shown


def test_an_object_in_a_list_is_told_by_names_and_values() -> None:
    """As with the scales of a wrench: no brackets and quotation marks of a programming language."""
    scales = [{"low": "20", "high": "100", "unit": "lbf·ft"}, {"low": "27", "high": "136", "unit": "N·m"}]
    assert cell(scales) == "low=20 high=100 unit=lbf·ft; low=27 high=136 unit=N·m"


def test_printed_cells_are_guarded_as_well() -> None:
    """A table without records writes what the screen shows."""
    out = StringIO()
    write_csv(Table((Column("place"),), (("=A1",), ("B2",))), out)
    assert list(csv.reader(out.getvalue().splitlines())) == [["place"], ["'=A1"], ["B2"]]
