"""Judging again what other stations judged, each by what its own chain knew at that place.

A chain that was taken in is replayed as its own station's file would be: with that station's rules, its word on who is
accepted, and what it had taken in itself. Where that does not lie here, it is judged up to there and no further.
"""

import sqlite3
from contextlib import closing
from typing import NamedTuple

from torquelog.book import replaying
from torquelog.book.founding import schema
from torquelog.book.rejudging import JUDGED, misjudged
from torquelog.ledger import database, store
from torquelog.ledger.form import Entry, parse_entry, reference


class Elsewhere(NamedTuple):
    """What came of judging a station's entries again.

    Attributes:
        judged: how many judgements came out as they are on record.
        wrong: the entry whose judgement does not hold, or "".
        message: what is wrong with it, in a sentence; "" where nothing is.
        stopped: the entry from which on nothing was judged, as what the station had taken in by then does not lie
            here; "" where everything was.
    """

    judged: int
    wrong: str = ""
    message: str = ""
    stopped: str = ""


def judged_elsewhere(connection: sqlite3.Connection, station: str) -> Elsewhere:
    """Judge a station's readings and checks again; its entries are taken to be whole, linked and signed.

    Args:
        connection: the record.
        station: whose chain; another one than the file's own.
    """
    held, judged = store.counts(connection), 0
    with closing(database.scratch(schema(), on_disk=True)) as scratch:
        scratch.execute("BEGIN")  # one transaction, never committed: nothing of it shall last
        store.set_home(scratch, station)
        for placed in replaying.in_order(connection, station):
            stored = placed.stored
            entry = parse_entry(stored.text)
            name = reference(entry.station, entry.number)
            if placed.known is None:
                if _rests_on_more(entry, held):
                    return Elsewhere(judged, stopped=name)
                wrong = misjudged(connection, scratch, entry)
                if wrong:
                    return Elsewhere(judged, name, wrong)
                judged += entry.kind in JUDGED
            replaying.add(scratch, entry, stored.text, stored.signature, placed.known)
    return Elsewhere(judged)


def _rests_on_more(entry: Entry, held: dict[str, int]) -> bool:
    """Whether from this entry on the station knew entries of others that do not lie here."""
    return entry.kind == "taken-in" and held.get(str(entry.body["code"]), 0) < int(entry.body["through"])
