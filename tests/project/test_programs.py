"""Python and SQL in the documents is played, and a lie in it is found."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.project.dialogue import check
from tests.project.programs import RECORD

TRUE_PYTHON = "```python\n>>> x = 1\n```\n\n```python\n>>> x + 1\n2\n```\n"
TRUE_SQL = "```sql\nSELECT 1, NULL, 'a';\n```\n\n```text\n1||a\n```\n"


def test_programs_that_tell_the_truth_pass(tmp_path: Path) -> None:
    """Names live on from block to block; a missing cell is empty."""
    laid(tmp_path)
    assert check(TRUE_PYTHON + TRUE_SQL, tmp_path) == 0


@pytest.mark.parametrize(
    "lie",
    [
        TRUE_PYTHON.replace("\n2\n", "\n3\n"),
        TRUE_PYTHON.replace(">>> x = 1", ">>> y = 1"),
        "```python\nx = 1\n```\n",
        TRUE_SQL.replace("1||a", "1|NULL|a"),
        TRUE_SQL.replace("1||a", "1||a\n1||a"),
        TRUE_SQL.partition("```text")[0],
    ],
)
def test_programs_that_do_not_are_found_out(lie: str, tmp_path: Path) -> None:
    """Another answer, a name that nobody gave, code that nobody asks anything, one row too many."""
    laid(tmp_path)
    with pytest.raises(AssertionError):
        check(lie, tmp_path)


def laid(folder: Path) -> None:
    with closing(sqlite3.connect(folder / RECORD)) as connection:
        connection.execute("CREATE TABLE made (up)")
