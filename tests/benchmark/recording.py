"""Readings as lines, against a bare loop that commits the same rows into the same schema one by one."""

import sqlite3
import statistics
import subprocess
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from tests.benchmark.scene import TORQUELOG, lines, set_up
from tests.benchmark.timing import Figure, figure
from torquelog.book.founding import schema
from torquelog.ledger import database

COUNT = 300
ROUNDS = 5


def figures(folder: Path) -> list[Figure]:
    """A client that waits for each answer, and one that queues, each beside the bare loop in the same run."""
    waiting, queued, bare = [], [], []
    for turn in range(ROUNDS):
        place = folder / f"lines-{turn}"
        place.mkdir()
        env = set_up(place)
        waiting.append(_waiting(env))
        queued.append(_queued(env))
        bare.append(_bare(place))
    base = statistics.median(bare)
    against = "bare loop, a commit a row"
    return [
        figure("record --lines, client waits", against, statistics.median(waiting), base, least=0.35),
        figure("record --lines, queued", against, statistics.median(queued), base, least=1.0),
    ]


def _waiting(env: dict[str, str]) -> float:
    with subprocess.Popen(
        [TORQUELOG, "record", "--lines"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=env
    ) as child:
        assert child.stdin
        assert child.stdout
        requests = lines(COUNT + 1)
        _ask(child, requests[0])
        start = time.perf_counter()
        for request in requests[1:]:
            _ask(child, request)
        spent = time.perf_counter() - start
        child.stdin.close()
    return spent


def _ask(child: "subprocess.Popen[str]", request: str) -> None:
    assert child.stdin
    assert child.stdout
    child.stdin.write(request + "\n")
    child.stdin.flush()
    answer = child.stdout.readline()
    assert '"outcome":"within"' in answer.replace(": ", ":"), answer


def _queued(env: dict[str, str]) -> float:
    """All at once; what starting the process costs is in it."""
    text = "\n".join(lines(COUNT, start=500)) + "\n"
    start = time.perf_counter()
    done = subprocess.run(
        [TORQUELOG, "record", "--lines"], input=text, stdout=subprocess.PIPE, text=True, env=env, check=True
    )
    assert done.stdout.count("within") >= COUNT
    return time.perf_counter() - start


def _bare(place: Path) -> float:
    """The very rows of the readings just made, each entry's in a transaction of its own, in a new file."""
    rows = list(_rows(place / "scene.db"))
    with closing(database.create(place / "bare.db", schema())) as connection:
        for statements in rows[:5]:
            _commit(connection, statements)
        start = time.perf_counter()
        for statements in rows[5 : COUNT + 5]:
            _commit(connection, statements)
        return time.perf_counter() - start


def _commit(connection: sqlite3.Connection, statements: list[tuple[str, tuple[object, ...]]]) -> None:
    connection.execute("BEGIN IMMEDIATE")
    for text, values in statements:
        connection.execute(text, values)
    connection.execute("COMMIT")


def _rows(path: Path) -> Iterator[list[tuple[str, tuple[object, ...]]]]:
    """What each reading wrote: its entry, its row, its tool's use."""
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
        found = connection.execute("SELECT number FROM reading ORDER BY number").fetchall()
        for number, (entry,) in enumerate(found, 1):
            statements = []
            for table in ("entry", "reading", "tool_use"):
                cursor = connection.execute(f"SELECT * FROM {table} WHERE number = ?", (entry,))
                names = [column[0] for column in cursor.description]
                for row in cursor.fetchall():
                    values = dict(zip(names, row, strict=True)) | {"number": number}
                    places = ", ".join("?" * len(names))
                    statements.append((f"INSERT INTO {table} VALUES ({places})", tuple(values.values())))
            yield statements
