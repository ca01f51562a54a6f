"""Custody: where each tool is: in the crib, with somebody, at a place, away, or retired."""

import sqlite3
from collections.abc import Iterator
from typing import Final, NamedTuple

from torquelog.clock import Moment
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.members import chosen, when
from torquelog.facts.rows import LATEST, AsOf, Mark, put, table
from torquelog.facts.strikes import stands

ACTS: Final = ("issue", "return", "send", "receive", "retire")

KINDS: Final = (
    Kind(
        "custody",
        (
            Member("tool", "identifier", "the tool"),
            Member("act", "name", "issue, return, send, receive or retire"),
            optional("person", "identifier", "to whom it is issued; absent: to a place"),
            optional("place", "text", "where it goes; absent: to a person, or to its own place"),
            optional("job", "identifier", "for which job it is issued; absent: for any"),
            optional("uses", "count", "uses elsewhere while it was out, not recorded here; absent: none"),
            optional("at", "moment", "when; absent: when recorded. A receipt counts from its recording"),
            optional("why", "text", "the reason; absent: none was told"),
        ),
    ),
)

TABLES: Final = table(
    "custody",
    "tool TEXT NOT NULL, act TEXT NOT NULL, person TEXT, place TEXT, job TEXT, uses INTEGER, "
    "signer TEXT NOT NULL, why TEXT",
    indexes=("tool, at", "job", "person"),
)


class Whereabouts(NamedTuple):
    """Where a tool is.

    Attributes:
        kind: `crib`, `person`, `place`, `away` or `retired`.
        person: who has it, or "".
        place: where it lies or was sent, or "".
        job: for which job it is out, or "".
        since: since when, or nothing where it never left the crib.
    """

    kind: str
    person: str = ""
    place: str = ""
    job: str = ""
    since: Moment | None = None


class Move(NamedTuple):
    """One act of custody.

    Attributes:
        station, number: its entry.
        tool: the tool.
        act: one of `ACTS`.
        person, place, job: to whom, where to, for which job; "" where not told.
        uses: uses elsewhere that were told with it.
        at, recorded: when it was so, and when recorded.
        signer: who signed.
        why: the reason, or "".
    """

    station: str
    number: int
    tool: str
    act: str
    person: str
    place: str
    job: str
    uses: int
    at: Moment
    recorded: Moment
    signer: str
    why: str


def _custody_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    act = chosen("custody", body, "act", ACTS)
    # What makes a tool good again never counts from earlier than it was told.
    at = mark.recorded if act == "receive" else when(mark, body)
    uses = int(body["uses"]) if "uses" in body else None
    put(
        connection, "custody", mark, at,
        tool=body["tool"], act=act, person=body.get("person"), place=body.get("place"), job=body.get("job"),
        uses=uses, signer=mark.signer, why=body.get("why"),
    )  # fmt: skip
    if uses:
        from torquelog.facts.uses import put_use

        put_use(connection, mark, at, 0, body["tool"], "elsewhere", uses)


ROWS: Final = {"custody": _custody_rows}

_COLUMNS: Final = (
    "station, number, tool, act, coalesce(person, ''), coalesce(place, ''), coalesce(job, ''), "
    "coalesce(uses, 0), at, recorded, signer, coalesce(why, '')"
)
_STANDING: Final = f"at <= :at AND known <= :known AND {stands('custody')}"
_OF_TOOL: Final = f"SELECT {_COLUMNS} FROM custody WHERE tool = :tool AND {_STANDING}"
_ORDER: Final = " ORDER BY at, recorded, station, number"
_NEWEST: Final = " ORDER BY at DESC, recorded DESC, station DESC, number DESC LIMIT 1"


def whereabouts(connection: sqlite3.Connection, tool: str, as_of: AsOf = LATEST) -> Whereabouts:
    """Where a tool is as of a moment; one that never left is in the crib."""
    named = {"tool": tool, "at": as_of.at, "known": as_of.known}
    row = connection.execute(_OF_TOOL + _NEWEST, named).fetchone()
    return after(Move(*row)) if row else Whereabouts("crib")


def after(move: Move) -> Whereabouts:
    """Where a tool is once a move was made."""
    if move.act == "issue":
        return Whereabouts("person" if move.person else "place", move.person, move.place, move.job, move.at)
    kind = {"return": "crib", "receive": "crib", "send": "away", "retire": "retired"}[move.act]
    return Whereabouts(kind, place=move.place, since=move.at)


def moves(connection: sqlite3.Connection, tool: str, as_of: AsOf = LATEST) -> tuple[Move, ...]:
    """Every act of custody of a tool, oldest first."""
    named = {"tool": tool, "at": as_of.at, "known": as_of.known}
    return tuple(Move(*row) for row in connection.execute(_OF_TOOL + _ORDER, named))


def every_move(connection: sqlite3.Connection, as_of: AsOf = LATEST) -> Iterator[Move]:
    """Every act of custody of every tool, oldest first."""
    rows = connection.execute(f"SELECT {_COLUMNS} FROM custody WHERE {_STANDING}{_ORDER}", as_of._asdict())
    return map(Move._make, rows)


def ever_issued(connection: sqlite3.Connection, as_of: AsOf = LATEST) -> frozenset[str]:
    """The tools that were ever issued."""
    rows = connection.execute(
        f"SELECT DISTINCT tool FROM custody WHERE act = 'issue' AND {_STANDING}", as_of._asdict()
    )
    return frozenset(tool for (tool,) in rows)


def issued(
    connection: sqlite3.Connection, as_of: AsOf = LATEST, *, job: str = "", person: str = ""
) -> list[tuple[str, Whereabouts]]:
    """The tools that are out for a job, or with a person, by number.

    Args:
        connection: the record.
        as_of: the moment.
        job: the job, or "" for any.
        person: the person, or "" for anybody.
    """
    column = "job" if job else "person"
    tools = connection.execute(
        f"SELECT DISTINCT tool FROM custody WHERE {column} = ? ORDER BY tool", (job or person,)
    ).fetchall()
    found = [(tool, whereabouts(connection, tool, as_of)) for (tool,) in tools]
    return [
        (tool, place) for tool, place in found
        if place.kind in ("person", "place") and job in ("", place.job) and person in ("", place.person)
    ]  # fmt: skip
