"""The links of a chain alone: read and hashed in one go, to tell within seconds where a long chain is broken.

An entry names its number and the digest of the one before in the part of its text that follows its body, always in the
same words. So the links are seen without reading the text as JSON; its form is looked at where each entry is checked.
"""

import sqlite3
from hashlib import sha256
from typing import Final, NamedTuple

from torquelog.ledger.form import FIRST_PREVIOUS

MARK: Final = '"number":'


class Linked(NamedTuple):
    """How far the links of a chain hold: the last number, and the digest of that entry ("" for none)."""

    through: int
    digest: str


def linked(connection: sqlite3.Connection, station: str) -> Linked:
    """Follow the links of a chain from its first entry as far as they hold.

    Args:
        connection: the record.
        station: the chain.
    """
    number, last = 0, FIRST_PREVIOUS
    rows = connection.execute("SELECT number, text FROM entry WHERE station = ? ORDER BY number", (station,))
    try:
        for place, text in rows:
            words = f'{MARK}{number + 1},"previous":"{last}",'
            if place != number + 1 or not text.startswith(words, text.rfind(MARK)):
                break
            number, last = place, sha256(b"\0" + text.encode()).hexdigest()
    except sqlite3.DatabaseError:  # a text that cannot be read ends the chain like one that is missing
        pass
    return Linked(number, last if number else "")
