"""What people look for on a sheet stays where it is: the outlines of all sheets, compared with those on file."""

import pytest

from tests.sheets.conftest import Laid
from tests.sheets.outline import FOLDER, MAKERS, headings, outline


@pytest.mark.parametrize("name", MAKERS)
def test_a_sheet_is_laid_out_as_before(name: str, laid: Laid) -> None:
    """A change shows here; `python -m tests.sheets.outline` writes it down."""
    scene, make = MAKERS[name]
    page = make(laid(scene).book)
    assert outline(page) == (FOLDER / f"{name}.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", MAKERS)
def test_the_page_has_the_headings_of_its_sections(name: str, laid: Laid) -> None:
    """In the same order."""
    scene, make = MAKERS[name]
    page = make(laid(scene).book)
    assert headings(page) == [section.heading for section in page.sections]
