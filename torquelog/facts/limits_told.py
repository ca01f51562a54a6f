"""The interval and the cycle limit of a tool as quality set them later: from then on, never backwards."""

import sqlite3
from typing import Final, NamedTuple

from torquelog.clock import Moment, Period, parse_period
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.rows import LATEST, AsOf, Mark, put, table
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
    """

    station: str
    number: int
    tool: str
    at: Moment
    every: Period | None
    cycles: int | None
    signer: str
    why: str


def _limits_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    put(
        connection, "tool_limits", mark, mark.recorded,
        tool=body["tool"], every=str(parse_period(body["every"])) if "every" in body else None,
        cycles=int(body["cycles"]) if "cycles" in body else None, signer=mark.signer, why=body["why"],
    )  # fmt: skip


ROWS: Final = {"tool-limits": _limits_rows}

_STANDING: Final = (
    f"at <= :at AND known <= :known AND {stands('tool_limits')} ORDER BY at, recorded, station, number"
)
_COLUMNS: Final = "station, number, tool, at, every, cycles, signer, why"


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
    station: str, number: int, tool: str, at: Moment, every: str | None, cycles: int | None, signer: str, why: str
) -> Told:  # fmt: skip
    return Told(station, number, tool, at, parse_period(every) if every else None, cycles, signer, why)
