"""The quick look at a record before somebody works on it."""

import sqlite3
from contextlib import closing
from typing import Any

import pytest

from tests.book.tampering import change_text, other_id
from tests.support.story import Story
from torquelog.book import soundness
from torquelog.book.opening import Book, open_book
from torquelog.book.soundness import TAIL, demand_sound
from torquelog.errors import TorquelogError


class Answering:
    """A connection that answers one question, SQLite's quick check, as it is told to."""

    def __init__(self, connection: sqlite3.Connection, answer: object, asked: str = "quick_check") -> None:
        self._connection, self._answer, self._asked = connection, answer, asked

    def execute(self, text: str, *rest: Any) -> sqlite3.Cursor:
        """The answer, or the trouble, where that is asked for."""
        if self._asked not in text:
            return self._connection.execute(text, *rest)
        if isinstance(self._answer, Exception):
            raise self._answer
        return self._connection.execute("SELECT ?", (self._answer,))


def code_of(book: Book) -> str:
    """What stands against working on a record."""
    with pytest.raises(TorquelogError) as caught:
        demand_sound(book)
    return caught.value.code


@pytest.mark.parametrize(
    "answer", ["row 3 missing from index", sqlite3.DatabaseError("database disk image is malformed")]
)
def test_damage_is_told_in_sqlites_words(worked: Story, answer: object) -> None:
    """As it answers, and where it cannot even look; a sound record is worked on."""
    demand_sound(worked.book)
    connection = worked.book.connection
    worked.book.connection = Answering(connection, answer)  # type: ignore[assignment]  # stands in for one
    try:
        with pytest.raises(TorquelogError) as caught:
            demand_sound(worked.book)
    finally:
        worked.book.connection = connection
    assert caught.value.code == "damaged"
    assert caught.value.why == f"SQLite says: {answer}."


def test_of_a_large_file_the_end_of_each_table_is_read(
    worked: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Trouble with the last rows of one of them is damage; the whole file is not asked about."""
    monkeypatch.setattr(soundness, "WHOLE", 0)
    connection, trouble = worked.book.connection, sqlite3.DatabaseError("database disk image is malformed")
    try:
        worked.book.connection = Answering(connection, trouble)  # type: ignore[assignment]  # stands in for one
        demand_sound(worked.book)
        worked.book.connection = Answering(connection, trouble, "FROM reading ")  # type: ignore[assignment]
        assert code_of(worked.book) == "damaged"
    finally:
        worked.book.connection = connection


def test_the_last_entries_have_to_follow_one_another(worked: Story, monkeypatch: pytest.MonkeyPatch) -> None:
    """A change further back than the look reaches is left to verification."""
    path, last = worked.book.path, worked.entries()
    worked.close_book()
    change_text(path, last - 3, other_id)
    with closing(open_book(path, "read", worked.clock)) as book:
        assert (TAIL, code_of(book)) == (100, "chain")
        monkeypatch.setattr("torquelog.book.soundness.TAIL", 3)
        demand_sound(book)
