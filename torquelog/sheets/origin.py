"""Where a sheet comes from: the record, how far it had come, and when the sheet was made; and what none may lack."""

from typing import Final

from torquelog import __version__
from torquelog.book.opening import Book
from torquelog.ledger import store
from torquelog.ledger.form import digest, reference
from torquelog.sheets.wording import city, day_and_time

RELEASES_NOTHING: Final = "This is a record of work. It releases nothing to service."
DATA_FIRST: Final = "Approved data, local rules and licensed practice come before this sheet."
AS_OF: Final = "It shows what was on record when it was made, no more. Later entries are not on it."


def origin(book: Book) -> tuple[tuple[str, str], ...]:
    """What lets a reader find the record again, and compare it: its identity and its newest entry with its digest."""
    head = store.head(book.connection, book.station)
    number = head.number if head else 0
    return (
        ("Made", f"{day_and_time(book.clock.now(), book.zone)}, in {city(book.zone)} as all times here"),
        ("Station", book.station),
        ("Newest entry", reference(book.station, number)),
        ("Its digest (SHA-256)", digest(head.text) if head else ""),
        ("Identity of the record", book.identity),
        ("Made by", f"torquelog {__version__}"),
    )  # fmt: skip
