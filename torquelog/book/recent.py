"""What a writer just read on record and may go on using, while nothing but readings is written.

A process that records one reading after another would ask the same of the record each time: the job, its card, the
wrench with its certificate, the signer's roles. No reading changes the answer, so it is kept, under three conditions
that are looked at again for every single question:

- a write transaction is open, so that no other connection can write meanwhile;
- no other connection has written since the answer was kept (SQLite's `data_version`, asked when the transaction begins);
- this connection has written rows of readings only (SQLite's count of changed rows, compared at each question).

A question must not depend on the present moment: it asks for everything known, and whoever asks picks by time. It
must not look at what a reading writes: readings, uses of tools, lots, entries. What does look at readings is kept by
`book.left_behind`, which is told of each reading that is added, under the same conditions.
"""

import sqlite3
from collections.abc import Callable
from typing import Any, Final, NamedTuple, TypeVar

from torquelog.book.left_behind import LeftBehind
from torquelog.facts.kinds import Body
from torquelog.facts.readings import fastener_of, owner_text, taken_by
from torquelog.facts.rows import Mark

Answer = TypeVar("Answer")

MOST: Final = 4096
"""How many answers are kept at most; then all of them are asked for anew."""

CLOSED: Final = -1


class Stamp(NamedTuple):
    """What changes whenever something is written to a record.

    Attributes:
        version: changes when another connection has written.
        changes: the rows that this connection has written.
    """

    version: int
    changes: int


def stamp_of(connection: sqlite3.Connection) -> Stamp:
    """As it is now; inside a write transaction it can change by this connection only."""
    (version,) = connection.execute("PRAGMA data_version").fetchone()
    return Stamp(version, connection.total_changes)


class Recent:
    """The kept answers of one connection. Until `begin` is called nothing is kept, and each question is asked.

    Attributes:
        connection: the record.
        head: what the caller keeps of the newest entry, or nothing where it has to be read; dropped like an answer.
    """

    __slots__ = ("_answers", "_changes", "_groups", "_stamp", "connection", "head")

    def __init__(self, connection: sqlite3.Connection) -> None:
        self.connection = connection
        self.head: Any = None
        self._answers: dict[Any, Any] = {}
        self._groups: dict[tuple[str, str], LeftBehind] = {}
        self._changes = CLOSED
        self._stamp: Stamp | None = None

    def begin(self) -> None:
        """A write transaction has begun: go on with the kept answers where they still hold, else without."""
        stamp = stamp_of(self.connection)
        self._changes = stamp.changes
        if stamp != self._stamp or len(self._answers) + len(self._groups) > MOST:
            self._answers.clear()
            self._groups.clear()
            self.head = None
        self._stamp = stamp

    def end(self, head: Any) -> None:
        """The transaction was committed; `head` is the newest entry now, in the caller's own form."""
        if self.holds and self._stamp is not None:
            self._stamp = self._stamp._replace(changes=self._changes)
            self.head = head
        else:
            self.forget()
        self._changes = CLOSED

    def forget(self) -> None:
        """Keep nothing: a transaction came to no good end."""
        self._answers.clear()
        self._groups.clear()
        self._changes = CLOSED
        self._stamp = self.head = None

    @property
    def holds(self) -> bool:
        """Whether the kept answers are those that the record would give now."""
        return self.connection.total_changes == self._changes

    def pass_over(self, mark: Mark, body: Body) -> None:
        """Only the rows of this reading were written since the answers held: they still do."""
        self._changes = self.connection.total_changes
        key = owner_text(body), fastener_of(body)[0]
        left = self._groups.get(key)
        if left is not None and not left.add(taken_by(mark, body)):
            del self._groups[key]

    def left_behind(self, owner: str, group: str) -> LeftBehind | None:
        """What is kept of the readings of a group; nothing where nothing may be kept."""
        if self.connection.total_changes != self._changes:
            return None
        found = self._groups.get((owner, group))
        if found is None:
            found = self._groups[owner, group] = LeftBehind(self.connection, owner, group)
        return found

    def ask(self, question: Callable[..., Answer], *words: Any) -> Answer:
        """The answer of `question(connection, *words)`, kept from before where it holds."""
        if self.connection.total_changes != self._changes:
            return question(self.connection, *words)
        key = (question, words)
        try:
            found: Answer = self._answers[key]
        except KeyError:
            found = self._answers[key] = question(self.connection, *words)
        return found

    def recall(self, *key: Any) -> Any:
        """What `keep` kept under a key, where it holds; else nothing."""
        return self._answers.get(key) if self.connection.total_changes == self._changes else None

    def keep(self, answer: Any, *key: Any) -> None:
        """Keep what was worked out from answers that hold, for as long as they do."""
        if self.connection.total_changes == self._changes:
            self._answers[key] = answer
