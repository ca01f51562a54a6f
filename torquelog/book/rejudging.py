"""Judging again what an entry says was judged: by the same rules, over what the record knew at that place.

What a changed program let through, or what was judged over a register that somebody had edited, comes out
otherwise here. Messages and remarks are left out: their wording may get better, a judgement may not.

A strike is looked at as well: where it takes an outside reading away, it has to wait for a second person.
"""

import sqlite3
from collections.abc import Iterator
from typing import Any, Final
from zoneinfo import ZoneInfo

from torquelog.book.asked import asked_of
from torquelog.book.judging import Judged, judge, judged_member
from torquelog.clock import from_offset_text, from_utc_text
from torquelog.errors import TorquelogError
from torquelog.facts import stations
from torquelog.ledger.form import Entry, parse_entry, parse_reference
from torquelog.ledger.store import entry_at
from torquelog.rules.striking import takes_away

JUDGED: Final = frozenset({"reading", "tested"})
"""The kinds of entries that freeze a judgement."""


def judged_again(connection: sqlite3.Connection, entry: Entry) -> list[str]:
    """What an entry says of its judgement and would not be judged so again, a sentence each; nothing if all holds.

    Args:
        connection: the record as it stood before the entry.
        entry: of any kind; only those in `JUDGED` are looked at.
    """
    if entry.kind not in JUDGED:
        return []
    if entry.kind == "tested":
        return _tested_again(connection, entry)
    try:
        again = judge(
            connection,
            entry.station,
            _zone(connection, entry.station),
            asked_of(entry.body),
            from_utc_text(entry.recorded_at),
        )
    except TorquelogError as error:
        return [f"it could not have been recorded: {error.message}"]
    return list(_differences(entry.body, again))


def misjudged(connection: sqlite3.Connection, before: sqlite3.Connection, entry: Entry) -> str:
    """What is wrong with an entry's judgement, in a sentence; "" where nothing is.

    Args:
        connection: the record with everything in it.
        before: the record as it stood before the entry.
        entry: of any kind.
    """
    if entry.kind == "strike" and strike_lacks_its_mark(connection, entry):
        return "It takes away what left a fastener open, and does not say that a second person has to confirm that."
    wrong = judged_again(before, entry)
    return f"Judged again, {wrong[0]}.".replace("..", ".") if wrong else ""


def strike_lacks_its_mark(connection: sqlite3.Connection, entry: Entry) -> bool:
    """Whether a strike takes away what left a fastener open and does not say that a second person has to confirm it.

    What replaces a struck reading stands right behind the strike, in the same chain, and names what it corrects.

    Args:
        connection: the record with everything in it, also what comes after the strike.
        entry: the strike.
    """
    if "awaits" in entry.body:
        return False
    before = _body_at(connection, *parse_reference(entry.body["entry"]))
    if before is None:
        return False  # it may arrive before the entry that it names
    after = _body_at(connection, entry.station, entry.number + 1) or {}
    return takes_away(before, after if after.get("corrects") == entry.body["entry"] else {})


def _body_at(connection: sqlite3.Connection, station: str, number: int) -> dict[str, Any] | None:
    """The body of an entry; nothing where there is none, or where none can be read, which is found there."""
    try:
        stored = entry_at(connection, station, number)
        return parse_entry(stored.text).body if stored else None
    except (TorquelogError, sqlite3.DatabaseError):
        return None


def _tested_again(connection: sqlite3.Connection, entry: Entry) -> list[str]:
    from torquelog.book.tester_checks import judged_again as again

    now = from_utc_text(entry.recorded_at)
    at = from_offset_text(entry.body["at"]) if "at" in entry.body else now
    return list(again(connection, entry.station, _zone(connection, entry.station), entry.body, at, now))


def _zone(connection: sqlite3.Connection, station: str) -> ZoneInfo:
    from torquelog.clock import zone

    found = stations.station(connection, station)
    return zone(found.zone if found else "UTC")


def _differences(body: dict[str, Any], again: Judged) -> Iterator[str]:
    if body["outcome"] != again.outcome:
        reasons = "".join(f" {ground.message}" for ground in again.grounds)
        yield f"its outcome is given as {body['outcome']} and comes out as {again.outcome}.{reasons}"
    given = sorted((ground["code"], ground["tool"]) for ground in body["grounds"])
    found = sorted((ground.code, ground.tool) for ground in again.grounds)
    if given != found:
        yield f"its grounds are given as {_codes(given)} and come out as {_codes(found)}"
    if body["act"] != again.act:
        yield f"it is given as {body['act']} and comes out as {again.act}"
    for name, holds in (("beyond", again.beyond), ("worn", again.worn), ("awaits", again.awaits)):
        if (name in body) != holds:
            yield f'the mark "{name}" {"is missing" if holds else "should not be there"}'
    yield from _parts(body["judged"], judged_member(again))


def _parts(given: dict[str, Any], found: dict[str, Any]) -> Iterator[str]:
    for name in sorted(given.keys() | found.keys()):
        if given.get(name) != found.get(name):
            yield f"its {name.replace('_', ' ')} are given as {given.get(name)} and come out as {found.get(name)}"


def _codes(pairs: list[tuple[str, str]]) -> str:
    return ", ".join(f"{code} ({tool})" for code, tool in pairs) or "none"
