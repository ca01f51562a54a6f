"""Making every register anew from the entries: for a file of an older format, or one whose registers were changed.

The old file is not touched. A new one is made beside it, verified, and takes its name; the old one is kept
under another.
"""

import os
import sqlite3
from contextlib import closing
from typing import NamedTuple

from torquelog.book import replaying
from torquelog.book.founding import schema
from torquelog.book.verification import verify
from torquelog.clock import Clock, utc_text
from torquelog.counted import Progress, counted
from torquelog.errors import TorquelogError
from torquelog.ledger import database, placing, store
from torquelog.ledger.form import parse_entry, reference
from torquelog.ledger.storage import storage_error


class Rebuilt(NamedTuple):
    """A record whose registers were made anew: where the old file is kept, and how many entries there are."""

    kept: str
    entries: int


def rebuild(path: str, clock: Clock, progress: Progress | None = None) -> Rebuilt:
    """Make the registers of a record anew, also of one in an older format.

    Args:
        path: the record.
        clock: for the name under which the old file is kept.
        progress: told how many entries are done: twice, as the new record is made and as it is verified.

    Raises:
        TorquelogError: not-a-ledger; not-held, where entries lie in it that its own chain does not account for; what
            does not hold of the new file; and what storage brings.
    """
    place = os.path.abspath(path)
    aside = f"{place}.{os.urandom(8).hex()}.rebuilt"
    try:
        placing.put_back(place)
        kept = kept_name(place, clock)
        with closing(database.connect(place, "migrate")) as old, database.transaction(old):
            entries = fresh_copy(old, aside, progress)
            _demand_holds(aside, progress)
            placing.keep(
                place, kept
            )  # nobody can be writing now; who waits is told that the file was replaced
        placing.give_name(aside, place)
    except OSError as trouble:
        raise storage_error(trouble, place) from trouble
    finally:
        placing.discard(aside)
    return Rebuilt(kept, entries)


def kept_name(place: str, clock: Clock) -> str:
    """The name under which a file is kept that another one replaces: its own, and when that was."""
    stamp = utc_text(clock.now()).replace("-", "").replace(":", "").partition(".")[0]
    return f"{place}{placing.KEPT}{stamp}Z"


def fresh_copy(old: sqlite3.Connection, path: str, progress: Progress | None = None) -> int:
    """Write a new record that holds the entries of another one, with registers made from them; gives their number.

    Raises:
        TorquelogError: not-a-ledger, not-held, newer-entry, entry-form; and what storage brings.
    """
    home = store.own_station(old)
    if home is None:
        raise TorquelogError(
            "not-a-ledger", "It holds no station's record.", hint="torquelog init begins one."
        )
    done = 0
    heads = [store.head(old, station) for station in store.stations(old)]
    total = sum(head.number for head in heads if head)

    def fill(connection: sqlite3.Connection) -> None:
        nonlocal done
        store.set_home(connection, home)
        for placed in counted(replaying.in_order(old, home), total, progress):
            text, signature = placed.stored.text, placed.stored.signature
            replaying.add(connection, parse_entry(text), text, signature, placed.known)
            done += 1
        _demand_all(old, connection)

    database.create(path, schema(), fill).close()
    return done


def _demand_all(old: sqlite3.Connection, new: sqlite3.Connection) -> None:
    for station in store.stations(old):
        there, here = store.head(old, station), store.head(new, station)
        number = here.number if here else 0
        if there is not None and there.number > number:
            raise TorquelogError(
                "not-held",
                f"It holds {reference(station, number + 1)}, which its own chain does not account for.",
                why="Nothing was changed.",
                hint="torquelog verify",
            )


def _demand_holds(path: str, progress: Progress | None) -> None:
    with closing(database.connect(path, "read")) as connection:
        home = store.own_station(connection) or ""
        report = verify(connection, home, progress)
    if not report.holds:
        first = report.findings[0]
        raise TorquelogError(
            first.code if first.code != "register" else "fault",
            f"{first.entry} does not hold, so nothing was rebuilt: {first.message}",
            hint="torquelog verify",
        )
