"""Jobs: a card at work on assemblies, on an aircraft's position, or both."""

import sqlite3
from collections.abc import Collection, Iterator
from typing import Final, NamedTuple, TypeAlias

from torquelog.clock import Moment
from torquelog.errors import TorquelogError
from torquelog.facts.assemblies import assembly_owner, position_owner
from torquelog.facts.card_form import AIRCRAFT, Group
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.rows import LATEST, AsOf, Mark, put, table
from torquelog.facts.strikes import stands

KINDS: Final = (
    Kind(
        "job",
        (
            Member("job", "identifier", "the job's name"),
            Member("card", "identifier", "the card that it works by"),
            Member("revision", "text", "the card's revision; an open job keeps it"),
            Member("digest", "hex", "the card's digest"),
            optional("aircraft", "identifier", "msn of the aircraft; absent: on no aircraft"),
            optional("position", "text", "where on the aircraft; absent: on no aircraft"),
            optional("assemblies", "object", "kind of assembly to its part and serial number; absent: none"),
        ),
    ),
    Kind(
        "job-closed",
        (
            Member("job", "identifier", "the job that is complete"),
            optional("why", "text", "what was said beside it; absent: nothing"),
        ),
    ),
)

TABLES: Final = "\n".join(
    (
        table(
            "job",
            "job TEXT NOT NULL, card TEXT NOT NULL, revision TEXT NOT NULL, digest TEXT NOT NULL, "
            "aircraft TEXT, position TEXT, opened_by TEXT NOT NULL",
            indexes=("job", "digest", "aircraft, position"),
        ),
        table(
            "job_assembly",
            "job TEXT NOT NULL, sort TEXT NOT NULL, assembly TEXT NOT NULL",
            part=True,
            indexes=("assembly",),
        ),
        table("job_closed", "job TEXT NOT NULL, closed_by TEXT NOT NULL, why TEXT", indexes=("job",)),
    )
)


class Job(NamedTuple):
    """A job.

    Attributes:
        job: its name, in capitals.
        card, revision, digest: the card that it works by.
        aircraft, position: msn and position, or nothing.
        assemblies: kind of assembly to its key, as `{"wheel": "EX-4410-1 WH-2231"}`.
        opened, opened_by: when, by whom.
        closed: when it was closed, or nothing.
        reference: the entry that opened it.
    """

    job: str
    card: str
    revision: str
    digest: str
    aircraft: str | None
    position: str | None
    assemblies: dict[str, str]
    opened: Moment
    opened_by: str
    closed: Moment | None
    reference: str


def _job_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    put(
        connection, "job", mark, mark.recorded,
        job=body["job"], card=body["card"], revision=body["revision"], digest=body["digest"],
        aircraft=body.get("aircraft"), position=body.get("position"), opened_by=mark.signer,
    )  # fmt: skip
    for part, (sort, key) in enumerate(sorted(body.get("assemblies", {}).items())):
        put(
            connection, "job_assembly", mark, mark.recorded,
            part=part, job=body["job"], sort=sort, assembly=key,
        )  # fmt: skip


def _closed_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    put(
        connection, "job_closed", mark, mark.recorded,
        job=body["job"], closed_by=mark.signer, why=body.get("why"),
    )  # fmt: skip


ROWS: Final = {"job": _job_rows, "job-closed": _closed_rows}

_Row: TypeAlias = tuple[str, int, str, str, str, str, str | None, str | None, Moment, str]
_COLUMNS: Final = "station, number, job, card, revision, digest, aircraft, position, recorded, opened_by"
_CLOSED_BY_THEN: Final = (
    "WHERE job_closed.job = job.job AND job_closed.at <= :at AND job_closed.known <= :known AND "
    + stands("job_closed")
)
_STANDING: Final = f"SELECT {_COLUMNS} FROM job WHERE {{condition}} AND known <= :known AND {stands('job')}"
_SELECT: Final = f"{_STANDING} ORDER BY recorded, station, number"


def job(connection: sqlite3.Connection, name: str, as_of: AsOf = LATEST) -> Job | None:
    """The job of this name, as it was first opened anywhere; closed if it was at the moment asked for."""
    row = connection.execute(
        _SELECT.format(condition="job = :job"), {"job": name, "known": as_of.known}
    ).fetchone()
    return _job(connection, row, as_of) if row else None


_FIRST_OF_ITS_NAME: Final = (
    "NOT EXISTS (SELECT 1 FROM job AS first WHERE first.job = job.job AND first.at <= :at AND first.known <= :known "
    f"AND {stands('first')} AND (first.recorded, first.station, first.number) "
    "< (job.recorded, job.station, job.number))"
)
_FIRST: Final = f"at <= :at AND {_FIRST_OF_ITS_NAME}"
_HELD: Final = 1000
"""Up to how many jobs are read at once."""


class Every(Collection[Job]):
    """Every job on record, oldest first, each once: read again whenever they are walked through, never held."""

    def __init__(self, connection: sqlite3.Connection, as_of: AsOf = LATEST) -> None:
        self._connection = connection
        self._as_of = as_of
        row: tuple[int] = connection.execute(
            f"SELECT count(*) FROM job WHERE {_FIRST} AND known <= :known AND {stands('job')}",
            as_of._asdict(),
        ).fetchone()
        self._count = row[0]

    def __iter__(self) -> Iterator[Job]:
        """Walk through them."""
        rows = self._connection.execute(_SELECT.format(condition=_FIRST), self._as_of._asdict())
        return (_job(self._connection, row, self._as_of) for row in rows)

    def __len__(self) -> int:
        return self._count

    def __contains__(self, name: object) -> bool:
        return any(each == name for each in self)

    def last(self) -> Job | None:
        """The one that was opened last."""
        row = self._connection.execute(
            f"{_STANDING.format(condition=_FIRST)} ORDER BY recorded DESC, station DESC, number DESC LIMIT 1",
            self._as_of._asdict(),
        ).fetchone()
        return _job(self._connection, row, self._as_of) if row else None

    def held(self) -> "tuple[Job, ...] | Every":
        """All of them where they are few; else themselves."""
        return tuple(self) if len(self) <= _HELD else self


_OPEN: Final = f"at <= :at AND NOT EXISTS (SELECT 1 FROM job_closed {_CLOSED_BY_THEN})"
_PERHAPS: Final = (
    "job IN (SELECT each.job FROM job AS each "
    "WHERE NOT EXISTS (SELECT 1 FROM job_closed WHERE job_closed.job = each.job) "
    "UNION SELECT job_closed.job FROM strike CROSS JOIN job_closed "
    "ON job_closed.station = strike.target_station AND job_closed.number = strike.target_number)"
)
"""Without a closing, or with a struck one: of the jobs that are done, which are most, only the indexes are read."""


def digest_of(connection: sqlite3.Connection, name: str, as_of: AsOf = LATEST) -> str | None:
    """The digest of the card that opened the job of this name, as it was first opened anywhere."""
    row = connection.execute(
        f"SELECT digest FROM job WHERE job = :job AND known <= :known AND {stands('job')} "
        "ORDER BY recorded, station, number LIMIT 1",
        {"job": name, "known": as_of.known},
    ).fetchone()
    return str(row[0]) if row else None


def of_card(connection: sqlite3.Connection, digest: str, as_of: AsOf = LATEST) -> Iterator[Job]:
    """The jobs that one revision of a card opened, oldest first."""
    rows = connection.execute(
        _SELECT.format(condition=f"at <= :at AND digest = :digest AND {_FIRST_OF_ITS_NAME}"),
        {"at": as_of.at, "known": as_of.known, "digest": digest},
    )
    return (_job(connection, row, as_of) for row in rows)


def open_jobs(connection: sqlite3.Connection, as_of: AsOf = LATEST) -> list[Job]:
    """The jobs that were open at a moment, oldest first."""
    rows = connection.execute(
        _SELECT.format(condition=f"{_PERHAPS} AND {_OPEN}" if as_of == LATEST else _OPEN),
        {"at": as_of.at, "known": as_of.known},
    ).fetchall()
    found: dict[str, Job] = {}
    for row in rows:
        found.setdefault(row[2], _job(connection, row, as_of))
    return list(found.values())


def names(connection: sqlite3.Connection) -> list[str]:
    """The names of all jobs."""
    return [name for (name,) in connection.execute("SELECT DISTINCT job FROM job ORDER BY job")]


def opened_by_card(connection: sqlite3.Connection, digest: str, as_of: AsOf = LATEST) -> list[str]:
    """The names of the jobs that a card opened: while there are any, the card cannot be struck."""
    rows = connection.execute(
        f"SELECT DISTINCT job FROM job WHERE digest = :digest AND known <= :known AND {stands('job')} "
        "ORDER BY job",
        {"digest": digest, "known": as_of.known},
    )
    return [name for (name,) in rows]


def opened_about(
    connection: sqlite3.Connection, *, assembly: str = "", aircraft: str = "", as_of: AsOf = LATEST
) -> list[str]:
    """The names of the jobs that name an assembly (by its key) or an aircraft (by its msn)."""
    rows = connection.execute(
        "SELECT DISTINCT job FROM job WHERE known <= :known AND (aircraft = :aircraft OR (station, number) IN "
        f"(SELECT station, number FROM job_assembly WHERE assembly = :assembly)) AND {stands('job')} ORDER BY job",
        {"assembly": assembly, "aircraft": aircraft, "known": as_of.known},
    )
    return [name for (name,) in rows]


def _job(connection: sqlite3.Connection, row: _Row, as_of: AsOf) -> Job:
    from torquelog.ledger.form import reference

    station, number, name, card, revision, digest, aircraft, position, recorded, opened_by = row
    assemblies = connection.execute(
        "SELECT sort, assembly FROM job_assembly WHERE station = ? AND number = ? ORDER BY part",
        (station, number),
    )
    return Job(
        name, card, revision, digest, aircraft, position, dict(assemblies.fetchall()), recorded, opened_by,
        _closed(connection, name, as_of), reference(station, number),
    )  # fmt: skip


def _closed(connection: sqlite3.Connection, name: str, as_of: AsOf) -> Moment | None:
    row = connection.execute(
        "SELECT at FROM job_closed WHERE job = :job AND at <= :at AND known <= :known "
        f"AND {stands('job_closed')} ORDER BY at, recorded, station, number LIMIT 1",
        {"job": name, "at": as_of.at, "known": as_of.known},
    ).fetchone()
    return int(row[0]) if row else None


def closing(connection: sqlite3.Connection, name: str, as_of: AsOf = LATEST) -> str | None:
    """The entry by which a job was closed, `QHR-000123`; None while it is open."""
    from torquelog.ledger.form import reference

    row = connection.execute(
        "SELECT station, number FROM job_closed WHERE job = :job AND at <= :at AND known <= :known "
        f"AND {stands('job_closed')} ORDER BY at, recorded, station, number LIMIT 1",
        {"job": name, "at": as_of.at, "known": as_of.known},
    ).fetchone()
    return reference(*row) if row else None


def owner_of(job: Job, group: Group) -> str:
    """Whose fasteners a group's are in a job: `assembly PART SERIAL` or `aircraft MSN POSITION`.

    A group that does not say what it sits on belongs to the one assembly that the job names, else to the
    position.

    Raises:
        TorquelogError: `job-owner` where the job names nothing that could carry the group.
    """
    if group.on == AIRCRAFT or not (group.on or job.assemblies):
        if job.aircraft and job.position:
            return position_owner(job.aircraft, job.position)
    else:
        key = job.assemblies.get(group.on) if group.on else _only(job.assemblies)
        if key:
            return assembly_owner(key)
    raise TorquelogError(
        "job-owner",
        f"{job.job} names nothing that could carry the group {group.id}.",
        why=f"The card says that it sits on: {group.on or 'one assembly, or the aircraft'}.",
    )


def _only(assemblies: dict[str, str]) -> str | None:
    return next(iter(assemblies.values())) if len(assemblies) == 1 else None
