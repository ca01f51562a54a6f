"""What every sheet is as a file: closed in itself, without script, harmless whatever the names in it are."""

import re
from base64 import b64encode
from collections.abc import Callable
from hashlib import sha256

import pytest

from tests.sheets import scenes
from tests.sheets.conftest import Laid
from tests.sheets.reading import Sheet
from torquelog.book.opening import Book
from torquelog.sheets.aircraft import aircraft_sheet
from torquelog.sheets.crib import crib_sheet
from torquelog.sheets.environment import environment, html, label_html
from torquelog.sheets.job import job_sheet
from torquelog.sheets.label import labels
from torquelog.sheets.model import Cell, Lines, Page, Section, grid
from torquelog.sheets.recall import recall_sheet
from torquelog.sheets.worksheet import worksheet_sheet
from torquelog.sheets.wrench import wrench_sheet

ELEMENTS = {
    "html", "head", "meta", "title", "style", "body", "header", "main", "footer", "aside", "section", "h1", "h2", "p",
    "dl", "div", "dt", "dd", "bdi", "ul", "li", "span", "small", "pre", "figure", "figcaption", "table", "caption",
    "thead", "tbody", "tr", "th", "td", "svg", "line", "circle", "rect", "path", "text", "strong", "br",
}  # fmt: skip
ATTRIBUTES = {
    "lang", "charset", "http-equiv", "content", "name", "class", "id", "aria-label", "aria-labelledby", "aria-hidden",
    "role", "tabindex", "scope", "colspan", "viewbox", "width", "height", "focusable", "x", "y", "x1", "y1", "x2", "y2",
    "cx", "cy", "r", "d", "transform",
}  # fmt: skip
SHEETS: dict[str, tuple[str, Callable[[Book], str]]] = {
    "job": ("hostile", lambda book: html(job_sheet(book, "J-3"))),
    "worksheet": ("hostile", lambda book: html(worksheet_sheet(book, "J-3"))),
    "crib": ("hostile", lambda book: html(crib_sheet(book))),
    "wrench": ("hostile", lambda book: html(wrench_sheet(book, scenes.LONG))),
    "aircraft": ("hostile", lambda book: html(aircraft_sheet(book, "QQ-HLB"))),
    "recall": ("recalled", lambda book: html(recall_sheet(book, "R-1"))),
    "labels": ("hostile", lambda book: label_html(labels(book, "wrench", [scenes.LONG, "W-0402"]))),
}
HOSTILE = [name for name, (scene, _) in SHEETS.items() if scene == "hostile" and name != "labels"]


@pytest.fixture(scope="module")
def texts(laid: Laid) -> dict[str, str]:
    """Every sheet as text."""
    return {name: render(laid(scene).book) for name, (scene, render) in SHEETS.items()}


@pytest.mark.parametrize("name", SHEETS)
def test_only_known_elements_and_attributes_stand_in_a_sheet(name: str, texts: dict[str, str]) -> None:
    """No script, link, image, frame or form, no attribute that runs or loads anything: whatever the names are."""
    sheet = Sheet(texts[name])
    assert {each.name for each in sheet.elements} <= ELEMENTS
    assert {key for each in sheet.elements for key in each.attributes} <= ATTRIBUTES
    assert "url(" not in texts[name]
    assert not re.search(r"https?:|//[a-z]", texts[name].partition("</style>")[2].replace("&#34;", ""))


@pytest.mark.parametrize("name", SHEETS)
def test_every_attribute_is_quoted(name: str, texts: dict[str, str]) -> None:
    """So that a blank in a value begins no attribute of its own."""
    body = texts[name].partition("<body>")[2]
    for tag in re.findall(r"<[a-z][^>]*>", body):
        assert re.fullmatch(r'<[a-z0-9]+(\s+[a-zA-Z0-9-]+="[^"<>]*")*\s*/?>', tag), tag


@pytest.mark.parametrize("name", SHEETS)
def test_the_policy_loads_nothing_and_knows_the_style_by_its_digest(name: str, texts: dict[str, str]) -> None:
    """default-src 'none'; the one style sheet is the one that the policy names."""
    sheet = Sheet(texts[name])
    told = [each.attributes["content"] for each in sheet.all("meta") if "http-equiv" in each.attributes]
    (style,) = re.findall(r"<style>(.*?)</style>", texts[name], re.DOTALL)
    digest = b64encode(sha256(style.encode()).digest()).decode()
    assert told == [f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"]
    assert texts[name].index("http-equiv") < texts[name].index("<title>")


@pytest.mark.parametrize("name", HOSTILE)
def test_names_are_shown_as_they_are(name: str, texts: dict[str, str]) -> None:
    """Markup is read as its letters, a template's signs are no template, and right-to-left text is kept apart."""
    sheet = Sheet(texts[name])
    read = " ".join("".join(data for _, data in sheet.texts).split())
    assert scenes.RIGHT_TO_LEFT in read
    assert "<script>" not in texts[name]
    if name != "aircraft":
        assert scenes.MARKUP in read
    isolated = [above for above, data in sheet.texts if scenes.RIGHT_TO_LEFT in data]
    assert all("bdi" in above or "caption" in above for above in isolated)


@pytest.mark.parametrize("name", SHEETS)
def test_a_sheet_has_landmarks_and_headings_in_order(name: str, texts: dict[str, str]) -> None:
    """One main part, one first heading, the others below it; every table with a caption and scopes."""
    sheet = Sheet(texts[name])
    assert len(sheet.all("main")) == len(sheet.all("h1")) == len(sheet.all("footer")) == 1
    assert sheet.elements[0].attributes == {"lang": "en"}
    assert len(sheet.all("caption")) == len(sheet.all("table"))
    assert all(each.attributes.get("scope") in {"col", "row", "rowgroup"} for each in sheet.all("th"))
    captions = sheet.inside("caption")
    assert len(set(captions)) == len(captions)
    ids = [each.attributes["id"] for each in sheet.elements if "id" in each.attributes]
    assert len(set(ids)) == len(ids)


@pytest.mark.parametrize("name", SHEETS)
def test_each_row_has_as_many_cells_as_there_are_columns(name: str, texts: dict[str, str]) -> None:
    """So that no value stands under another title."""
    for table in Sheet(texts[name]).tables():
        assert {len(row) for row in table.rows} <= {len(table.titles)}, table.caption


def test_an_unknown_name_in_a_template_is_a_fault() -> None:
    """It never leaves a blank on a sheet in silence."""
    from jinja2 import UndefinedError

    with pytest.raises(UndefinedError):
        environment().from_string("{{ page.nothing }}").render(page=object())


def test_the_factory_escapes_in_text_and_in_attributes() -> None:
    """Quotes, too: a value cannot end the attribute that it stands in."""
    rows = [(Cell('"><img src=x onerror=1>'),)]
    page = Page(
        "T'\"<", "P", (), (), (Section("S", (grid("C\" onload='x", "H", rows), Lines(("<i>",)))),), ()
    )
    text = html(page)
    assert "<img" not in text
    assert "<i>" not in text
    assert 'aria-label="C&#34; onload=&#39;x"' in text
