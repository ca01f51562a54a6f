"""Questions to a record, whose answers may never change once they were given."""

from typing import Any

from torquelog.book.jobview import job_state
from torquelog.book.opening import Book
from torquelog.book.toolbox import fitness_at
from torquelog.book.verification import verify
from torquelog.facts import assemblies, jobs, people, stations, tools
from torquelog.facts.uses import uses_between
from torquelog.ledger import store
from torquelog.ledger.form import parse_entry
from torquelog.quality import trace

BEGINNING = -62_135_596_800_000
END = 253_402_300_799_999


def answers(book: Book) -> dict[str, Any]:
    """What a record answers: in texts, numbers and lists only."""
    return {
        "chains": _chains(book),
        "kinds": _kinds(book),
        "people": {each.person: _person(book, each.person) for each in people.people(book.connection, book.station)},
        "rules": dict(sorted(stations.rules(book.connection, book.station).values.items())),
        "tools": {each.tool: _tool(book, each) for sort in ("wrench", "adapter") for each in _tools(book, sort)},
        "jobs": {each.job: _job(book, each.job) for each in jobs.Every(book.connection)},
        "places": {each.key: _place(book, each.key) for each in assemblies.assemblies(book.connection)},
        "traces": {name: _trace(book, name) for name in ("W-0417", "W-0402", "W-0355")},
    }  # fmt: skip


def _chains(book: Book) -> list[list[Any]]:
    report = verify(book.connection, book.station)
    assert report.holds, report.findings
    return [[chain.station, chain.identity, chain.through, chain.digest] for chain in report.chains]


def _kinds(book: Book) -> dict[str, int]:
    counted: dict[str, int] = {}
    for station in store.stations(book.connection):
        for stored in store.entries(book.connection, station):
            kind = parse_entry(stored.text).kind
            counted[kind] = counted.get(kind, 0) + 1
    return dict(sorted(counted.items()))


def _person(book: Book, person: str) -> dict[str, Any]:
    now = book.clock.now()
    grants = people.grants(book.connection, book.station, person, now)
    performs = people.roles_to_perform(book.connection, book.station, person, now - 20 * 86_400_000)
    return {"signs": [grant.role for grant in grants], "performed": sorted(performs)}


def _tools(book: Book, sort: str) -> list[tools.Tool]:
    return tools.tools(book.connection, sort)


def _tool(book: Book, tool: tools.Tool) -> dict[str, Any]:
    found = fitness_at(book.connection, book, tool, book.clock.now())
    return {
        "grounds": sorted(ground.code for ground in found.grounds),
        "due": str(found.due),
        "uses": uses_between(book.connection, tool.tool, BEGINNING, END),
    }


def _job(book: Book, job: str) -> dict[str, Any]:
    state = job_state(book.connection, job)
    return {"taken": state.taken, "asked": state.asked, "holds": sorted({hold.code for hold in state.holds})}


def _place(book: Book, key: str) -> list[str]:
    place = assemblies.place(book.connection, key)
    return [place.kind, place.aircraft or "", place.position or ""]


def _trace(book: Book, wrench: str) -> list[str]:
    return [
        f"{each.reading.station}-{each.reading.number} {each.state}"
        for each in trace.trace(book, "wrench", wrench).rows
    ]
