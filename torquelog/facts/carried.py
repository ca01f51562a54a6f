"""Rows of readings carried over from another file of the same form, where the same entries were rehearsed."""

import sqlite3
from typing import Final, NamedTuple

from torquelog.clock import Moment
from torquelog.facts import readings, uses
from torquelog.facts.rows import insert_text

_OF_THESE: Final = "WHERE station = ? AND number BETWEEN ? AND ? ORDER BY number"


class Numbers(NamedTuple):
    """Entries of one chain, from one number through another."""

    station: str
    first: int
    last: int


def carry(source: sqlite3.Connection, target: sqlite3.Connection, numbers: Numbers, recorded: Moment) -> None:
    """Write every row of readings as it stands in another file, but for when it was recorded.

    Args:
        source, target: where the rows stand, and where to write them, inside a transaction.
        numbers: their entries, each a reading.
        recorded: when these are recorded, and so known.
    """
    for name, columns in (
        ("reading", readings.OWN),
        ("tool_use", uses.OWN),
        ("hardware_lot", ("part", "lot")),
    ):
        rows = source.execute(
            f"SELECT station, number, at, ?, ?, {', '.join(columns)} FROM {name} {_OF_THESE}",
            (recorded, recorded, *numbers),
        )
        target.executemany(insert_text(name, *columns), rows)
    used = source.execute(f"SELECT tool, day, station, number, uses FROM tool_use {_OF_THESE}", numbers)
    target.executemany(uses.ADD_TO_TALLY, used)
