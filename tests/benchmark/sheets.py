"""Sheets: the largest that people print, against bare Jinja2 putting the same texts into a bare table.

Seconds of the processor, from the open record to the finished text; what starting costs is measured elsewhere.
"""

import time
from collections.abc import Callable, Iterator
from pathlib import Path

from jinja2 import Environment

from tests.benchmark.timing import Figure, compare
from tests.sheets import scenes
from torquelog.sheets.crib import crib_sheet
from torquelog.sheets.environment import html
from torquelog.sheets.job import job_sheet
from torquelog.sheets.model import Grid, Page

RUNS = 5
WRENCHES = 5000
AGAINST = "bare Jinja2, the same texts"
BARE = (
    "<table>{% for row in rows %}<tr>{% for text, note in row %}<td>{{ text }}<small>{{ note }}</small></td>"
    "{% endfor %}</tr>{% endfor %}</table>"
)


def figures(folder: Path) -> list[Figure]:
    """A job of 200 fasteners with 400 readings, and a crib of 5,000 wrenches, each judged anew."""
    places = [folder / name for name in ("sheet-job", "sheet-crib")]
    for place in places:
        place.mkdir()
    job, crib = scenes.large_job(places[0]).book, scenes.large_crib(places[1], WRENCHES).book
    return [
        _figure("sheet job, 200 fasteners", lambda: job_sheet(job, "J-1"), most=30),
        _figure(f"sheet crib, {WRENCHES:,} wrenches", lambda: crib_sheet(crib), most=30),
    ]


def _figure(name: str, page: Callable[[], Page], most: float) -> Figure:
    rows = list(_rows(page()))
    template = Environment(autoescape=True).from_string(BARE)
    return compare(
        name, lambda: _timed(lambda: html(page())), AGAINST, lambda: _timed(lambda: template.render(rows=rows)),
        runs=RUNS, most=most,
    )  # fmt: skip


def _rows(page: Page) -> Iterator[list[tuple[str, str]]]:
    """The texts of every table of a sheet, row by row."""
    for section in page.sections:
        for block in section.blocks:
            if isinstance(block, Grid):
                for body in block.bodies:
                    yield from ([(cell.text, cell.note) for cell in row] for row in body.rows)


def _timed(act: Callable[[], object]) -> float:
    start = time.process_time()
    act()
    return time.process_time() - start


def main() -> None:
    """These figures alone."""
    import tempfile

    from tests.benchmark.timing import table

    with tempfile.TemporaryDirectory() as folder:
        print(table(figures(Path(folder))))


if __name__ == "__main__":
    main()
