"""Putting on record what was rehearsed, as it was judged there, for as long as nobody else writes.

A judgement rests on what is on record and on the time. Where the record is the one that was copied for the rehearsal,
and the time has not reached the moment from which something could be judged otherwise, judging again would give the
same; so the entries take the bodies and the rows from there. Everything else is their own: the time when they are
recorded, their place in the chain, their signature.

Entries are made ready and signed outside of the right to write: others wait only while rows are written.
"""

from collections.abc import Callable, Iterable, Sequence
from itertools import count
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
from torquelog.ledger.form import Entry, digest, entry_text_around
from torquelog.ledger.keys import digest_message
from torquelog.ledger.store import Fresh, insert_entries
from torquelog.rules.timing import SLIGHTLY_BEHIND, Head, entry_time


class Ready(NamedTuple):
    """Entries made ready together.

    Attributes:
        recorded: the time that they bear.
        entries: each of them, signed.
        tip: the end of the chain with them.
    """

    recorded: Moment
    entries: list[Fresh]
    tip: Tip


class Maker:
    """Makes entries ready, one after the other; it writes nothing, and reads no more than it was given."""

    def __init__(self, book: Book, rehearsed: Rehearsal, signer: Signer) -> None:
        """Begin where the rehearsal began.

        Args:
            book: the record.
            rehearsed: the rehearsal, over and still there; since it began nothing but readings was rehearsed.
            signer: who signs.
        """
        self._book, self._signer = book, signer
        self._gap_hours = gap_hours(rehearsed.connection, book.station)
        self._tip = rehearsed.began
        # A clock that was set back since could make a future of what was past.
        self._since = rehearsed.now

    def ready(self, foreseen: Sequence[Foreseen]) -> Ready | None:
        """The next entries, signed; nothing where one of them would be judged otherwise by now.

        Raises:
            TorquelogError: `clock-behind` or `clock-ahead`.
        """
        recorded = entry_time(
            self._book.clock.now(), self._tip.head, self._gap_hours, clock_ok=self._book.clock_ok, release=False
        )  # fmt: skip
        numbers = count(self._tip.head.number + 1)
        if recorded < self._since or any(
            recorded >= each.until or each.number != number for number, each in zip(numbers, foreseen, strict=False)
        ):  # fmt: skip
            return None
        return Ready(recorded, [self._signed(each, recorded) for each in foreseen], self._tip)

    def _signed(self, foreseen: Foreseen, recorded: Moment) -> Fresh:
        """The next entry of the chain, which ends with it now."""
        text = entry_text_around(foreseen.body, self._entry(foreseen, recorded))
        own_digest = digest(text)
        self._tip = Tip(Head(foreseen.number, recorded), own_digest)
        signature = bytes.fromhex(self._signer.sign(digest_message(own_digest)))
        return Fresh(self._book.station, foreseen.number, bytes.fromhex(foreseen.id), text, signature)

    def _entry(self, foreseen: Foreseen, recorded: Moment) -> Entry:
        return Entry(
            body={}, id=foreseen.id, key=self._signer.key, kind="reading", number=foreseen.number,
            previous=self._tip.digest, recorded_at=utc_text(recorded), signer=self._signer.person,
            station=self._book.station,
        )  # fmt: skip


class AsRehearsed:
    """Writes what was made ready, as long as nobody else writes."""

    def __init__(self, book: Book, rehearsed: Rehearsal, signer: Signer) -> None:
        """Begin where the rehearsal began; see `Maker`."""
        self._book, self._rehearsed, self._signer = book, rehearsed, signer
        self._stamp: Stamp = rehearsed.copied

    def write(
        self, waiting: Iterable[Ready], begun: Callable[[], None], over: Callable[[], bool]
    ) -> int | None:
        """Write what is ready in one transaction, as much as there is time for.

        Args:
            waiting: what is ready, in its order.
            begun: called when the transaction has begun.
            over: whether the time of the transaction is over; asked after each of what was made ready together.

        Returns:
            How many of `waiting` are on record now; or nothing, where somebody else has written, the first of them was
            made ready too long ago, or its signature would not count: then nothing of what is left may be written as it
            was judged.

        Raises:
            TorquelogError: of the kinds that storage brings.
        """
        written = 0
        with writing(self._book) as w:
            begun()
            stamp = stamp_of(w.connection)
            if stamp != self._stamp:
                return None
            for ready in waiting:
                if not self._counts(w, ready.recorded):
                    if written:
                        break  # what stands before it is on record as it was judged
                    return None
                self._put(w, ready)
                written += 1
                if over():
                    break
            changes = w.connection.total_changes
        # Whoever writes from here on is found by the version that was seen inside the transaction.
        self._stamp = Stamp(stamp.version, changes)
        return written

    def _counts(self, w: Writing, recorded: Moment) -> bool:
        """Whether an entry may bear that time now: the computer may have slept since it was made ready."""
        if abs(self._book.clock.now() - recorded) > SLIGHTLY_BEHIND:
            return False
        try:
            authorise(
                w.connection, w.station, "reading", self._signer.person, self._signer.key, recorded, {}, w.recent
            )  # fmt: skip
        except TorquelogError:
            return False
        return True

    def _put(self, w: Writing, ready: Ready) -> None:
        insert_entries(w.connection, ready.entries)
        numbers = Numbers(w.station, ready.entries[0].number, ready.tip.head.number)
        carry(self._rehearsed.connection, w.connection, numbers, ready.recorded)
        w.tip = ready.tip
