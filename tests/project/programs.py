"""Plays the python and sql blocks of a document, beside the console blocks of tests/project/dialogue.py.

A python block is a dialogue with Python, told with `>>>`; all of a document share their names. A sql block is handed to
SQLite with the record `hangar.db`, opened for reading only, and the text block behind it is what comes out: a line a
row, columns apart by `|`, as the shell of SQLite prints them. Where that shell is installed, it is asked, too.
"""

import doctest
import shutil
import sqlite3
import subprocess
from collections.abc import Sequence
from contextlib import closing
from io import StringIO
from typing import Any, Final

from tests.project.blocks import Block

RECORD: Final = "hangar.db"
ROUNDING: Final = doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE


def play_program(block: Block, behind: Sequence[Block], names: dict[str, Any]) -> bool:
    """Play a block, if it is a program; gives whether it is.

    Args:
        block: the block.
        behind: the blocks behind it, nearest first.
        names: what the python blocks before it left behind; grows.
    """
    if block.language == "python":
        _play_python(block, names)
    elif block.language == "sql":
        assert behind, f"line {block.line}: nothing is told behind this query"
        assert behind[0].language == "text", f"line {block.line}: nothing is told behind this query"
        _play_sql(block, list(behind[0].lines))
    else:
        return False
    return True


def _play_python(block: Block, names: dict[str, Any]) -> None:
    text = "\n".join(block.lines) + "\n"
    told = doctest.DocTestParser().get_doctest(text, names, f"line {block.line}", None, block.line)
    assert told.examples, f"line {block.line}: no line begins with >>>"
    said = StringIO()
    result = doctest.DocTestRunner(optionflags=ROUNDING).run(told, out=said.write, clear_globs=False)
    names.update(told.globs)
    assert not result.failed, said.getvalue()


def _play_sql(block: Block, told: list[str]) -> None:
    query = "\n".join(block.lines)
    with closing(sqlite3.connect(f"file:{RECORD}?mode=ro", uri=True)) as connection:
        rows = connection.execute(query).fetchall()
    said = ["|".join("" if cell is None else str(cell) for cell in row) for row in rows]
    assert said == told, f"line {block.line}: SQLite says\n" + "\n".join(said)
    shell = shutil.which("sqlite3")
    if shell:
        done = subprocess.run([shell, "-readonly", RECORD, query], capture_output=True, text=True, check=True)
        assert done.stdout.splitlines() == told, f"line {block.line}: the shell says\n{done.stdout}"
