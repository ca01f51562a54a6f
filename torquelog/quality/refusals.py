"""The list of refused attempts, each with its grounds."""

from typing import NamedTuple

from torquelog.book.opening import Book
from torquelog.clock import Moment
from torquelog.facts import readings
from torquelog.facts.readings import Reading
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.ledger.form import parse_entry
from torquelog.ledger.store import entry_at

BEGINNING: Moment = -62_135_596_800_000


class Refusal(NamedTuple):
    """A refused reading, and its grounds, each as code, tool and sentence."""

    reading: Reading
    grounds: tuple[tuple[str, str, str], ...]


def refusals(
    book: Book,
    *,
    since: Moment | None = None,
    until: Moment | None = None,
    by: str | None = None,
    wrench: str | None = None,
    as_of: Moment | None = None,
) -> tuple[Refusal, ...]:
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
    return tuple(
        Refusal(each, _grounds(book, each))
        for each in readings.refused(book.connection, start, end, known)
        if by in (None, each.performed_by) and wrench in (None, each.wrench)
    )


def _grounds(book: Book, reading: Reading) -> tuple[tuple[str, str, str], ...]:
    stored = entry_at(book.connection, reading.station, reading.number)
    grounds = parse_entry(stored.text).body["grounds"] if stored else []
    return tuple((each["code"], each["tool"], each["message"]) for each in grounds)
