"""Facts about a file's rows: CSV in its dialects and JSON Lines give the same cells; errors bear line and column."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.importing.files import ASSEMBLY, READING, csv_of, json_of, reading, rows_of, sheet_of
from torquelog.errors import TorquelogError
from torquelog.importing.columns import COLUMNS, REASON
from torquelog.importing.sheet import LARGEST_ROW

CELL = st.text(
    st.characters(categories=("L", "N", "P", "S", "Zs"), exclude_characters=";'"), max_size=12
).map(str.strip)


def code_of(content: str | bytes, kind: str = "readings") -> str:
    """The code of what stops a file from being read."""
    with pytest.raises(TorquelogError) as caught:
        rows_of(content, kind)
    return caught.value.code


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_every_dialect_gives_the_same_cells(delimiter: str, end: str, mark: str) -> None:
    """Commas, semicolons or tabs, either line end, with or without a byte order mark; and JSON Lines."""
    rows = [reading(1), reading(2, why='he said "so", twice; yes')]
    text = mark + csv_of(rows, delimiter).replace("\n", end)
    cells = [row.cells for row in rows_of(text)]
    assert cells == [row.cells for row in rows_of(json_of(rows))] == rows


@given(why=CELL, lot=CELL)
def test_what_a_table_holds_comes_back(why: str, lot: str) -> None:
    """Whatever text stands in a cell is the cell of the row, composed; quotation marks and delimiters included."""
    row = {name: text for name, text in {**READING, "why": why, "lot": lot}.items() if text}
    assert [found.cells for found in rows_of(csv_of([row]))] == [
        found.cells for found in rows_of(json_of([row]))
    ]


def test_names_are_found_however_they_are_written() -> None:
    """Capitals, blanks and hyphens in a header do not matter; columns may stand in any order."""
    text = "AT,Run-On Wrench,JOB,fastener,Reading,wrench\n2026-11-25 09:00,W-1,J-1,a:1,1 Nm,W-2\n"
    (row,) = rows_of(text)
    assert row.cells["run_on_wrench"] == "W-1"
    assert row.cells["at"] == "2026-11-25 09:00"


def test_a_misspelled_column_is_told_with_the_one_that_was_meant() -> None:
    """It is never taken for the one that it resembles."""
    with pytest.raises(TorquelogError) as caught:
        sheet_of("job,fastner,reading,wrench,at\n")
    assert caught.value.code == "field-unknown"
    assert caught.value.hint == 'Did you mean "fastener"?'


def test_a_header_is_whole() -> None:
    """A needed column that is missing, a column twice, no header at all: nothing is read."""
    assert code_of("job,fastener,reading,wrench\n") == "field-missing"
    assert code_of("job,job,fastener,reading,wrench,at\n") == "field-twice"
    assert code_of("") == code_of("\n \r\n\n") == "file-empty"
    assert code_of("5,5,5\n1,2,3\n") == "field-unknown"


def test_columns_and_rows_that_nobody_filled_are_passed_over() -> None:
    """Spreadsheets write delimiters to their right and rows of nothing below."""
    assert [
        row.cells for row in rows_of("serial,part,kind,,\nWH-3001,EX-4410-1,wheel,,\n,,,,\n\n", "assemblies")
    ] == [ASSEMBLY]


def test_a_row_with_other_cells_than_the_header_is_told_with_its_line() -> None:
    """Too many, or too few; the line is the one where the row begins."""
    text = 'serial,part,kind\n"WH\n1",EX,wheel\nWH-2,EX,wheel,more\nWH-3,EX\n'
    first, second, third = rows_of(text, "assemblies")
    assert (first.raw.line, second.raw.line, third.raw.line) == (2, 4, 5)
    assert [row.wrong[0].error.code for row in (second, third)] == ["row-form", "row-form"]


def test_an_empty_needed_cell_is_told_by_its_column() -> None:
    """Each of them."""
    (row,) = rows_of("serial,part,kind\nWH-3001,,\n", "assemblies")
    assert [(each.column, each.error.code) for each in row.wrong] == [
        ("part", "field-missing"),
        ("kind", "field-missing"),
    ]


@pytest.mark.parametrize(
    ("cell", "code"),
    [
        ("J\0-1", "text-mark"),
        ("J-1\u202e", "text-mark"),
        ("J\u200b-1", "text-mark"),
        ("x" * 2001, "text-long"),
    ],
)
def test_unseen_marks_are_told_by_their_column(cell: str, code: str) -> None:
    """NUL, marks that turn the direction of writing, marks without width; also a text that is too long."""
    text = csv_of([{**READING, "why": cell + "é" if code == "text-long" else cell}])
    (row,) = rows_of(text)
    assert [(each.column, each.error.code) for each in row.wrong] == [("why", code)]


def test_the_apostrophe_before_a_formula_is_taken_off() -> None:
    """As torquelog writes it; one before anything else belongs to the text."""
    first, second = rows_of(csv_of([{**READING, "why": "'=1+1"}, {**READING, "why": "'twas so"}]))
    assert (first.cells["why"], second.cells["why"]) == ("=1+1", "'twas so")


def test_decimal_commas_are_read_where_they_were_announced() -> None:
    """Then a point in a number is no decimal point; texts keep their commas."""
    rows = [{**READING, "reading": "26,5", "why": "1,5 turns"}]
    (row,) = rows_of(csv_of(rows, ";"), decimal_comma=True)
    assert (row.cells["reading"], row.cells["why"]) == ("26.5", "1,5 turns")
    (pointed,) = rows_of(csv_of([{**READING, "reading": "1.200"}], ";"), decimal_comma=True)
    assert [(each.column, each.error.code) for each in pointed.wrong] == [("reading", "number-form")]
    (plain,) = rows_of(csv_of(rows, ";"))
    assert plain.cells["reading"] == "26,5"


def test_a_quotation_mark_that_is_not_closed_ends_the_reading() -> None:
    """From there on no row can be told from the next; the line where it begins is named."""
    with pytest.raises(TorquelogError) as caught:
        rows_of('serial,part,kind\nWH-1,EX,wheel\n"WH-2,EX,wheel\nWH-3,EX,wheel\n', "assemblies")
    assert caught.value.code == "file-form"
    assert "line 3" in caught.value.what


def test_a_row_that_never_ends_is_not_gathered() -> None:
    """Quoted cells may hold line breaks, and so many of them could fill the memory: the row's size is bounded."""
    endless = 'serial,part,kind\n"WH\n' + '","a\n' * (LARGEST_ROW // 4 + 1)
    with pytest.raises(TorquelogError) as caught:
        rows_of(endless, "assemblies")
    assert caught.value.code == "file-form"
    assert "goes on for more than 256 KiB" in caught.value.what


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ('{"serial": "A", "serial": "B", "part": "P", "kind": "wheel"}', "json-form"),
        ('{"serial": "A", "Serial": "B", "part": "P", "kind": "wheel"}', "field-twice"),
        ('{"serial": 1.5, "part": "P", "kind": "wheel"}', "json-form"),
        ('{"serial": 123456789012345678901234567890, "part": "P", "kind": "wheel"}', "json-form"),
        ('{"serial": ["A"], "part": "P", "kind": "wheel"}', "field-form"),
        ('{"serial": true, "part": "P", "kind": "wheel"}', "field-form"),
        ('{"seriel": "A", "part": "P", "kind": "wheel"}', "field-unknown"),
        ('{"serial": "A\\u0000", "part": "P", "kind": "wheel"}', "text-mark"),
        ('{"serial": "\\ud800", "part": "P", "kind": "wheel"}', "json-form"),
        ('{"serial": NaN}', "json-form"),
        ('{"serial": ' + "[" * 3000, "json-form"),
        ('{"serial": "A", ', "json-form"),
        ("[1, 2]", "json-form"),
        ('"WH-1"', "json-form"),
    ],
)
def test_a_line_of_json_that_cannot_be_a_row_is_told(line: str, code: str) -> None:
    """The others are read."""
    good = json.dumps(ASSEMBLY)
    first, bad, last = rows_of(f"{good}\n{line}\n{good}\n", "assemblies")
    assert first.cells == last.cells == ASSEMBLY
    assert [each.error.code for each in bad.wrong] == [code]
    assert bad.raw.line == 2


def test_lists_and_flags_are_the_same_in_both_forms() -> None:
    """A list stands with semicolons in a cell; true is yes, false and null are nothing."""
    cells = {**READING, "adapter": "A-1; A-2", "loosened": "yes"}
    members = {**READING, "adapter": ["A-1", "A-2"], "loosened": True, "act": None, "pass": 1}
    (one,), (other,) = rows_of(csv_of([{**cells, "pass": "1"}])), rows_of(json_of([members]))
    assert one.cells == other.cells


def test_the_column_of_reasons_is_passed_over() -> None:
    """No kind of file has a column of that name, and wherever it stands, it says nothing."""
    assert all(column.name != REASON for columns in COLUMNS.values() for column in columns)
    assert [row.cells for row in rows_of(csv_of([{"reason": "lost", **ASSEMBLY}]), "assemblies")] == [
        ASSEMBLY
    ]
    assert [row.cells for row in rows_of(json_of([{**ASSEMBLY, "reason": "lost"}]), "assemblies")] == [
        ASSEMBLY
    ]
