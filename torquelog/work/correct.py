"""Correcting: the mistaken entry is struck, and a reading is recorded again with the time of the struck one."""

import sqlite3
from typing import Final, NamedTuple

from torquelog.book.asked import Asked, asked_of
from torquelog.book.entries import the_entry
from torquelog.book.judging import judge
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import Writing, writing
from torquelog.clock import Moment
from torquelog.errors import TorquelogError
from torquelog.facts import (
    aircraft,
    assemblies,
    calibrations,
    conditions,
    custody,
    jobs,
    people,
    readings,
    registry,
    strikes,
    tools,
    uses,
)
from torquelog.facts.readings import fastener_of
from torquelog.facts.rows import END_OF_TIME
from torquelog.ledger.form import Entry, reference
from torquelog.rules.coverage import coverage
from torquelog.rules.striking import Struck, check_strike, takes_away
from torquelog.torque.units import Torque
from torquelog.work.record import Recorded, record_in


class Change(NamedTuple):
    """What is different in the reading that replaces a struck one; None keeps what it was."""

    reading: Torque | None = None
    wrench: str | None = None
    fastener: tuple[str, int] | None = None

    @property
    def anything(self) -> bool:
        """Whether anything is replaced at all; else the entry is only struck."""
        return self != Change()


NOTHING = Change()

WORK: Final = frozenset({"reading", "act", "step", "part", "inspection"})
"""The kinds of entries that a job is made of."""


class Corrected(NamedTuple):
    """A correction on record.

    Attributes:
        struck: the entry that was struck; strike: the entry that says so.
        awaits: whether a second person has to confirm the strike.
        reading: the reading recorded in its place, or nothing.
        kind: the kind of the struck entry.
    """

    struck: str
    strike: str
    awaits: bool
    reading: Recorded | None
    kind: str


def correct(book: Book, signer: Signer, name: str, why: str, change: Change = NOTHING) -> Corrected:
    """Strike an entry, and record a reading again where something of it is given anew.

    Args:
        book, signer: where, and who signs: one's own entry by sign-in, another's by quality's passphrase.
        name: the entry, `QHR-000123`.
        why: the reason.
        change: what the new reading has instead.

    Raises:
        TorquelogError: `entry-unknown`, `not-strikable`, `struck-already`, `job-closed`, `not-a-reading`, or
            what recording raises.
    """
    with writing(book) as w:
        entry = the_entry(w.connection, name)
        check_strike(_facts(w.connection, entry))
        _demand_open(w.connection, entry)
        if change.anything and entry.kind != "reading":
            raise TorquelogError(
                "not-a-reading", f"{name} is no reading, so there is nothing to record again."
            )
        now = w.time()
        asked = _asked(entry, change, why) if change.anything else None
        awaits = takes_away(entry.body, _after(w, book, asked, now))
        body = {"entry": name, "why": why} | ({"awaits": "yes"} if awaits else {})
        strike = w.append(signer, "strike", body, at=now)
        again = record_in(w, book, signer, asked, corrects=name) if asked else None
    return Corrected(name, strike.reference, awaits, again, entry.kind)


def _after(w: Writing, book: Book, asked: Asked | None, now: Moment) -> dict[str, str]:
    """What the reading in place of a struck one will say of the fastener; nothing where there is none."""
    if asked is None:
        return {}
    judged = judge(w.connection, w.station, book.zone, asked, now)
    return {"outcome": judged.outcome} | ({"worn": "yes"} if judged.worn else {})


def _demand_open(connection: sqlite3.Connection, entry: Entry) -> None:
    """Work of a closed job stays as it is: a closed job with something open in it would be forgotten."""
    closing = jobs.closing(connection, entry.body["job"]) if entry.kind in WORK else None
    if closing is not None:
        raise TorquelogError(
            "job-closed",
            f"{entry.body['job']} is closed. Nothing was recorded.",
            why="What was done in it is corrected once it is open again: strike its closing, and close it anew.",
            hint=f"torquelog correct {closing} --why REASON",
        )


def _asked(entry: Entry, change: Change, why: str) -> Asked:
    asked = asked_of(entry.body)
    group, item = change.fastener or fastener_of(entry.body)
    # Step and pass were found from what was open on the other fastener.
    moved = (group, item) != (asked.group, asked.item)
    return asked._replace(
        reading=change.reading or asked.reading,
        wrench=change.wrench or asked.wrench,
        group=group,
        item=item,
        step=None if moved else asked.step,
        pass_=None if moved else asked.pass_,
        why=why,
    )


def _facts(connection: sqlite3.Connection, entry: Entry) -> Struck:
    strike = strikes.strike_of(connection, entry.station, entry.number)
    return Struck(
        reference=reference(entry.station, entry.number),
        kind=entry.kind,
        strikable=registry.kind_of(entry.kind).strikable,
        outcome=entry.body.get("outcome", ""),
        failed=entry.kind == "calibration" and _failed(connection, entry),
        dependents=tuple(_dependents(connection, entry)),
        struck_by=reference(strike.station, strike.number) if strike else "",
    )


def _failed(connection: sqlite3.Connection, entry: Entry) -> bool:
    found = calibrations.calibration(connection, entry.station, entry.number)
    tool = tools.tool(connection, entry.body["tool"])
    return bool(found and tool and coverage(found.points, tool.accuracy).failed)


def _dependents(connection: sqlite3.Connection, entry: Entry) -> list[str]:
    """What rests on an entry, as people name it."""
    body = entry.body
    if entry.kind in ("card", "card-approval"):
        return jobs.opened_by_card(connection, body["digest"])
    if entry.kind == "job":
        return readings.some_in_job(connection, body["job"])
    if entry.kind == "tool":
        return _of_tool(connection, body["tool"])
    if entry.kind == "assembly":
        key = assemblies.key_of(body["part"], body["serial"])
        return [*jobs.opened_about(connection, assembly=key), *_placed(connection, key)]
    if entry.kind == "aircraft":
        bears = (each.registration for each in aircraft.registrations(connection, body["msn"]))
        return [*jobs.opened_about(connection, aircraft=body["msn"]), *bears]
    return []


def _of_tool(connection: sqlite3.Connection, tool: str) -> list[str]:
    certificates = calibrations.calibrations(connection, tool, points=False)
    return [
        *(each.reference for each in certificates),
        *(reference(each.station, each.number) for each in custody.moves(connection, tool)),
        *(reference(each.station, each.number) for each in conditions.conditions(connection, tool)),
        *(
            reference(each.station, each.number)
            for each in uses.uses_of(connection, tool, people.FIRST, END_OF_TIME)
        ),
    ]


def _placed(connection: sqlite3.Connection, key: str) -> list[str]:
    return [reference(each.station, each.number) for each in assemblies.placements(connection, key)]
