"""Facts found by trying many files: again changes nothing; mended rejects give what a correct file gives."""

import csv
import io
import tempfile
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.importing.files import bring, csv_of, json_of, reading
from tests.support.story import Story
from torquelog.book.verification import verify

MISTAKES = (
    {"job": "J-9"},
    {"unit": "lb"},
    {"reading": "100,0"},
    {"wrench": "W-9"},
    {"at": "2026-10-25 01:30"},
)
"""What may be wrong with a row, for each reason another one."""

ROW = st.fixed_dictionaries({
    "item": st.integers(1, 3), "reading": st.sampled_from(["100", "100.0", "96.5", "120", "80"]),
    "unit": st.sampled_from(["NU", "N·m"]), "loosened": st.sampled_from(["", "yes"]),
    "act": st.sampled_from(["", "check"]),
})  # fmt: skip
ROWS = st.lists(ROW, min_size=1, max_size=6)


def rows_of(drawn: list[dict[str, Any]]) -> list[dict[str, str]]:
    """Rows, a minute between two of them."""
    return [reading(minute=minute, **row) for minute, row in enumerate(drawn)]


def facts(story: Story) -> list[tuple[Any, ...]]:
    """The readings as they stand on record, without what tells when and where they were written."""
    columns = {row[1] for row in story.book.connection.execute("PRAGMA table_info(reading)")}
    names = [name for name in sorted(columns) if name not in {"number", "recorded", "known", "rule_set"}]
    return story.book.connection.execute(
        f"SELECT {', '.join(names)} FROM reading ORDER BY at, item"
    ).fetchall()


def lived(*files: tuple[str, bool], mend: Any = None) -> list[tuple[Any, ...]]:
    """The readings of a record into which files were brought, one after the other, keeping going where it says so.

    Args:
        files: contents, and whether to keep going.
        mend: makes of a file of rejects one to bring in at the end.
    """
    with tempfile.TemporaryDirectory() as folder:
        story = Story(Path(folder))
        try:
            story.bench()
            rejects = io.StringIO()
            for content, keep_going in files:
                bring(story, content, keep_going=keep_going, rejects=rejects)
            if mend is not None and rejects.getvalue():
                assert not bring(story, mend(rejects.getvalue())).errors
            assert verify(story.book.connection, story.book.station).findings == ()
            return facts(story)
        finally:
            story.close_book()


@settings(max_examples=8, deadline=None)
@given(drawn=ROWS, twice=st.booleans())
def test_bringing_in_again_changes_nothing(drawn: list[dict[str, Any]], twice: bool) -> None:
    """Whatever the rows, the same ones among them; as CSV, then as JSON Lines."""
    rows = rows_of(drawn) * (2 if twice else 1)
    once = lived((csv_of(rows), False))
    assert len(once) == len(rows)
    assert lived((csv_of(rows), False), (json_of(rows), False), (csv_of(rows, "\t"), False)) == once


@settings(max_examples=8, deadline=None)
@given(drawn=ROWS, data=st.data())
def test_mended_rejects_give_what_a_correct_file_gives(
    drawn: list[dict[str, Any]], data: st.DataObject
) -> None:
    """Some rows are wrong, are rejected, mended and brought in; the record then holds the same readings.

    The rows are of different fasteners, as what is brought in late meets what was brought in before it.
    """
    good = [reading(item % 3 + 1, item, reading=row["reading"]) for item, row in enumerate(drawn[:3])]
    mistakes = data.draw(st.lists(st.sampled_from((None, *MISTAKES)), min_size=len(good), max_size=len(good)))
    bad = [{**row, **(mistake or {})} for row, mistake in zip(good, mistakes, strict=True)]

    def mend(rejected: str) -> str:
        rows = list(csv.DictReader(io.StringIO(rejected)))
        assert all(row["reason"] for row in rows)
        assert len(rows) == sum(mistake is not None for mistake in mistakes)
        right = {row["fastener"]: row for row in good}
        return csv_of([{**row, **right[row["fastener"]]} for row in rows])

    assert sorted(lived((csv_of(bad), True), mend=mend)) == sorted(lived((csv_of(good), False)))
