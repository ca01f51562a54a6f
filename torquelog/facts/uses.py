"""Uses of tools: every actuation counts, and a running tally by day saves counting them again.

The tally is the one table whose rows change. It holds whole days of UTC; of the two days at the ends of a span
what lies outside it is counted one by one and taken off: on the newest day, which is asked about for every reading,
that is nothing. Uses of struck entries are taken out of it when the strike is written, whichever comes
first.
"""

import sqlite3
from typing import Final, NamedTuple

from torquelog.clock import Moment
from torquelog.facts.rows import END_OF_TIME, LATEST, AsOf, Mark, insert_text, table
from torquelog.facts.strikes import stands
from torquelog.ledger.guards import guards

ROLES: Final = ("wrench", "adapter", "run-on-wrench", "run-on-adapter", "elsewhere", "tested")

DAY: Final[Moment] = 86_400_000

# A second strike of the same entry takes nothing away again.
_LESS_ON_STRIKE: Final = """
CREATE TRIGGER cycle_tally_less_on_strike AFTER INSERT ON strike
WHEN 1 = (SELECT count(*) FROM strike WHERE target_station = NEW.target_station
          AND target_number = NEW.target_number)
BEGIN
    UPDATE cycle_tally SET uses = uses - (
        SELECT sum(tool_use.uses) FROM tool_use
        WHERE tool_use.station = NEW.target_station AND tool_use.number = NEW.target_number
        AND tool_use.tool = cycle_tally.tool AND tool_use.day = cycle_tally.day)
    WHERE (tool, day) IN (
        SELECT tool_use.tool, tool_use.day FROM tool_use
        WHERE tool_use.station = NEW.target_station AND tool_use.number = NEW.target_number);
END;
"""

TABLES: Final = "\n".join(
    (
        table(
            "tool_use",
            "tool TEXT NOT NULL, role TEXT NOT NULL, uses INTEGER NOT NULL, day INTEGER NOT NULL",
            part=True,
            indexes=("tool, at",),
        ),
        "CREATE TABLE cycle_tally (tool TEXT NOT NULL, day INTEGER NOT NULL, uses INTEGER NOT NULL, "
        "PRIMARY KEY (tool, day)) STRICT, WITHOUT ROWID;",
        guards("cycle_tally", (("tool", "day"),), mutable=True),
        _LESS_ON_STRIKE,
    )
)

KINDS: Final = ()
ROWS: Final[dict[str, None]] = {}


class ToolUse(NamedTuple):
    """Uses of one tool in one entry: the entry, its part, when, the role of the tool, and how many."""

    station: str
    number: int
    part: int
    at: Moment
    recorded: Moment
    role: str
    uses: int


OWN: Final = ("part", "tool", "role", "uses", "day")
"""The columns of a use behind those of every fact."""

_ADD_USE: Final = insert_text("tool_use", *OWN)
ADD_TO_TALLY: Final = (
    "INSERT INTO cycle_tally (tool, day, uses) SELECT ?, ?, CASE WHEN EXISTS "
    "(SELECT 1 FROM strike WHERE target_station = ? AND target_number = ?) THEN 0 ELSE ? END WHERE true "
    "ON CONFLICT (tool, day) DO UPDATE SET uses = uses + excluded.uses"
)


def put_use(
    connection: sqlite3.Connection, mark: Mark, at: Moment, part: int, tool: str, role: str, uses: int = 1
) -> None:
    """Write the uses of one tool in one entry, and add them to the tally.

    Args:
        connection: the record, inside the entry's transaction.
        mark: the entry.
        at: when the tool was used.
        part: 0 for the wrench, 1 and up for adapters, then tools of the run-on torque.
        tool: the tool's number.
        role: one of `ROLES`.
        uses: how many actuations.
    """
    day = at // DAY
    row = (mark.station, mark.number, at, mark.recorded, mark.known, part, tool, role, uses, day)
    connection.execute(_ADD_USE, row)
    # A strike that came first leaves the same row behind as one that comes later.
    connection.execute(ADD_TO_TALLY, (tool, day, mark.station, mark.number, uses))


_STANDING: Final = f"known <= :known AND {stands('tool_use')}"
_COUNTED: Final = (
    "(SELECT coalesce(sum(uses), 0) FROM tool_use WHERE tool = :tool AND at >= {first} AND at {last} "
    f"AND {_STANDING})"
)
_EXACT: Final = "SELECT " + _COUNTED.format(first=":after", last="<= :until")
_BY_TALLY: Final = (
    "SELECT (SELECT coalesce(sum(uses), 0) FROM cycle_tally WHERE tool = :tool AND day >= :first AND day <= :last)"
    f" - {_COUNTED.format(first=':begin', last='< :after')}"
    f" - {_COUNTED.format(first=':until + 1', last='< :end')}"
)
_EACH: Final = (
    "SELECT station, number, part, at, recorded, role, uses FROM tool_use WHERE tool = :tool "
    f"AND at >= :after AND at <= :until AND {_STANDING} ORDER BY at, recorded, station, number, part"
)


def uses_between(
    connection: sqlite3.Connection, tool: str, after: Moment, until: Moment, as_of: AsOf = LATEST
) -> int:
    """How often a tool was used from `after` through `until`, both included; struck entries do not count.

    `as_of.at` bounds `until`. What was known at an earlier time is counted use by use; what is known now
    comes from the tally, less what lies outside the span on its first and its last day.
    """
    until = min(until, as_of.at)
    if until < after:
        return 0
    first, last = after // DAY, until // DAY
    named = {
        "tool": tool, "after": after, "until": until, "known": as_of.known, "first": first, "last": last,
        "begin": first * DAY, "end": (last + 1) * DAY,
    }  # fmt: skip
    question = _BY_TALLY if as_of.known == END_OF_TIME else _EXACT
    (count,) = connection.execute(question, named).fetchone()
    return int(count)


def next_use(connection: sqlite3.Connection, tool: str, after: Moment) -> Moment:
    """When a tool is used next after a moment by what is known now, struck or not; the end of time where it is not."""
    row = connection.execute(
        "SELECT at FROM tool_use WHERE tool = ? AND at > ? ORDER BY at LIMIT 1", (tool, after)
    ).fetchone()
    return int(row[0]) if row else END_OF_TIME


def uses_of(
    connection: sqlite3.Connection, tool: str, after: Moment, until: Moment, as_of: AsOf = LATEST
) -> tuple[ToolUse, ...]:
    """Each use of a tool from `after` through `until`, oldest first, without struck entries."""
    named = {"tool": tool, "after": after, "until": min(until, as_of.at), "known": as_of.known}
    return tuple(ToolUse(*row) for row in connection.execute(_EACH, named))


def tools_of(connection: sqlite3.Connection, station: str, number: int) -> list[str]:
    """Every tool that an entry names, the wrench first."""
    rows = connection.execute(
        "SELECT tool FROM tool_use WHERE station = ? AND number = ? ORDER BY part", (station, number)
    )
    return [tool for (tool,) in rows]
