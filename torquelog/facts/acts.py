"""What else is done to a fastener: loosened, replaced, found, locked; a card's steps; parts off and on."""

import sqlite3
from collections.abc import Iterator
from typing import Final, NamedTuple

from torquelog.clock import Moment, from_offset_text
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.readings import fastener_of, owner_text, put_lots
from torquelog.facts.rows import LATEST, AsOf, Mark, put, table
from torquelog.facts.strikes import stands

ACTS: Final = ("loosened", "replaced", "found", "locked")
FOUND: Final = ("sheared", "loose", "missing", "damaged")

_WHOSE: Final = (
    optional("assembly", "text", "part and serial number, where the fastener travels with an assembly"),
    optional("aircraft", "identifier", "the aircraft's serial number, where it stays with the aircraft"),
    optional("position", "text", "the position on the aircraft, beside `aircraft`"),
)
_WHO_WHEN: Final = (
    Member("performed_by", "identifier", "who did it"),
    Member("performed_at", "moment", "when it was done"),
    optional("why", "text", "the reason; absent: none was asked"),
)

KINDS: Final = (
    Kind(
        "act",
        (
            Member("job", "identifier", "the job"),
            Member("fastener", "fastener", "group and number"),
            *_WHOSE,
            Member("act", "name", "loosened, replaced, found or locked"),
            optional(
                "what", "name", "what was found: sheared, loose, missing or damaged; or how it was locked"
            ),
            optional("part", "text", "part number of the hardware fitted"),
            optional("serial", "text", "its serial number"),
            optional("lot", "text*", "lots of the hardware fitted"),
            *_WHO_WHEN,
        ),
    ),
    Kind(
        "step",
        (
            Member("job", "identifier", "the job"),
            optional("group", "name", "the group; absent: an operational check of the job"),
            optional("item", "count", "the fastener's number; absent: the whole group"),
            *_WHOSE,
            Member("step", "name", "the card's step, locking, or operational check"),
            optional("value", "text", "what was seen or measured"),
            *_WHO_WHEN,
        ),
    ),
    Kind(
        "part",
        (
            Member("job", "identifier", "the job"),
            Member("change", "name", "off or on"),
            Member("part", "text", "part number"),
            optional("serial", "text", "serial number"),
            optional("lot", "text", "lot"),
            *_WHO_WHEN,
        ),
    ),
)

TABLES: Final = "\n".join(
    (
        table(
            "fastener_act",
            "job TEXT NOT NULL, owner TEXT NOT NULL, grp TEXT NOT NULL, item INTEGER NOT NULL, act TEXT NOT NULL, "
            "what TEXT, hardware TEXT, serial TEXT, lot TEXT, performed_by TEXT NOT NULL, why TEXT",
            indexes=("owner, grp, item, at", "job"),
        ),
        table(
            "step_done",
            "job TEXT NOT NULL, owner TEXT, grp TEXT, item INTEGER, step TEXT NOT NULL, value TEXT, "
            "performed_by TEXT NOT NULL, why TEXT",
            indexes=("job, grp, item",),
        ),
        table(
            "part_change",
            "job TEXT NOT NULL, direction TEXT NOT NULL, hardware TEXT NOT NULL, serial TEXT, lot TEXT, "
            "performed_by TEXT NOT NULL, why TEXT",
            indexes=("job",),
        ),
    )
)


class FastenerAct(NamedTuple):
    """One act on a fastener, as dated: its entry, times, fastener, the act and what was found or fitted."""

    station: str
    number: int
    at: Moment
    recorded: Moment
    job: str
    owner: str
    group: str
    item: int
    act: str
    what: str | None
    hardware: str | None
    serial: str | None
    lot: str | None
    performed_by: str
    why: str | None


class StepDone(NamedTuple):
    """A step, locking or operational check on record; `item` None means the whole group, `group` None the job."""

    station: str
    number: int
    at: Moment
    recorded: Moment
    job: str
    owner: str | None
    group: str | None
    item: int | None
    step: str
    value: str | None
    performed_by: str
    why: str | None


class PartChange(NamedTuple):
    """A part taken off or put on in a job."""

    station: str
    number: int
    at: Moment
    recorded: Moment
    job: str
    change: str
    part: str
    serial: str | None
    lot: str | None
    performed_by: str
    why: str | None


def _act_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    group, item = fastener_of(body)
    lots = body.get("lot")
    put(
        connection, "fastener_act", mark, from_offset_text(body["performed_at"]),
        job=body["job"], owner=owner_text(body), grp=group, item=item, act=body["act"], what=body.get("what"),
        hardware=body.get("part"), serial=body.get("serial"), lot=", ".join(lots) if lots else None,
        performed_by=body["performed_by"], why=body.get("why"),
    )  # fmt: skip

    put_lots(connection, mark, from_offset_text(body["performed_at"]), body)


def _step_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    item = body.get("item")
    put(
        connection, "step_done", mark, from_offset_text(body["performed_at"]),
        job=body["job"], owner=owner_text(body) if "group" in body else None, grp=body.get("group"),
        item=int(item) if item else None, step=body["step"], value=body.get("value"),
        performed_by=body["performed_by"], why=body.get("why"),
    )  # fmt: skip


def _part_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    put(
        connection, "part_change", mark, from_offset_text(body["performed_at"]),
        job=body["job"], direction=body["change"], hardware=body["part"], serial=body.get("serial"),
        lot=body.get("lot"), performed_by=body["performed_by"], why=body.get("why"),
    )  # fmt: skip


ROWS: Final = {"act": _act_rows, "step": _step_rows, "part": _part_rows}

_TIMES: Final = "station, number, at, recorded"


def on_fastener(
    connection: sqlite3.Connection, owner: str, group: str, item: int | None, as_of: AsOf = LATEST
) -> Iterator[FastenerAct]:
    """The standing acts on one fastener, or on a whole group where `item` is None, oldest first."""
    one = "" if item is None else "AND item = :item "
    rows = connection.execute(
        f"SELECT {_TIMES}, job, owner, grp, item, act, what, hardware, serial, lot, performed_by, why "
        f"FROM fastener_act WHERE owner = :owner AND grp = :group {one}AND at <= :at AND known <= :known "
        f"AND {stands('fastener_act')} ORDER BY at, recorded, station, number",
        {"owner": owner, "group": group, "item": item, "at": as_of.at, "known": as_of.known},
    )
    return (FastenerAct(*row) for row in rows)


def steps_of_job(connection: sqlite3.Connection, job: str, as_of: AsOf = LATEST) -> list[StepDone]:
    """The standing steps of a job, oldest first."""
    rows = connection.execute(
        f"SELECT {_TIMES}, job, owner, grp, item, step, value, performed_by, why FROM step_done "
        f"WHERE job = :job AND at <= :at AND known <= :known AND {stands('step_done')} "
        "ORDER BY at, recorded, station, number",
        {"job": job, "at": as_of.at, "known": as_of.known},
    )
    return [StepDone(*row) for row in rows]


def steps_of_group(
    connection: sqlite3.Connection, job: str, group: str, as_of: AsOf = LATEST
) -> list[StepDone]:
    """The standing steps of one group in a job, oldest first."""
    rows = connection.execute(
        f"SELECT {_TIMES}, job, owner, grp, item, step, value, performed_by, why FROM step_done "
        f"WHERE job = :job AND grp = :group AND at <= :at AND known <= :known AND {stands('step_done')} "
        "ORDER BY at, recorded, station, number",
        {"job": job, "group": group, "at": as_of.at, "known": as_of.known},
    )
    return [StepDone(*row) for row in rows]


def parts_of_job(connection: sqlite3.Connection, job: str, as_of: AsOf = LATEST) -> list[PartChange]:
    """The standing part changes of a job, oldest first."""
    rows = connection.execute(
        f"SELECT {_TIMES}, job, direction, hardware, serial, lot, performed_by, why FROM part_change "
        f"WHERE job = :job AND at <= :at AND known <= :known AND {stands('part_change')} "
        "ORDER BY at, recorded, station, number",
        {"job": job, "at": as_of.at, "known": as_of.known},
    )
    return [PartChange(*row) for row in rows]
