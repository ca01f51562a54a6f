"""Every sheet in a browser and on paper: silent, closed in itself, legible, and nothing of it cut off."""

import os
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.sheets import scenes
from tests.sheets.browser import Browser, browser
from tests.sheets.printed import pages
from torquelog.book.opening import Book
from torquelog.sheets.aircraft import aircraft_sheet
from torquelog.sheets.crib import crib_sheet
from torquelog.sheets.environment import html, label_html
from torquelog.sheets.job import job_sheet
from torquelog.sheets.label import labels
from torquelog.sheets.recall import recall_sheet
from torquelog.sheets.worksheet import worksheet_sheet
from torquelog.sheets.wrench import wrench_sheet

pytestmark = pytest.mark.long

AXE = "TORQUELOG_AXE"
POINTS = 72
MARGIN = 28.0
"""A little less than the smallest margin of a sheet, 10 mm, in points."""

RIGHT_TO_LEFT = re.compile("[\u0590-\u06ff\ufb1d-\ufefc]+")
"""Hebrew and Arabic letters, their joined forms among them."""

PAPERS = {"A4": (8.268, 11.693), "Letter": (8.5, 11.0)}
LABELS = ("W-0417", "W-0350", "W-0301", "W-0302", "W-0388", "W_7/B.2")

SHEETS: dict[str, tuple[str, Callable[[Book], str]]] = {
    "job": ("build", lambda book: html(job_sheet(book, "J-1"))),
    "job-run-on": ("brake", lambda book: html(job_sheet(book, "J-2"))),
    "job-large": ("large_job", lambda book: html(job_sheet(book, "J-1"))),
    "job-hostile": ("hostile", lambda book: html(job_sheet(book, "J-3"))),
    "job-steps": ("stepped", lambda book: html(job_sheet(book, "J-4"))),
    "worksheet-steps": ("stepped", lambda book: html(worksheet_sheet(book, "J-4"))),
    "worksheet": ("build", lambda book: html(worksheet_sheet(book, "J-1"))),
    "worksheet-run-on": ("brake", lambda book: html(worksheet_sheet(book, "J-2", adapters=["A-03"]))),
    "worksheet-hostile": ("hostile", lambda book: html(worksheet_sheet(book, "J-3"))),
    "crib": ("labelled", lambda book: html(crib_sheet(book))),
    "crib-hostile": ("hostile", lambda book: html(crib_sheet(book))),
    "wrench": ("veteran", lambda book: html(wrench_sheet(book, "W-0388"))),
    "wrench-hostile": ("hostile", lambda book: html(wrench_sheet(book, scenes.LONG))),
    "recall": ("recalled", lambda book: html(recall_sheet(book, "R-1"))),
    "aircraft": ("recalled", lambda book: html(aircraft_sheet(book, "QQ-HLB"))),
    "labels": ("labelled", lambda book: label_html(labels(book, "wrench", LABELS))),
}


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Each sheet in a file of its own, from records that are laid once."""
    folder = tmp_path_factory.mktemp("sheets")
    laid: dict[str, Any] = {}
    made = {}
    for name, (scene, render) in SHEETS.items():
        if scene not in laid:
            place = folder / scene
            place.mkdir()
            laid[scene] = getattr(scenes, scene)(place)
        made[name] = folder / f"{name}.html"
        made[name].write_text(render(laid[scene].book), encoding="utf-8")
    for story in laid.values():
        story.close_book()
    return made


@pytest.fixture(scope="module")
def chromium(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """One browser for all of them."""
    with browser(tmp_path_factory.mktemp("browser")) as session:
        yield session


@pytest.mark.parametrize("name", SHEETS)
def test_a_sheet_is_silent_and_asks_for_nothing(name: str, files: dict[str, Path], chromium: Browser) -> None:
    """No message on the console, its policy among them, and no request but the one for the file itself."""
    chromium.open(files[name])
    assert chromium.script("return document.title")
    assert chromium.log("browser") == []
    assert chromium.requests() == [files[name].as_uri()]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", SHEETS)
def test_a_sheet_keeps_the_rules_of_accessibility(
    name: str, scheme: str, files: dict[str, Path], chromium: Browser
) -> None:
    """Landmarks, headings, tables, contrast and the rest, as axe-core checks them, light and dark."""
    place = os.environ.get(AXE, "")
    assert place, f"{AXE} names no axe.min.js: npm install axe-core, as .ci/run does"
    chromium.open(files[name])
    chromium.scheme(scheme)
    chromium.script(Path(place).read_text(encoding="utf-8"))
    found = chromium.script_later(
        "const done = arguments[arguments.length - 1];"
        "axe.run(document, {resultTypes: ['violations']}).then(found => done(found.violations.map("
        "each => [each.id, each.nodes.slice(0, 3).map(node => node.html.slice(0, 200) + ' ' + node.failureSummary)])))"
    )
    assert found == []


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", SHEETS)
def test_nothing_is_cut_off_on_paper(
    name: str, paper: str, files: dict[str, Path], chromium: Browser, tmp_path: Path
) -> None:
    """Every word of the sheet is printed, as often as it stands there, and none reaches into the margin."""
    chromium.open(files[name])
    chromium.scheme("dark")
    printed = pages(chromium.pdf(*PAPERS[paper]), tmp_path)
    for page in printed:
        outside = [
            word for word in page.words if word.left < MARGIN * 0.7 or word.right > page.width - MARGIN * 0.7
        ]
        assert not outside
    on_paper = letters("".join(word.text for page in printed for word in page.words))
    told = chromium.script(
        "return [...document.querySelectorAll('td, th[scope=row], h2, dd, li > bdi')]"
        ".filter(each => !each.closest('footer')).map(each => each.innerText)"
    )
    missing = [line for text in told for line in text.split("\n") if not is_on(on_paper, line)]
    assert not missing


def letters(text: str) -> str:
    """The letters of a text alone, as blanks and breaks differ on paper."""
    return re.sub(r"\s+", "", text)


def is_on(on_paper: str, line: str) -> bool:
    """Whether a line is on paper; of one that runs from the right, whose parts stand in another order, its words."""
    if RIGHT_TO_LEFT.search(line):
        return all(word in on_paper for word in re.findall(r"[A-Za-z0-9]{2,}", line))
    return letters(line) in on_paper


@pytest.mark.parametrize("name", [name for name in SHEETS if name != "labels"])
def test_no_row_is_parted_by_the_end_of_a_page(name: str, files: dict[str, Path], chromium: Browser) -> None:
    """On paper each row, drawing and label stays whole, and each table repeats its heading."""
    chromium.open(files[name])
    chromium.command("Emulation.setEmulatedMedia", media="print")
    styles = chromium.script(
        "const of = (what, how) => [...new Set([...document.querySelectorAll(what)].map("
        "each => getComputedStyle(each)[how]))];"
        "return [of('tr', 'breakInside'), of('thead', 'display'), of('html', 'backgroundColor')]"
    )
    chromium.command("Emulation.setEmulatedMedia", media="")
    assert styles == [["avoid"], ["table-header-group"], ["rgb(255, 255, 255)"]]


@pytest.mark.parametrize("name", [name for name in SHEETS if name != "labels"])
def test_on_paper_a_sheet_is_light_whatever_the_screen_is(
    name: str, files: dict[str, Path], chromium: Browser
) -> None:
    """Dark is for screens only: ink is dark and paper white."""
    chromium.open(files[name])
    features = [{"name": "prefers-color-scheme", "value": "dark"}]
    chromium.command("Emulation.setEmulatedMedia", media="print", features=features)
    colours = "const style = getComputedStyle(document.body); return [style.color, style.backgroundColor]"
    on_paper = chromium.script(colours)
    chromium.command("Emulation.setEmulatedMedia", media="screen", features=features)
    on_screen = chromium.script(colours)
    chromium.command("Emulation.setEmulatedMedia", media="", features=[])
    assert on_paper == ["rgb(22, 24, 26)", "rgb(255, 255, 255)"]
    assert on_screen != on_paper
