"""The list of refused attempts, each with its grounds."""

from collections.abc import Callable, Collection, Iterator
from typing import Final, NamedTuple

from torquelog.book.opening import Book
from torquelog.clock import Moment
from torquelog.facts import readings
from torquelog.facts.readings import Reading
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.ledger.form import parse_entry
from torquelog.ledger.store import entry_at

BEGINNING: Moment = -62_135_596_800_000
KEPT: Final = 1000
"""So many refusals are kept; where there are more, they are read again whenever they are walked through."""


class Refusal(NamedTuple):
    """A refused reading, and its grounds, each as code, tool and sentence."""

    reading: Reading
    grounds: tuple[tuple[str, str, str], ...]


class Refusals(Collection[Refusal]):
    """Refused attempts, oldest first.

    Attributes:
        rows: they themselves where they are few, else this, which reads them whenever it is walked through.
        newest: the last of them, or nothing.
    """

    def __init__(self, book: Book, read: Callable[[], Iterator[Refusal]]) -> None:
        """Walk through them once.

        Args:
            book: the record; where they are many, it is held as it is now.
            read: reads them, each time anew.
        """
        self._read = read
        self._count = 0
        self.newest: Refusal | None = None
        kept: list[Refusal] = []
        for each in read():
            self._count += 1
            self.newest = each
            if self._count <= KEPT:
                kept.append(each)
            else:
                kept.clear()
                book.hold()
        self.rows: Collection[Refusal] = tuple(kept) if self._count <= KEPT else self

    def __iter__(self) -> Iterator[Refusal]:
        return self._read()

    def __len__(self) -> int:
        return self._count

    def __contains__(self, refusal: object) -> bool:
        return any(each == refusal for each in self)


def refusals(
    book: Book,
    *,
    since: Moment | None = None,
    until: Moment | None = None,
    by: str | None = None,
    wrench: str | None = None,
    as_of: Moment | None = None,
) -> Refusals:
    """The refused attempts, oldest first.

    Args:
        book: the record.
        since, until: the window of performed work; `until` is not included.
        by: of this person alone.
        wrench: with this wrench alone.
        as_of: what was on record then, or nothing for now.
    """
    start = BEGINNING if since is None else since
    end = END_OF_TIME if until is None else until
    known = AsOf(END_OF_TIME, END_OF_TIME if as_of is None else as_of)

    def read() -> Iterator[Refusal]:
        for each in readings.refused(book.connection, start, end, known):
            if by in (None, each.performed_by) and wrench in (None, each.wrench):
                yield Refusal(each, _grounds(book, each))

    return Refusals(book, read)


def _grounds(book: Book, reading: Reading) -> tuple[tuple[str, str, str], ...]:
    stored = entry_at(book.connection, reading.station, reading.number)
    grounds = parse_entry(stored.text).body["grounds"] if stored else []
    return tuple((each["code"], each["tool"], each["message"]) for each in grounds)
