"""The interval and the cycle limit of a tool as quality set them later: from then on, never backwards."""

import sqlite3
from collections.abc import Iterable
from datetime import date
from typing import Final, NamedTuple

from torquelog.clock import Moment, Period, add_period, parse_period
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.rows import LATEST, AsOf, Mark, put, table
from torquelog.facts.stations import counts_here
from torquelog.facts.strikes import stands

KINDS: Final = (
    Kind(
        "tool-limits",
        (
            Member("tool", "identifier", "the tool"),
            optional("every", "text", "its interval of calibration from now on; absent: as before"),
            optional("cycles", "count", "its cycle limit from now on; absent: as before"),
            Member("why", "text", "the reason"),
        ),
    ),
)

TABLES: Final = table(
    "tool_limits",
    "tool TEXT NOT NULL, every TEXT, cycles INTEGER, signer TEXT NOT NULL, why TEXT NOT NULL",
    indexes=("tool, at",),
)


class Told(NamedTuple):
    """Limits as quality set them.

    Attributes:
        station, number: the entry.
        tool: the tool.
        at: from when they count.
        every: the interval, or nothing where it stayed as it was.
        cycles: the cycle limit, or nothing where it stayed as it was.
        signer: who signed.
        why: the reason.
        counts: whether it is this station's own word, or of one that quality here has accepted; else it can only
            shorten, for nobody is less careful with a tool than its owner asks.
    """

    station: str
    number: int
    tool: str
    at: Moment
    every: Period | None
    cycles: int | None
    signer: str
    why: str
    counts: bool = True


def _limits_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    put(
        connection, "tool_limits", mark, mark.recorded,
        tool=body["tool"], every=str(parse_period(body["every"])) if "every" in body else None,
        cycles=int(body["cycles"]) if "cycles" in body else None, signer=mark.signer, why=body["why"],
    )  # fmt: skip


_BASE: Final = date(2000, 1, 1)

ROWS: Final = {"tool-limits": _limits_rows}

_STANDING: Final = (
    f"at <= :at AND known <= :known AND {stands('tool_limits')} ORDER BY at, recorded, station, number"
)
_COLUMNS: Final = f"station, number, tool, at, every, cycles, signer, why, {counts_here('tool_limits')}"


def told(connection: sqlite3.Connection, tool: str, as_of: AsOf = LATEST) -> tuple[Told, ...]:
    """Every change of a tool's limits up to a moment, oldest first."""
    named = {"tool": tool, "at": as_of.at, "known": as_of.known}
    rows = connection.execute(f"SELECT {_COLUMNS} FROM tool_limits WHERE tool = :tool AND {_STANDING}", named)
    return tuple(_told(*row) for row in rows)


def every_change(connection: sqlite3.Connection, as_of: AsOf = LATEST) -> tuple[Told, ...]:
    """The changes of all tools up to a moment, oldest first."""
    rows = connection.execute(f"SELECT {_COLUMNS} FROM tool_limits WHERE {_STANDING}", as_of._asdict())
    return tuple(_told(*row) for row in rows)


def _told(
    station: str, number: int, tool: str, at: Moment, every: str | None, cycles: int | None, signer: str, why: str,
    counts: int,
) -> Told:  # fmt: skip
    period = parse_period(every) if every else None
    return Told(station, number, tool, at, period, cycles, signer, why, bool(counts))


def limited(
    every: Period | None, cycles: int | None, changes: Iterable[Told]
) -> tuple[Period | None, int | None]:
    """An interval and a cycle limit as registered, with what quality set later, oldest first."""
    for each in changes:
        if each.every is not None and (each.counts or _shorter(each.every, every)):
            every = each.every
        if each.cycles is not None and (each.counts or cycles is None or each.cycles < cycles):
            cycles = each.cycles
    return every, cycles


def _shorter(new: Period, old: Period | None) -> bool:
    return old is None or add_period(_BASE, new) < add_period(_BASE, old)
