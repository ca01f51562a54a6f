"""Writers to be hurt: an honest one, and two that are wrong in a way that the harness must find.

As a command: `python -m tests.faults.writers PATH honest|early COUNT` adds entries and prints each one's id.
"""

import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from tests.ledger import small
from torquelog.errors import TorquelogError
from torquelog.ledger import database, store

Acknowledge = Callable[[str], None]


def prepare(path: Path) -> None:
    """A ledger with three entries, closed."""
    database.close(small.make(path, 3))


def honest(path: Path, acknowledge: Acknowledge, count: int = 6) -> None:
    """Add entries, each acknowledged after its commit; what was unclear is looked up afresh."""
    for _ in range(2):
        connection = database.connect(path, "write")
        try:
            for _ in range(count // 2):
                acknowledge(_add_once(path, connection))
        finally:
            database.close(connection)


def patient(path: Path, acknowledge: Acknowledge, count: int = 6) -> None:
    """Add entries as `honest` does, but go on after each trouble, on the same connection."""
    with closing(database.connect(path, "write")) as connection:
        for _ in range(count):
            try:
                acknowledge(_add_once(path, connection))
            except TorquelogError:
                continue


def early(path: Path, acknowledge: Acknowledge, count: int = 6) -> None:
    """Wrong: acknowledges before the commit."""
    with closing(database.connect(path, "write")) as connection:
        for _ in range(count):
            with database.transaction(connection):
                number = _next(connection)
                small.put(connection, number)
                acknowledge(small.identifier(number))


def unsynced(path: Path, acknowledge: Acknowledge, count: int = 6) -> None:
    """Wrong: turns synchronising off."""
    with closing(database.connect(path, "write")) as connection:
        connection.set_authorizer(None)
        connection.execute("PRAGMA synchronous = OFF")
        for _ in range(count):
            acknowledge(_add_once(path, connection))


def _next(connection: "database.sqlite3.Connection") -> int:
    newest = store.head(connection, small.STATION)
    return newest.number + 1 if newest else 1


def _add_once(path: Path, connection: "database.sqlite3.Connection") -> str:
    """Add one entry and answer its id."""
    number = 0
    try:
        with database.transaction(connection):
            number = _next(connection)
            small.put(connection, number)
    except TorquelogError as error:
        if error.code != "commit-unclear" or not _looked_up(path, number):
            raise
    return small.identifier(number)


def _looked_up(path: Path, number: int) -> bool:
    with closing(database.connect(path, "read")) as fresh:
        return store.entry_by_id(fresh, small.STATION, small.identifier(number)) is not None


def main() -> None:
    """Write until killed or done; each acknowledgement is one line."""
    path, kind, count = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
    writer = {"honest": honest, "early": early}[kind]
    writer(path, lambda told: print(told, flush=True), count)


if __name__ == "__main__":
    main()
