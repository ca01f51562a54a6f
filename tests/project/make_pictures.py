"""Makes the pictures of docs/pictures from the demo's record: screens as SVG, sheets as Chromium prints them.

    python -m tests.project.make_pictures

Needs Debian's packages chromium, chromium-driver and poppler-utils. Look at each before it is kept; `test_pictures`
demands that they show what torquelog shows today.
"""

import json
import re
import subprocess
import tempfile
from html import escape
from pathlib import Path
from typing import Final

import pytest

from tests.project.pictures import SCREENS, SHEETS, Shop, digest, sources, surroundings
from tests.project.source import ROOT
from tests.sheets.browser import Browser, browser, program
from torquelog.cli.text import columns

FOLDER: Final = ROOT / "docs" / "pictures"
SOURCES: Final = FOLDER / "sources.json"
PAPER: Final = (8.27, 11.69)
"""A4 in inches."""

DOTS: Final = 84
"""An inch of paper in dots."""

FULL: Final = round(PAPER[1] * DOTS)
HEIGHTS: Final = {"labels": 270, "sheet-crib": 800}
"""Dots of a picture that shows the upper part of its page only, where nothing stands below."""

ADVANCE, LINE, MARGIN = 8.4, 18, 16
LOOKS: Final = {"1": "font-weight:700", "1;31": "font-weight:700;fill:#ff8f87"}
RUN: Final = re.compile(r"\S+(?: \S+)*")
ESCAPE: Final = re.compile(r"\x1b\[([0-9;]*)m")
STYLE: Final = "font:14px ui-monospace,'DejaVu Sans Mono',Menlo,Consolas,monospace;fill:#e6e6e6"


def screen_svg(title: str, text: str) -> str:
    """A terminal with a text on it."""
    lines = [f"$ {title}", *text.rstrip("\n").split("\n")]
    width = MARGIN * 2 + ADVANCE * max(80, *(columns(ESCAPE.sub("", line)) for line in lines))
    height = MARGIN * 2 + LINE * len(lines)
    rows = [_row(line, MARGIN + LINE * number + 13) for number, line in enumerate(lines)]
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" width="{width:g}" '
            f'height="{height:g}" '
            f'role="img" aria-label="{escape(f"What {title} shows on a terminal")}">',
            f'<rect width="{width:g}" height="{height:g}" rx="6" fill="#1c1f24"/>',
            f'<g style="{STYLE}">',
            *filter(None, rows),
            "</g>",
            "</svg>\n",
        ]
    )


def _row(line: str, y: int) -> str:
    """One line of a screen; each run of signs is as wide as a terminal makes it, whatever the font."""
    look, at, pieces = "", 0, []
    for number, part in enumerate(ESCAPE.split(line)):
        if number % 2:
            look = LOOKS.get(part, "")
            continue
        for run in RUN.finditer(part):
            style = f' style="{look}"' if look else ""
            place = MARGIN + ADVANCE * (at + columns(part[: run.start()]))
            length = f'textLength="{ADVANCE * columns(run[0]):.1f}"'
            pieces.append(f'<text x="{place:.1f}" y="{y}" {length}{style}>{escape(run[0])}</text>')
        at += columns(part)
    return "".join(pieces)


def sheet_png(shown: Browser, html: str, folder: Path, height: int) -> bytes:
    """The first page of a sheet on paper, or the upper part of it: so many dots."""
    page, pdf = folder / "sheet.html", folder / "sheet.pdf"
    page.write_text(html, encoding="utf-8")
    shown.open(page)
    pdf.write_bytes(shown.pdf(*PAPER))
    words = [
        program("pdftoppm"),
        "-png",
        "-f",
        "1",
        "-l",
        "1",
        "-singlefile",
        "-r",
        str(DOTS),
        "-H",
        str(height),
    ]
    return subprocess.run([*words, str(pdf)], capture_output=True, check=True).stdout


def main() -> None:
    """Make every picture that does not show what torquelog shows today, and note what each was made from."""
    FOLDER.mkdir(exist_ok=True)
    kept = json.loads(SOURCES.read_text(encoding="utf-8")) if SOURCES.exists() else {}
    with tempfile.TemporaryDirectory() as place, pytest.MonkeyPatch.context() as patch:
        folder = Path(place)
        surroundings(patch, folder)
        made = dict(sources(Shop(folder)))
        told = {name: digest(text) for name, text in made.items()}
        stale = {name for name in told if kept.get(name) != told[name]}
        for name in stale & SCREENS.keys():
            text = screen_svg(f"torquelog {SCREENS[name]}".rstrip(), made[name])
            (FOLDER / f"{name}.svg").write_text(text, encoding="utf-8")
        with browser(folder) as shown:
            for name in stale & SHEETS.keys():
                picture = sheet_png(shown, made[name], folder, HEIGHTS.get(name, FULL))
                (FOLDER / f"{name}.png").write_bytes(picture)
    SOURCES.write_text(json.dumps(told, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
