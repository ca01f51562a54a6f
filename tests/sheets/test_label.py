"""Labels: what they say, in metrology's words, and the code that a scanner reads."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sheets.conftest import Laid
from tests.sheets.reading import Sheet
from torquelog.sheets.environment import label_html
from torquelog.sheets.label import QUIET_ZONE, Labels, code_drawing, labels
from torquelog.work import scan

NUMBERS = ["W-0417", "W-0350", "W-0301", "W-0302", "W-0388", "W_7/B.2"]


@pytest.fixture(scope="module")
def page(laid: Laid) -> Labels:
    """Labels of the wrenches of the scene `labelled`."""
    return labels(laid("labelled").book, "wrench", NUMBERS)


def test_a_label_says_number_range_and_last_day(page: Labels) -> None:
    """And of which day it is."""
    first = page.labels[0]
    assert (first.number, first.nature, first.use_through) == ("W-0417", "20 to 150 N·m", "9 Nov 2027")
    assert (first.words, first.made) == ((), "25 Nov 2026")


def test_restrictions_bear_the_usual_words(page: Labels) -> None:
    """Limited use, indication only, calibrate before use, unserviceable."""
    assert [each.words for each in page.labels[1:5]] == [
        (("Limited use", "up to 100 N·m, clockwise only"),),
        (("Indication only", ""),),
        (("Calibrate before use", "checked on a tester each day of use"),),
        (("Unserviceable", ""),),
    ]


def test_the_code_is_that_of_a_scanner(page: Labels) -> None:
    """What it says is read back as this tool."""
    for each in page.labels[:5]:
        assert scan.parse_scan(each.code) == scan.Scan("wrench", each.number)


def test_a_number_that_no_code_takes_is_said_so(page: Labels) -> None:
    """The label bears it in letters, for typing."""
    assert page.without_code == ("W_7/B.2",)
    assert page.labels[5].drawing is None
    assert "no code: type the number" in label_html(page)


def test_an_adapters_label_tells_its_length(laid: Laid) -> None:
    """Without a due date it says so."""
    (only,) = labels(laid("labelled").book, "adapter", ["A-03"]).labels
    assert (only.nature, only.use_through, only.code[:9]) == (
        "3 in long",
        "no due date",
        "TQ1AA-03" + only.code[8],
    )


@settings(max_examples=25)
@given(st.from_regex(r"[A-Z0-9][A-Z0-9-]{0,31}", fullmatch=True))
def test_the_drawing_has_every_dark_module_and_white_about_it(number: str) -> None:
    """Square by square what the QR code is, with the quiet zone that its standard asks for."""
    import segno

    code = scan.code("wrench", number)
    drawing = code_drawing(code)
    (path,) = drawing.shapes
    dark = {tuple(map(int, each)) for each in re.findall(r"M(\d+) (\d+)h1v1h-1z", path.commands)}  # type: ignore[union-attr]
    matrix = segno.make_qr(code, error="m").matrix
    wanted = {
        (column + QUIET_ZONE, line + QUIET_ZONE)
        for line, row in enumerate(matrix)
        for column, each in enumerate(row)
        if each
    }
    assert dark == wanted
    assert drawing.width == drawing.height == len(matrix) + 2 * QUIET_ZONE


def test_labels_are_a_list_whose_drawings_have_names(page: Labels) -> None:
    """A screen reader says which tool a code is of."""
    sheet = Sheet(label_html(page))
    assert sheet.inside("h2") == NUMBERS
    assert [each.attributes["aria-label"] for each in sheet.all("svg")] == [
        f"QR code of {each.code}" for each in page.labels[:5]
    ]
