"""Putting on record what was rehearsed, as it was judged there, for as long as nobody else writes.

A judgement rests on what is on record and on the time. Where the record is the one that was copied for the rehearsal,
and the time has not reached the moment from which something could be judged otherwise, judging again would give the
same; so the entries take the bodies and the rows from there. Everything else is their own: the time when they are
recorded, their place in the chain, their signature.

Entries are made ready outside of the right to write, and signed by a thread of its own: a signature lets go of the
interpreter. So others wait only while rows are written.
"""

from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from typing import NamedTuple

from torquelog.book.authorisation import authorise
from torquelog.book.opening import Book
from torquelog.book.recent import Stamp, stamp_of
from torquelog.book.rehearsal import Foreseen, Rehearsal
from torquelog.book.signer import Signer
from torquelog.book.writing import Tip, Writing, gap_hours, writing
from torquelog.clock import Moment, utc_text
from torquelog.errors import TorquelogError
from torquelog.facts.carried import Numbers, carry
from torquelog.ledger import store
from torquelog.ledger.form import Entry, digest, entry_text_around
from torquelog.ledger.keys import digest_message
from torquelog.rules.timing import Head, entry_time


class _Ready(NamedTuple):
    """Entries made ready together.

    Attributes:
        recorded: the time that they bear.
        first: the number of the first of them.
        ids, texts: of each.
        signatures: of each, on their way.
        tip: the end of the chain with them.
    """

    recorded: Moment
    first: int
    ids: list[bytes]
    texts: list[str]
    signatures: "Future[list[bytes]]"
    tip: Tip


class AsRehearsed:
    """Readings on their way from a rehearsal onto the record; used in a `with` block, at whose end no thread is left."""

    def __init__(self, book: Book, rehearsed: Rehearsal, signer: Signer) -> None:
        """Begin where the rehearsal began.

        Args:
            book: the record.
            rehearsed: the rehearsal, over and still there; since it began nothing but readings was rehearsed.
            signer: who signs.
        """
        self._book, self._rehearsed, self._signer = book, rehearsed, signer
        self._stamp: Stamp = rehearsed.copied
        self._gap_hours = gap_hours(rehearsed.connection, book.station)
        self._tip = rehearsed.began
        self._ready: deque[_Ready] = deque()
        self._pool = ThreadPoolExecutor(1)

    def add(self, foreseen: Sequence[Foreseen]) -> bool:
        """Make the next entries ready to be written; False where one of them would be judged otherwise by now.

        Raises:
            TorquelogError: `clock-behind` or `clock-ahead`.
        """
        recorded = entry_time(
            self._book.clock.now(), self._tip.head, self._gap_hours, clock_ok=self._book.clock_ok, release=False
        )  # fmt: skip
        if any(recorded >= each.until or each.number != number
               for number, each in enumerate(foreseen, self._tip.head.number + 1)):  # fmt: skip
            return False
        texts, digests, last = [], [], self._tip.digest
        for each in foreseen:
            text = entry_text_around(each.body, self._entry(each, last, recorded))
            last = digest(text)
            texts.append(text)
            digests.append(last)
        first = self._tip.head.number + 1
        self._tip = Tip(Head(first + len(foreseen) - 1, recorded), last)
        signatures = self._pool.submit(self._signed, digests)
        ids = [bytes.fromhex(each.id) for each in foreseen]
        self._ready.append(_Ready(recorded, first, ids, texts, signatures, self._tip))
        return True

    def _entry(self, foreseen: Foreseen, previous: str, recorded: Moment) -> Entry:
        return Entry(
            body={}, id=foreseen.id, key=self._signer.key, kind="reading", number=foreseen.number, previous=previous,
            recorded_at=utc_text(recorded), signer=self._signer.person, station=self._book.station,
        )  # fmt: skip

    def _signed(self, digests: list[str]) -> list[bytes]:
        return [bytes.fromhex(self._signer.sign(digest_message(each))) for each in digests]

    def write(self, begun: Callable[[], None], over: Callable[[], bool]) -> list[int] | None:
        """Write what is ready in one transaction, as much as there is time for.

        Args:
            begun: called when the transaction has begun.
            over: whether the time of the transaction is over; asked after each of what was added together.

        Returns:
            The numbers that are on record now; or nothing, where somebody else has written, or the signature would not
            count: then nothing of what is left may be written as it was judged.

        Raises:
            TorquelogError: of the kinds that storage brings.
        """
        written: list[_Ready] = []
        with writing(self._book) as w:
            begun()
            stamp = stamp_of(w.connection)
            if stamp != self._stamp:
                return None
            for ready in self._ready:
                if not self._counts(w, ready.recorded):
                    return None
                self._put(w, ready)
                written.append(ready)
                if over():
                    break
            changes = w.connection.total_changes
        # Whoever writes from here on is found by the version that was seen inside the transaction.
        self._stamp = Stamp(stamp.version, changes)
        for _ in written:
            self._ready.popleft()
        return [number for ready in written for number in range(ready.first, ready.tip.head.number + 1)]

    def _counts(self, w: Writing, recorded: Moment) -> bool:
        try:
            authorise(
                w.connection, w.station, "reading", self._signer.person, self._signer.key, recorded, {}, w.recent
            )  # fmt: skip
        except TorquelogError:
            return False
        return True

    def _put(self, w: Writing, ready: _Ready) -> None:
        signed = zip(ready.ids, ready.texts, ready.signatures.result(), strict=True)
        store.insert_entries(w.connection, (
            store.Fresh(w.station, number, id, text, signature)
            for number, (id, text, signature) in enumerate(signed, ready.first)
        ))  # fmt: skip
        numbers = Numbers(w.station, ready.first, ready.tip.head.number)
        carry(self._rehearsed.connection, w.connection, numbers, ready.recorded)
        w.tip = ready.tip

    def __enter__(self) -> "AsRehearsed":
        return self

    def __exit__(self, *_: object) -> None:
        self._pool.shutdown(cancel_futures=True)
