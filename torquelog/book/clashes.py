"""One name for two things: what a station registers under a name that another station uses for something else.

Names of persons, tools, assemblies and aircraft count in the whole organisation. Where two stations say different
things of one name, that is a question to people; the earliest registration goes on to count meanwhile.
"""

import sqlite3
from collections.abc import Callable, Mapping
from typing import Any, Final

from torquelog.book.entries import the_entry
from torquelog.facts import aircraft, assemblies, people, tools
from torquelog.ledger.form import Entry

TOOL_MEMBERS: Final = ("sort", "type", "maker", "serial", "lever", "length", "angle", "multiplier", "scales")

Members = Mapping[str, Any]


def clash(connection: sqlite3.Connection, entry: Entry) -> str:
    """What an entry that registers a name says otherwise than the registration on record; nothing if it agrees.

    Args:
        connection: the record as it stood before the entry.
        entry: of any kind.
    """
    if entry.kind not in _KNOWN:
        return ""
    name, known = _KNOWN[entry.kind](connection, entry.body)
    differing = [member for member in known if known[member] != entry.body.get(member)]
    if not differing:
        return ""
    shown = ", ".join(f"{member.replace('_', ' ')} {_shown(entry.body.get(member))}" for member in differing)
    here = ", ".join(_shown(known[member]) for member in differing)
    return f"{entry.station} registered {name} with {shown}; on record is {here}."


def _person(connection: sqlite3.Connection, body: Members) -> tuple[str, Members]:
    found = people.person(connection, body["person"])
    return body["person"], {"name": found.name} if found else {}


def _tool(connection: sqlite3.Connection, body: Members) -> tuple[str, Members]:
    found = tools.tool(connection, body["tool"])
    if found is None:
        return body["tool"], {}
    known = the_entry(connection, found.reference).body
    return body["tool"], {member: known.get(member) for member in TOOL_MEMBERS}


def _aircraft(connection: sqlite3.Connection, body: Members) -> tuple[str, Members]:
    found = aircraft.by_msn(connection, body["msn"])
    return body["msn"], {"type": found.type} if found else {}


def _assembly(connection: sqlite3.Connection, body: Members) -> tuple[str, Members]:
    key = assemblies.key_of(body["part"], body["serial"])
    found = assemblies.assembly(connection, key)
    return key, {"kind": found.sort} if found else {}


def _shown(value: object) -> str:
    if value is None:
        return "none"
    if isinstance(value, Mapping) and "value" in value:
        return f"{value['value']} {value['unit']}"
    return str(value)


_KNOWN: Final[dict[str, Callable[[sqlite3.Connection, Members], tuple[str, Members]]]] = {
    "station": _person,
    "person": _person,
    "tool": _tool,
    "aircraft": _aircraft,
    "assembly": _assembly,
}
