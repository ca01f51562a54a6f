"""What a sheet asks of the record grows with what is on it, and no faster; seconds are measured in tests/benchmark."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.sheets import scenes
from torquelog.book.opening import Book
from torquelog.sheets.crib import crib_sheet
from torquelog.sheets.job import job_sheet


def asked(book: Book, sheet: Callable[[], object]) -> int:
    """How many statements a sheet carries out."""
    statements: list[str] = []
    book.connection.set_trace_callback(statements.append)
    sheet()
    book.connection.set_trace_callback(None)
    return len(statements)


def asked_by_job(folder: Path, count: int) -> int:
    folder.mkdir()
    book = scenes.large_job(folder, count).book
    return asked(book, lambda: job_sheet(book, "J-1"))


def asked_by_crib(folder: Path, count: int) -> int:
    folder.mkdir()
    book = scenes.large_crib(folder, count).book
    return asked(book, lambda: crib_sheet(book))


@pytest.mark.parametrize(("asks", "most"), [(asked_by_job, 4), (asked_by_crib, 11)])
def test_each_thing_on_a_sheet_costs_a_few_questions(
    asks: Callable[[Path, int], int], most: int, tmp_path: Path, record_property: Callable[..., None]
) -> None:
    """A fastener with two readings on a job sheet, a wrench on the crib's: a few statements, however many there are."""
    few, more, many = (asks(tmp_path / str(count), count) for count in (10, 20, 40))
    record_property("count", f"{(many - more) / 20} statements each")
    assert many - more <= 2.2 * (more - few)
    assert (many - more) / 20 <= most
