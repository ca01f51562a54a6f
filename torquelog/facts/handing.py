"""Work that changes hands: a fastener left out for now, a job handed over, a job taken over."""

import sqlite3
from typing import Any, Final, NamedTuple

from torquelog.clock import Moment
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.readings import fastener_of
from torquelog.facts.rows import LATEST, AsOf, Mark, put, table
from torquelog.facts.strikes import stands

OPEN_MEMBERS: Final = (
    Member("group", "name", "the group"),
    Member("slot", "text", "the pass or step, or why it is open"),
    Member("items", "count*", "the numbers of the fasteners"),
)

KINDS: Final = (
    Kind(
        "left-out",
        (
            Member("job", "identifier", "the job"),
            Member("fastener", "fastener", "group and number"),
            Member("why", "text", "the reason; it stays open"),
        ),
    ),
    Kind(
        "hand-over",
        (
            Member("job", "identifier", "the job"),
            Member("to", "identifier", "who is to take it over"),
            Member("open", "object*", "group, slot and items of everything that is open"),
            Member("taken", "count", "readings done; 0 for none"),
            Member("asked", "count", "readings that the card asks for"),
            optional("why", "text", "what was said; absent: nothing"),
        ),
    ),
    Kind(
        "take-over",
        (
            Member("job", "identifier", "the job"),
            optional("hand_over", "reference", "the hand-over that is accepted; absent: none was given"),
            Member(
                "open", "object*", "group, slot and items of everything that was open when it was accepted"
            ),
            optional("why", "text", "the reason, where nobody handed it over; absent: somebody did"),
        ),
    ),
)

TABLES: Final = "\n".join(
    (
        table(
            "left_out",
            "job TEXT NOT NULL, grp TEXT NOT NULL, item INTEGER NOT NULL, signer TEXT NOT NULL, why TEXT NOT NULL",
            indexes=("job",),
        ),
        table(
            "hand_over",
            "job TEXT NOT NULL, giver TEXT NOT NULL, taker TEXT NOT NULL, why TEXT",
            indexes=("job",),
        ),
        table(
            "take_over",
            "job TEXT NOT NULL, taker TEXT NOT NULL, given_station TEXT, given_number INTEGER, why TEXT",
            indexes=("job",),
        ),
    )
)


class LeftOut(NamedTuple):
    """A fastener left out for now: its entry, when, group, number, who said so and why."""

    station: str
    number: int
    at: Moment
    group: str
    item: int
    signer: str
    why: str


class HandOver(NamedTuple):
    """A job handed over: its entry, when, by whom, to whom, what was said; and who took it over, or ""."""

    station: str
    number: int
    at: Moment
    giver: str
    taker: str
    why: str
    accepted_by: str


def _left_out_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    group, item = fastener_of(body)
    put(
        connection, "left_out", mark, mark.recorded,
        job=body["job"], grp=group, item=item, signer=mark.signer, why=body["why"],
    )  # fmt: skip


def _hand_over_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    put(
        connection, "hand_over", mark, mark.recorded,
        job=body["job"], giver=mark.signer, taker=body["to"], why=body.get("why"),
    )  # fmt: skip


def _take_over_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    station, _, number = body.get("hand_over", "").rpartition("-")
    put(
        connection, "take_over", mark, mark.recorded,
        job=body["job"], taker=mark.signer, given_station=station or None,
        given_number=int(number) if number else None, why=body.get("why"),
    )  # fmt: skip


ROWS: Final[dict[str, Any]] = {
    "left-out": _left_out_rows,
    "hand-over": _hand_over_rows,
    "take-over": _take_over_rows,
}


def left_out(connection: sqlite3.Connection, job: str, as_of: AsOf = LATEST) -> list[LeftOut]:
    """What was left out in a job, oldest first; whether it is still open is another question."""
    rows = connection.execute(
        "SELECT station, number, at, grp, item, signer, why FROM left_out WHERE job = :job AND at <= :at "
        f"AND known <= :known AND {stands('left_out')} ORDER BY at, recorded, station, number",
        {"job": job, "at": as_of.at, "known": as_of.known},
    )
    return [LeftOut(*row) for row in rows]


def hand_overs(connection: sqlite3.Connection, job: str, as_of: AsOf = LATEST) -> list[HandOver]:
    """The hand-overs of a job, oldest first, each with who accepted it."""
    rows = connection.execute(
        "SELECT station, number, at, giver, taker, coalesce(why, ''), coalesce((SELECT take_over.taker FROM take_over "
        "WHERE take_over.given_station = hand_over.station AND take_over.given_number = hand_over.number "
        f"AND take_over.at <= :at AND take_over.known <= :known AND {stands('take_over')} LIMIT 1), '') "
        "FROM hand_over WHERE job = :job AND at <= :at AND known <= :known "
        f"AND {stands('hand_over')} ORDER BY at, recorded, station, number",
        {"job": job, "at": as_of.at, "known": as_of.known},
    )
    return [HandOver(*row) for row in rows]


def waiting(connection: sqlite3.Connection, job: str, as_of: AsOf = LATEST) -> HandOver | None:
    """The hand-over of a job that nobody has accepted yet, the newest; a later one takes the place of an earlier."""
    found = hand_overs(connection, job, as_of)
    return found[-1] if found and not found[-1].accepted_by else None
