"""Readings: one torque taken at one fastener, with what it was judged by.

A refusal is a reading with the outcome `refused`: no torque is proved, but somebody may have turned the nut.
"""

import sqlite3
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from typing import Any, Final, NamedTuple

from torquelog.clock import Moment, from_offset_text
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.rows import LATEST, AsOf, Mark, insert_text, put, table
from torquelog.facts.strikes import stands
from torquelog.facts.uses import put_use
from torquelog.torque.number import exact
from torquelog.torque.units import Torque

OUTCOMES: Final = ("within", "below", "above", "refused")

KINDS: Final = (
    Kind(
        "reading",
        (
            Member("job", "identifier", "the job"),
            Member("fastener", "fastener", "group and number"),
            optional(
                "assembly", "text", "part and serial number, where the fastener travels with an assembly"
            ),
            optional(
                "aircraft", "identifier", "the aircraft's serial number, where it stays with the aircraft"
            ),
            optional("position", "text", "the position on the aircraft, beside `aircraft`"),
            Member("reading", "quantity", "what was set or read on the wrench, as it was read"),
            Member("wrench", "identifier", "the wrench"),
            optional("adapter", "identifier*", "adapters in line, from the wrench outwards; absent: none"),
            optional(
                "run_on", "object", "torque, wrench and adapter of the run-on measurement; absent: none"
            ),
            optional("step", "name", "the card's step; absent: the group's own torque"),
            Member("pass", "count", "the pass, 0 where a step has none"),
            Member("act", "name", "tighten, or check (proves nothing about tightening)"),
            optional("loosened", "yes", "the fastener was loosened first"),
            optional("lot", "text*", "lots of the hardware fitted; absent: none named"),
            Member("performed_by", "identifier", "who did it"),
            Member("performed_at", "moment", "when it was done"),
            optional("why", "text", "the reason, where one was demanded"),
            Member("judged", "object", "what it was judged by: rule set, card, limits, gain, tools"),
            Member("outcome", "name", "within, below, above or refused"),
            optional(
                "beyond", "yes", "above what the card allows at its last pass: the bolt may have yielded"
            ),
            optional(
                "worn", "yes", "the run-on torque was outside the card's limits: the nut is to be replaced"
            ),
            Member("grounds", "object*", "code, tool and message of each ground of a refusal"),
            Member("remarks", "name*", "codes of the remarks"),
            optional("awaits", "yes", "an earlier time changed the verdict: a second person has to confirm"),
            optional("corrects", "reference", "the struck entry that this one replaces"),
        ),
    ),
)

_MARKED: Final = "over = 1 OR worn = 1 OR awaits = 1 OR loosened = 1"
"""What a reading leaves behind on its fastener even after the assembly was taken apart."""

TABLES: Final = (
    table(
        "reading",
        "job TEXT NOT NULL, owner TEXT NOT NULL, grp TEXT NOT NULL, item INTEGER NOT NULL, step TEXT NOT NULL, "
        "pass INTEGER NOT NULL, act TEXT NOT NULL, wrench TEXT NOT NULL, value TEXT NOT NULL, unit TEXT NOT NULL, "
        "gain TEXT NOT NULL, low TEXT, high TEXT, outcome TEXT NOT NULL, loosened INTEGER NOT NULL, "
        "over INTEGER NOT NULL, worn INTEGER NOT NULL, awaits INTEGER NOT NULL, performed_by TEXT NOT NULL, "
        "signer TEXT NOT NULL, specified TEXT NOT NULL, direction TEXT NOT NULL, certificate TEXT, calibration TEXT",
        indexes=("owner, grp, item, at", "job, at", "performed_by, at"),
    )
    + "\n"
    + table("hardware_lot", "lot TEXT NOT NULL", part=True, indexes=("lot",))
    + "\nCREATE INDEX reading_refused ON reading (at) WHERE outcome = 'refused';"
    + "\nCREATE INDEX reading_awaits ON reading (at) WHERE awaits = 1;"
    + f"\nCREATE INDEX reading_marked ON reading (owner, grp, item, at) WHERE {_MARKED};"
    + "\nCREATE INDEX reading_loosened ON reading (owner, grp, at) WHERE loosened = 1;"
)


class Reading(NamedTuple):
    """One reading as it stands in its table.

    Attributes:
        station, number: its entry.
        at: when it was performed; recorded: when it was recorded (milliseconds since 1970 UTC).
        job, owner, group, item: which fastener, in which job.
        step, pass_: the card's step ("" where the group has none) and pass (0 where the step has none).
        act: tighten or check.
        wrench: the wrench's number.
        indicated: what was set or read.
        gain: torque at the fastener per torque indicated.
        low, high: the limits at the fastener in N·m, run-on torque and pass included; None is open.
        outcome: within, below, above or refused.
        loosened: whether the fastener was loosened first.
        over: whether it lies above what the card allows at its last pass.
        worn: whether the run-on torque was outside its limits.
        awaits: whether it needed a second person's confirmation.
        performed_by, signer: who did it, who signed.
        specified: the card's specification, as on the card.
        direction: in which direction it was tightened, cw or ccw.
        certificate, calibration: of the wrench at that time, where it had one.
    """

    station: str
    number: int
    at: Moment
    recorded: Moment
    job: str
    owner: str
    group: str
    item: int
    step: str
    pass_: int
    act: str
    wrench: str
    indicated: Torque
    gain: Fraction
    low: Fraction | None
    high: Fraction | None
    outcome: str
    loosened: bool
    over: bool
    worn: bool
    awaits: bool
    performed_by: str
    signer: str
    specified: str
    direction: str
    certificate: str | None
    calibration: str | None

    @property
    def applied(self) -> Fraction:
        """The torque at the fastener in N·m: what was indicated, through the adapters."""
        straight = self.gain.numerator == self.gain.denominator
        return self.indicated.newton_metres if straight else self.indicated.newton_metres * self.gain


COLUMNS: Final = (
    "reading.station, reading.number, reading.at, reading.recorded, job, owner, grp, item, step, pass, act, wrench, "
    "value, unit, gain, low, high, outcome, loosened, over, worn, awaits, performed_by, signer, specified, "
    "direction, certificate, calibration"
)


def owner_text(body: Body) -> str:
    """Whose fastener a body speaks of: `assembly PART SERIAL` or `aircraft MSN POSITION`."""
    if "assembly" in body:
        return f"assembly {body['assembly']}"
    return f"aircraft {body['aircraft']} {body['position']}"


def fastener_of(body: Body) -> tuple[str, int]:
    """Group and number of the fastener that a body names."""
    group, _, item = body["fastener"].partition(":")
    return group, int(item)


OWN: Final = (
    "job", "owner", "grp", "item", "step", "pass", "act", "wrench", "value", "unit", "gain", "low", "high", "outcome",
    "loosened", "over", "worn", "awaits", "performed_by", "signer", "specified", "direction", "certificate",
    "calibration",
)  # fmt: skip
_ADD_READING: Final = insert_text("reading", *OWN)


def _reading_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    at = from_offset_text(body["performed_at"])
    group, item = fastener_of(body)
    read, judged = body["reading"], body["judged"]
    limits, wrench = judged["limits"], judged["tools"][0]
    connection.execute(_ADD_READING, (
        mark.station, mark.number, at, mark.recorded, mark.known,
        body["job"], owner_text(body), group, item, body.get("step", ""), int(body["pass"]), body["act"],
        body["wrench"], read["value"], read["unit"], judged["gain"], limits.get("low"), limits.get("high"),
        body["outcome"], "loosened" in body, "beyond" in body, "worn" in body, "awaits" in body,
        body["performed_by"], mark.signer, judged["specified"], judged["direction"],
        wrench.get("certificate"), wrench.get("calibration"),
    ))  # fmt: skip
    for part, (tool, role) in enumerate(tools_used(body)):
        put_use(connection, mark, at, part, tool, role)
    put_lots(connection, mark, at, body)


def put_lots(connection: sqlite3.Connection, mark: Mark, at: Moment, body: Body) -> None:
    """Write the lots of hardware that an entry names."""
    for part, lot in enumerate(body.get("lot", ())):
        put(connection, "hardware_lot", mark, at, part=part, lot=lot)


def tools_used(body: Body) -> Iterator[tuple[str, str]]:
    """Every tool that a reading's body names, with its role: the wrench first."""
    yield body["wrench"], "wrench"
    for adapter in body.get("adapter", ()):
        yield adapter, "adapter"
    run_on: dict[str, Any] = body.get("run_on", {})
    if run_on:
        yield run_on["wrench"], "run-on-wrench"
        for adapter in run_on.get("adapter", ()):
            yield adapter, "run-on-adapter"


ROWS: Final = {"reading": _reading_rows}


def from_row(row: tuple[Any, ...]) -> Reading:
    """A reading from the columns `COLUMNS`."""
    value, unit, gain, low, high = row[12:17]
    return Reading._make(
        (
            *row[:12], Torque(value, unit), exact(gain), None if low is None else exact(low),
            None if high is None else exact(high), row[17], row[18] == 1, row[19] == 1, row[20] == 1, row[21] == 1,
            *row[22:28],
        )
    )  # fmt: skip


def reading(connection: sqlite3.Connection, station: str, number: int) -> Reading | None:
    """The reading with this entry, struck or not."""
    row = connection.execute(
        f"SELECT {COLUMNS} FROM reading WHERE station = ? AND number = ?", (station, number)
    ).fetchone()
    return from_row(row) if row else None


def some_in_job(connection: sqlite3.Connection, job: str) -> list[str]:
    """The first few readings of a job, by name, struck or not: what rests on it."""
    rows = connection.execute("SELECT station, number FROM reading WHERE job = ? LIMIT 5", (job,))
    return [f"{station}-{number:06d}" for station, number in rows]


def of_job(connection: sqlite3.Connection, job: str, as_of: AsOf = LATEST) -> Iterator[Reading]:
    """The standing readings of a job, in the order they were performed."""
    rows = connection.execute(
        f"SELECT {COLUMNS} FROM reading WHERE job = :job AND at <= :at AND known <= :known AND "
        f"{stands('reading')} ORDER BY at, recorded, station, number",
        {"job": job, "at": as_of.at, "known": as_of.known},
    )
    return (from_row(row) for row in rows)


class Taken(NamedTuple):
    """What the life of a fastener asks of a reading; the columns of `Reading` with the same names."""

    item: int
    at: Moment
    recorded: Moment
    station: str
    number: int
    job: str
    outcome: str
    step: str
    pass_: int
    act: str
    loosened: int
    over: int
    worn: int
    awaits: int
    wrench: str


def taken_by(mark: Mark, body: Body) -> Taken:
    """The same of a reading that is just being added, from its body."""
    return Taken(
        fastener_of(body)[1], from_offset_text(body["performed_at"]), mark.recorded, mark.station, mark.number,
        body["job"], body["outcome"], body.get("step", ""), int(body["pass"]), body["act"], int("loosened" in body),
        int("beyond" in body), int("worn" in body), int("awaits" in body), body["wrench"],
    )  # fmt: skip


_TAKEN: Final = (
    "SELECT item, at, recorded, station, number, job, outcome, step, pass, act, loosened, over, worn, awaits, "
    "wrench FROM reading{index} WHERE owner = :owner AND grp = :group{item} AND at <= :at{more} AND known <= :known "
    f"AND {stands('reading')}"
)
_ORDER: Final = " ORDER BY at, recorded, station, number"
_NEXT: Final = "SELECT min(item) FROM reading WHERE owner = :owner AND grp = :group"
_ITEMS: Final = (
    f"WITH RECURSIVE one (item) AS ({_NEXT} UNION ALL SELECT ({_NEXT} AND reading.item > one.item) FROM one "
    "WHERE one.item IS NOT NULL) SELECT item FROM one WHERE item IS NOT NULL"
)
"""The numbers of a group that have any reading, found by a leap from one to the next."""


def taken(
    connection: sqlite3.Connection,
    owner: str,
    group: str,
    item: int | None,
    as_of: AsOf = LATEST,
    since: Moment | None = None,
) -> Iterator[Taken]:
    """The standing readings of one fastener, or of a whole group where `item` is None, oldest first.

    Args:
        connection: the record.
        owner, group, item: which fasteners.
        as_of: which facts count.
        since: of older readings than this only those that leave something behind: above all that the card
            allows, on a worn nut, waiting for a second person, or after loosening. Without it all of them.
    """
    named = {
        "owner": owner,
        "group": group,
        "item": item,
        "at": as_of.at,
        "known": as_of.known,
        "since": since,
    }
    return map(Taken._make, connection.execute(_taken_text(item is not None, since is not None), named))


@cache
def _taken_text(one: bool, bounded: bool) -> str:
    item = " AND item = :item" if one else ""
    if not bounded:
        return _TAKEN.format(index="", item=item, more="") + _ORDER
    # Each number by itself, or the whole group's older readings would be walked through to find the later ones.
    each = item or f" AND item IN ({_ITEMS})"
    later = _TAKEN.format(index="", item=each, more=" AND at >= :since")
    # Told which index to take, or it would walk through everything that is older.
    marked = _TAKEN.format(
        index=" INDEXED BY reading_marked", item=item, more=f" AND at < :since AND ({_MARKED})"
    )
    return f"{later} UNION ALL {marked}{_ORDER}"


def loosenings(
    connection: sqlite3.Connection, owner: str, group: str, since: Moment, as_of: AsOf = LATEST
) -> Iterator[tuple[Moment, Moment, str, int, int]]:
    """Readings from a moment on that say "loosened first": (at, recorded, station, number, fastener's number).

    A refused attempt that says so counts: its torque proves nothing, but what was tight before is tight no more.
    """
    rows: Iterator[tuple[Moment, Moment, str, int, int]] = connection.execute(
        "SELECT at, recorded, station, number, item FROM reading WHERE owner = :owner AND grp = :group "
        f"AND loosened = 1 AND at >= :since AND at <= :at AND known <= :known AND {stands('reading')} "
        "ORDER BY at, recorded, station, number",
        {"owner": owner, "group": group, "since": since, "at": as_of.at, "known": as_of.known},
    )
    return rows


def refused(
    connection: sqlite3.Connection, since: Moment, until: Moment, as_of: AsOf = LATEST
) -> Iterator[Reading]:
    """The refused readings performed from `since` up to, not including, `until`; a refusal is never struck."""
    rows = connection.execute(
        f"SELECT {COLUMNS} FROM reading WHERE outcome = 'refused' AND at >= ? AND at < ? AND at <= ? "
        "AND known <= ? ORDER BY at, recorded, station, number",
        (since, until, as_of.at, as_of.known),
    )
    return (from_row(row) for row in rows)


def tightened_at(
    connection: sqlite3.Connection, job: str, owner: str, group: str, slot: tuple[str, int]
) -> frozenset[int]:
    """The numbers of a group that were tightened within limits at one step or pass of a job, loosened since or not.

    It is looked for by the job, which has few readings, and not by the owner (hence the plus signs), which may have
    those of years.
    """
    rows = connection.execute(
        "SELECT DISTINCT item FROM reading WHERE job = :job AND +owner = :owner AND +grp = :group AND step = :step "
        f"AND pass = :pass AND outcome = 'within' AND act = 'tighten' AND known <= :known AND {stands('reading')}",
        {"job": job, "owner": owner, "group": group, "step": slot[0], "pass": slot[1], "known": LATEST.known},
    )
    return frozenset(item for (item,) in rows)


def lots_told(connection: sqlite3.Connection, job: str) -> dict[str, tuple[str, ...]]:
    """The lots that the newest standing reading of each group in a job names, by group; without those that name none."""
    newest = {
        group: (station, number)
        for group, station, number in connection.execute(
            "SELECT grp, station, number FROM reading WHERE job = :job AND known <= :known AND outcome != 'refused' "
            f"AND {stands('reading')} ORDER BY at, recorded, station, number",
            {"job": job, "known": LATEST.known},
        )
    }
    told = {
        group: tuple(
            lot
            for (lot,) in connection.execute(
                "SELECT lot FROM hardware_lot WHERE station = ? AND number = ? ORDER BY part", entry
            )
        )
        for group, entry in newest.items()
    }
    return {group: lots for group, lots in told.items() if lots}
