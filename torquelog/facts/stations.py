"""Stations: the entry that begins a chain, the station's rules over time, and what is held of other chains."""

import sqlite3
from collections.abc import Iterable
from typing import Any, Final, NamedTuple

from torquelog.clock import Moment, from_utc_text
from torquelog.facts import people
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.rows import LATEST, AsOf, Mark, put, table

DEFAULTS: Final[dict[str, str]] = {
    "due-through": "day",
    "shift-hours": "12",
    "idle-minutes": "60",
    "gap-hours": "36",
    "accuracy-share": "50",
    "late-minutes": "30",
    "reliability-percent": "95",
    "hands-seconds": "4",
    "burst-count": "5",
    "burst-minutes": "2",
    "inspection-minutes": "2",
    "places-minutes": "5",
    "review-late-hours": "24",
}

KINDS: Final = (
    Kind(
        "station",
        (
            Member("code", "station", "the station's code; names the chain"),
            Member("zone", "text", "IANA time zone"),
            Member("policies", "object", "rule name to value, as `station set` takes them"),
            Member("nonce", "hex", "random bytes: two ledgers never begin alike"),
            Member("person", "identifier", "the first person's id"),
            Member("name", "text", "the first person's full name"),
            optional("licence", "text", "licence number and kind; absent: none on record"),
            Member("public_key", "hex", "Ed25519 public key of the first person's passphrase"),
            Member("kdf", "kdf", "how the passphrase becomes the key"),
        ),
        strikable=False,
    ),
    Kind(
        "rule",
        (
            Member("rule", "name", "the rule's name"),
            Member("value", "text", "its value from now on"),
            optional("why", "text", "the reason; absent: none was asked"),
        ),
        strikable=False,
    ),
    Kind("clock", (Member("why", "text", "why the head's time is ahead of now"),), strikable=False),
    Kind(
        "resumed",
        (
            Member("head", "count", "the number of the last entry that the restored copy holds"),
            Member("digest", "hex", "the digest of that entry"),
            Member("why", "text", "why an older copy had to be put back"),
        ),
        strikable=False,
    ),
    Kind(
        "station-accepted",
        (
            Member("code", "station", "the station whose signatures count here from now on"),
            Member("identity", "hex", "the digest of that station's first entry"),
            Member("why", "text", "the reason"),
        ),
    ),
    Kind(
        "taken-in",
        (
            Member("code", "station", "whose chain"),
            Member("through", "count", "the number up to which it is held, without a gap"),
            Member("digest", "hex", "the digest of that entry"),
        ),
        strikable=False,
    ),
    Kind(
        "checkpoint",
        (
            Member("through", "count", "the number of the last entry that the checkpoint covers"),
            Member("digest", "hex", "the digest of that entry"),
        ),
        strikable=False,
    ),
)

TABLES: Final = "\n".join(
    (
        table("station", "code TEXT NOT NULL, zone TEXT NOT NULL, identity TEXT NOT NULL", indexes=("code",)),
        table(
            "station_rule",
            "rule TEXT NOT NULL, value TEXT NOT NULL, why TEXT",
            part=True,
            indexes=("rule, station",),
        ),
        table("clock_release", "why TEXT NOT NULL"),
        table("resumption", "head INTEGER NOT NULL, digest TEXT NOT NULL, why TEXT NOT NULL"),
        table("station_acceptance", "code TEXT NOT NULL, identity TEXT NOT NULL", indexes=("code",)),
        table(
            "taken_in",
            "code TEXT NOT NULL, through INTEGER NOT NULL, digest TEXT NOT NULL",
            indexes=("code",),
        ),
        table("checkpoint", "through INTEGER NOT NULL, digest TEXT NOT NULL"),
    )
)


class Station(NamedTuple):
    """A station: its code, its time zone's name, and the digest of its first entry, the ledger's identity."""

    code: str
    zone: str
    identity: str


class Rules(NamedTuple):
    """A station's rules as of a moment.

    Attributes:
        number: the entry that set the newest of them; a judgement names it as its rule set.
        due_through: `day` or `month`: a tool may be used to the end of its due day, or of that month.
        values: every rule's value as text, by name.
    """

    number: int
    due_through: str
    values: dict[str, str]

    def whole(self, name: str) -> int:
        """A rule's value as a whole number, in the unit that its name says."""
        return int(self.values[name])


def _station_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    put(
        connection, "station", mark, mark.recorded,
        code=body["code"], zone=body["zone"], identity=_identity(connection, mark),
    )  # fmt: skip
    for part, (rule, value) in enumerate(sorted(body["policies"].items())):
        _put_rule(connection, mark, part, rule, value)
    people.add_person(connection, mark, body["person"], body["name"], body.get("licence"))
    people.add_key(connection, mark, body["person"], "own", body["public_key"], kdf=body["kdf"])
    people.add_roles(connection, mark, body["person"], list(people.ROLES), people.FIRST)


def _identity(connection: sqlite3.Connection, mark: Mark) -> str:
    from torquelog.ledger.form import digest
    from torquelog.ledger.store import entry_at

    stored = entry_at(connection, mark.station, mark.number)
    assert stored is not None  # noqa: S101  an entry's rows are written after the entry itself
    return digest(stored.text)


def _put_rule(
    connection: sqlite3.Connection, mark: Mark, part: int, rule: str, value: str, why: str | None = None
) -> None:
    put(connection, "station_rule", mark, mark.recorded, part=part, rule=rule, value=value, why=why)


def _rule_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    _put_rule(connection, mark, 0, body["rule"], body["value"], body.get("why"))


def _clock_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    put(connection, "clock_release", mark, mark.recorded, why=body["why"])


def _resumed_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    put(
        connection,
        "resumption",
        mark,
        mark.recorded,
        head=int(body["head"]),
        digest=body["digest"],
        why=body["why"],
    )


def _accepted_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    put(connection, "station_acceptance", mark, mark.recorded, code=body["code"], identity=body["identity"])


def _through_rows(table_name: str) -> Any:
    def write(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
        extra = {"code": body["code"]} if "code" in body else {}
        put(
            connection, table_name, mark, mark.recorded,
            **extra, through=int(body["through"]), digest=body["digest"],
        )  # fmt: skip

    return write


ROWS: Final = {
    "station": _station_rows,
    "rule": _rule_rows,
    "clock": _clock_rows,
    "resumed": _resumed_rows,
    "station-accepted": _accepted_rows,
    "taken-in": _through_rows("taken_in"),
    "checkpoint": _through_rows("checkpoint"),
}


def station(connection: sqlite3.Connection, code: str) -> Station | None:
    """The station that a chain begins with."""
    row = connection.execute(
        "SELECT code, zone, identity FROM station WHERE station = ? AND number = 1", (code,)
    ).fetchone()
    return Station(*row) if row else None


def stations(connection: sqlite3.Connection) -> list[Station]:
    """Every station whose chain this file holds, by code."""
    rows = connection.execute("SELECT code, zone, identity FROM station ORDER BY code")
    return [Station(*row) for row in rows]


def rules(connection: sqlite3.Connection, code: str, as_of: AsOf = LATEST) -> Rules:
    """A station's rules as of a moment; what the station never set has its default.

    A moment before the station began is answered with the rules that it began with.
    """
    return rules_at(rule_changes(connection, code, as_of.known), as_of.at)


class RuleChange(NamedTuple):
    """A rule's new value: the entry that set it, and since when it counts."""

    rule: str
    value: str
    number: int
    at: Moment


def rule_changes(
    connection: sqlite3.Connection, code: str, known: Moment = LATEST.known
) -> tuple[RuleChange, ...]:
    """Every value that a station ever gave to one of its rules, in the order of its chain."""
    rows = connection.execute(
        "SELECT rule, value, number, at FROM station_rule WHERE station = ? AND known <= ? ORDER BY number, part",
        (code, known),
    )
    return tuple(map(RuleChange._make, rows))


def rules_at(changes: Iterable[RuleChange], at: Moment) -> Rules:
    """The rules as these changes leave them at a moment; those that the station began with always count."""
    values = dict(DEFAULTS)
    newest = 1
    for rule, value, number, since in changes:
        if since <= at or number == 1:
            values[rule] = value
            newest = number
    return Rules(newest, values["due-through"], values)


def released_since(connection: sqlite3.Connection, station: str, number: int) -> bool:
    """Whether a time of the future was released after the entry with this number: what it began is over then."""
    row = connection.execute(
        "SELECT 1 FROM clock_release WHERE station = ? AND number > ?", (station, number)
    ).fetchone()
    return row is not None


def resumed_after(connection: sqlite3.Connection, station: str, number: int) -> int | None:
    """The newest entry by which a chain went on from a restored copy that ended before `number`, or None."""
    row = connection.execute(
        "SELECT max(number) FROM resumption WHERE station = ? AND head < ?", (station, number)
    ).fetchone()
    return int(row[0]) if row[0] is not None else None


def held_through(connection: sqlite3.Connection, own: str, other: str) -> tuple[int, str] | None:
    """Up to which number, with which digest, this station's chain says that it holds another's chain."""
    row: tuple[int, str] | None = connection.execute(
        "SELECT through, digest FROM taken_in WHERE station = ? AND code = ? ORDER BY number DESC LIMIT 1",
        (own, other),
    ).fetchone()
    return row


def held_as_of(connection: sqlite3.Connection, own: str, other: str, as_of: AsOf = LATEST) -> Moment | None:
    """When the last entry was made that this station holds of another's chain; nothing where it holds none."""
    from torquelog.ledger.form import parse_entry
    from torquelog.ledger.store import entry_at

    row = connection.execute(
        "SELECT max(through) FROM taken_in WHERE station = ? AND code = ? AND known <= ?",
        (own, other, as_of.known),
    ).fetchone()
    stored = entry_at(connection, other, row[0]) if row[0] is not None else None
    return from_utc_text(parse_entry(stored.text).recorded_at) if stored else None


def accepted(connection: sqlite3.Connection, own: str, other: str) -> bool:
    """Whether quality here has accepted another station's signatures."""
    row = connection.execute(
        "SELECT 1 FROM station_acceptance WHERE station = ? AND code = ? AND NOT EXISTS (SELECT 1 FROM strike "
        "WHERE target_station = station_acceptance.station AND target_number = station_acceptance.number)",
        (own, other),
    ).fetchone()
    return row is not None


def counts_here(table_name: str) -> str:
    """SQL for "this row's entry is of this file's own station, or of one that quality here has accepted".

    Bind the parameter `known`.
    """
    return (
        f"({table_name}.station IN (SELECT station FROM home) OR EXISTS (SELECT 1 FROM station_acceptance "
        "WHERE station_acceptance.station IN (SELECT station FROM home) "
        f"AND station_acceptance.code = {table_name}.station AND station_acceptance.known <= :known AND NOT EXISTS "
        "(SELECT 1 FROM strike WHERE strike.target_station = station_acceptance.station "
        "AND strike.target_number = station_acceptance.number AND strike.known <= :known)))"
    )
