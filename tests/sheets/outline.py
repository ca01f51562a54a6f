"""The outline of a sheet: its headings, facts, tables with their columns and numbers of rows, drawings.

    python -m tests.sheets.outline

writes the outlines anew that `test_outline` compares; look at the difference before it is kept.
"""

import re
import tempfile
from pathlib import Path

from tests.sheets import scenes
from tests.sheets.reading import Sheet
from torquelog.sheets.aircraft import aircraft_sheet
from torquelog.sheets.crib import crib_sheet
from torquelog.sheets.environment import html
from torquelog.sheets.job import job_sheet
from torquelog.sheets.model import Block, Facts, Figure, Grid, Lines, Page, Signatures
from torquelog.sheets.recall import recall_sheet
from torquelog.sheets.worksheet import worksheet_sheet
from torquelog.sheets.wrench import wrench_sheet

FOLDER = Path(__file__).parent / "outlines"
MAKERS = {
    "job": ("build", lambda book: job_sheet(book, "J-1")),
    "job-run-on": ("brake", lambda book: job_sheet(book, "J-2")),
    "worksheet": ("brake", lambda book: worksheet_sheet(book, "J-2", adapters=["A-03"])),
    "job-steps": ("stepped", lambda book: job_sheet(book, "J-4")),
    "worksheet-steps": ("stepped", lambda book: worksheet_sheet(book, "J-4")),
    "crib": ("labelled", crib_sheet),
    "wrench": ("veteran", lambda book: wrench_sheet(book, "W-0388")),
    "recall": ("recalled", lambda book: recall_sheet(book, "R-1")),
    "aircraft": ("recalled", lambda book: aircraft_sheet(book, "QQ-HLB")),
}


def outline(page: Page) -> str:
    """The outline of a page, a line each; digests and identities, which are new each time, are left out."""
    lines = [f"{page.purpose}: {page.title}", *(f"  {label}" for label, _ in (*page.head, *page.foot))]
    lines += [f"  ! {line}" for line in page.safety]
    for section in page.sections:
        lines.append(f"{'-- new page -- ' if section.fresh else ''}{section.heading}")
        for block in section.blocks:
            lines += [f"  {line}" for line in _block(block)]
    return re.sub(r"\b[0-9a-f]{16,64}\b", "…", "\n".join(lines)) + "\n"


def _block(block: Block) -> list[str]:
    if isinstance(block, Grid):
        rows = sum(len(body.rows) for body in block.bodies)
        between = [f"  under: {body.heading}" for body in block.bodies if body.heading]
        return [f"table ({rows}{', blank' if block.blank else ''}) {block.caption}",
                "  " + " | ".join(column.title for column in block.columns), *between]  # fmt: skip
    if isinstance(block, Facts):
        return [f"fact {label}: {value}" for label, value in block.pairs]
    if isinstance(block, Figure):
        return [f"drawing: {block.drawing.title}", f"  {block.caption}",
                *(f"  fact {label}: {value}" for label, value in block.beside)]  # fmt: skip
    if isinstance(block, Signatures):
        return [f"to sign: {role}" for role in block.roles]
    assert isinstance(block, Lines)
    return [f"{block.look}: {text}" for text in block.texts]


def headings(page: Page) -> list[str]:
    """The headings as they come out in HTML."""
    return Sheet(html(page)).inside("h2")


def main() -> None:
    """Write the outlines."""
    FOLDER.mkdir(exist_ok=True)
    for name, (scene, make) in MAKERS.items():
        with tempfile.TemporaryDirectory() as folder:
            story = getattr(scenes, scene)(Path(folder))
            (FOLDER / f"{name}.txt").write_text(outline(make(story.book)), encoding="utf-8")
            story.close_book()


if __name__ == "__main__":
    main()
