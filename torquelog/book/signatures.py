"""Checking signatures on every core while the caller goes on with what comes next.

Checking a signature lets go of the interpreter, so plain threads use all cores. What is waiting to be checked is bounded;
entries are confirmed in the order in which they were added, and the first one whose signature does not hold is kept.
"""

import os
from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Final, NamedTuple

from torquelog.errors import TorquelogError
from torquelog.ledger import keys

BATCH: Final = 64
"""Entries that a thread takes at once."""

WAITING: Final = 4
"""Batches that may wait for each thread before the caller waits for them."""


class Check(NamedTuple):
    """One signature to check: the public key and the signature in hex digits, and what was signed."""

    public_key: str
    message: bytes
    signature: str


class Signed(NamedTuple):
    """An entry and what has to be checked of it.

    Attributes:
        station, number: the entry.
        digest: of its text.
        checks: its signatures.
    """

    station: str
    number: int
    digest: str
    checks: tuple[Check, ...]


class Bad(NamedTuple):
    """The first entry with a signature that does not hold, and what is wrong with it."""

    entry: Signed
    error: TorquelogError


class Signatures:
    """Signatures on their way; used in a `with` block, at whose end no thread is left.

    Attributes:
        bad: the first entry found whose signature does not hold, or nothing. None after it was confirmed.
    """

    def __init__(self, confirm: Callable[[Signed], None], threads: int = 0) -> None:
        """Begin with nothing.

        Args:
            confirm: called with each entry that holds, in the order in which they were added, on the caller's thread.
            threads: how many; 0 for one a core that this process may use.
        """
        self._threads = threads or cores()
        self._pool = ThreadPoolExecutor(self._threads)
        self._confirm = confirm
        self._batch: list[Signed] = []
        self._pending: deque[tuple[list[Signed], Future[int]]] = deque()
        self.bad: Bad | None = None

    def add(self, entry: Signed) -> None:
        """Let an entry's signatures be checked; waits where too many are waiting."""
        self._batch.append(entry)
        if len(self._batch) == BATCH:
            self._pending.append((self._batch, self._pool.submit(first_wrong, self._batch)))
            self._batch = []
        while len(self._pending) > WAITING * self._threads or (self._pending and self._pending[0][1].done()):
            self._settle(*self._pending.popleft())

    def finish(self) -> None:
        """Wait for everything that was added."""
        while self._pending:
            self._settle(*self._pending.popleft())
        batch, self._batch = self._batch, []
        if self.bad is None:
            self._take(batch, first_wrong(batch))

    def _settle(self, batch: list[Signed], answer: "Future[int]") -> None:
        if self.bad is None:
            self._take(batch, answer.result())

    def _take(self, batch: list[Signed], wrong: int) -> None:
        for entry in batch[:wrong]:
            self._confirm(entry)
        if wrong < len(batch):
            self.bad = Bad(batch[wrong], wrong_of(batch[wrong]) or _unsteady())

    def __enter__(self) -> "Signatures":
        return self

    def __exit__(self, *_: object) -> None:
        self._pool.shutdown(cancel_futures=True)


def cores() -> int:
    """How many cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def first_wrong(entries: Sequence[Signed]) -> int:
    """The place of the first entry of which a signature does not hold; their number where all hold."""
    return next((place for place, entry in enumerate(entries) if wrong_of(entry)), len(entries))


def wrong_of(entry: Signed) -> TorquelogError | None:
    """What is wrong with the first signature of an entry that does not hold, or nothing."""
    try:
        for check in entry.checks:
            keys.check(*check)
    except TorquelogError as error:
        return error
    return None


def _unsteady() -> TorquelogError:
    return TorquelogError(
        "signature",
        "A signature held at one look and not at another.",
        why="The computer's memory or processor cannot be relied on.",
        hint="Verify the record on another computer.",
    )
