"""docs/pictures: each shows what torquelog shows today, and stands in a document."""

import json
import re
from pathlib import Path

import pytest

from tests.project.make_pictures import FOLDER, SOURCES, screen_svg
from tests.project.pictures import SCREENS, SHEETS, Shop, digest, sources, surroundings
from tests.project.source import ROOT

LARGEST = 1_500_000
SHOWN = re.compile(r"!\[([^\]]+)\]\(([^)]+\.(?:svg|png))\)")
FILES = [*(f"{name}.svg" for name in SCREENS), *(f"{name}.png" for name in SHEETS)]


def test_no_picture_is_out_of_date(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Made from the same demo again, every sheet and every screen says the same."""
    surroundings(monkeypatch, tmp_path)
    kept = json.loads(SOURCES.read_text(encoding="utf-8"))
    now = {name: digest(text) for name, text in sources(Shop(tmp_path))}
    stale = sorted(name for name in kept.keys() | now.keys() if kept.get(name) != now.get(name))
    assert stale == [], "look, then: python -m tests.project.make_pictures"


def test_every_picture_is_there_and_used() -> None:
    """Each stands in a document with words for those who do not see it, and all of them are small."""
    documents = [ROOT / "README.md", *(ROOT / "docs").rglob("*.md")]
    used = {
        (path.parent / target).resolve(): words
        for path in documents
        for words, target in SHOWN.findall(path.read_text(encoding="utf-8"))
    }
    assert {path.name for path in used} == set(FILES)
    assert sorted(path.name for path in FOLDER.iterdir()) == sorted([*FILES, SOURCES.name])
    assert all(path.is_file() and len(words) > 10 for path, words in used.items())
    assert sum(path.stat().st_size for path in FOLDER.iterdir()) < LARGEST


def test_a_screen_keeps_its_columns_and_its_letters() -> None:
    """Each run of signs stands where the terminal has it; what people typed is text in the drawing."""
    drawn = screen_svg("torquelog <x>", "\x1b[1mBold &\x1b[0m  far\n\nlast")
    texts = re.findall(
        r'<text x="([\d.]+)" y="(\d+)" textLength="([\d.]+)"( style="[^"]+")?>([^<]*)</text>', drawn
    )
    assert [(x, words, bool(look)) for x, _, _, look, words in texts] == [
        ("16.0", "$ torquelog &lt;x&gt;", False), ("16.0", "Bold &amp;", True), ("83.2", "far", False),
        ("16.0", "last", False),
    ]  # fmt: skip
    assert texts[1][2] == "50.4"
