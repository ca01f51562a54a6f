"""People: who is enrolled, which keys they sign with, and which roles they hold when.

A key is known by the number of the entry that introduced it. A role to sign counts from the entry that grants
it; a role to perform may have begun earlier, where quality says so.
"""

import sqlite3
from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple

from torquelog.clock import Moment, from_offset_text
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.rows import END_OF_TIME, LATEST, AsOf, Mark, put, table

ROLES: Final = ("technician", "inspector", "crib", "quality")

FIRST: Final[Moment] = -62_135_596_800_000  # 0001-01-01: "has no beginning"

KINDS: Final = (
    Kind(
        "person",
        (
            Member("person", "identifier", "the person's id, as signed on a job card"),
            Member("name", "text", "full name"),
            optional("licence", "text", "licence number and kind; absent: none on record"),
            Member("roles", "name*", "roles granted from now on"),
            Member("code_key", "hex", "public key of the one-time code"),
            Member("code_until", "moment", "the code's end"),
        ),
        strikable=False,
    ),
    Kind(
        "code",
        (
            Member("person", "identifier", "who lost the passphrase"),
            Member("code_key", "hex", "public key of the new one-time code"),
            Member("code_until", "moment", "the code's end"),
        ),
        strikable=False,
    ),
    Kind(
        "key",
        (
            Member("person", "identifier", "whose key"),
            Member("public_key", "hex", "Ed25519 public key of the passphrase"),
            Member("kdf", "kdf", "how the passphrase becomes the key"),
            Member("possession", "hex", "the new key's signature over ledger, person and public key"),
        ),
        strikable=False,
    ),
    Kind(
        "role",
        (
            Member("person", "identifier", "whose role"),
            Member("role", "name", "technician, inspector, crib or quality"),
            Member("change", "name", "add or remove"),
            optional("since", "moment", "may perform from; absent: from the recording"),
            optional("until", "moment", "ends before; absent: until removed"),
            optional("inspects", "text", "what may be inspected; absent: no bound is on record"),
            optional("why", "text", "the reason; absent: none was asked"),
        ),
    ),
    Kind(
        "sign-in",
        (
            Member("public_key", "hex", "the fresh key of this sign-in"),
            Member("until", "moment", "its end"),
        ),
        strikable=False,
    ),
    Kind(
        "sign-out",
        (Member("sign_in", "reference", "the sign-in that ends here"),),
        strikable=False,
    ),
)

TABLES: Final = "\n".join(
    (
        table("person", "person TEXT NOT NULL, name TEXT NOT NULL, licence TEXT", indexes=("person",)),
        table(
            "signing_key",
            "person TEXT NOT NULL, level TEXT NOT NULL, public_key TEXT NOT NULL, until INTEGER, kdf TEXT",
            indexes=("person, level",),
        ),
        table(
            "role_change",
            "person TEXT NOT NULL, role TEXT NOT NULL, held INTEGER NOT NULL, since INTEGER, until INTEGER, "
            "inspects TEXT, why TEXT",
            part=True,
            indexes=("person",),
        ),
        table("sign_out", "sign_in INTEGER NOT NULL", indexes=("station, sign_in",)),
    )
)


class Person(NamedTuple):
    """A person as enrolled: id, full name, licence text or nothing, and the station that enrolled them."""

    person: str
    name: str
    licence: str | None
    station: str


class SigningKey(NamedTuple):
    """A key that may sign.

    Attributes:
        station, number: the entry that introduced it.
        person: whose it is.
        level: `own` (the first person's), `passphrase`, `sign-in` or `code`.
        public_key: 64 hex digits.
        until: the moment it ends (for a sign-in, a code), or nothing.
        kdf: JSON text of the derivation's parameters (for a passphrase), or nothing.
    """

    station: str
    number: int
    person: str
    level: str
    public_key: str
    until: Moment | None
    kdf: str | None


def add_person(
    connection: sqlite3.Connection, mark: Mark, person: str, name: str, licence: str | None
) -> None:
    """Write one person's row; also used by the entry that begins a station."""
    put(connection, "person", mark, mark.recorded, person=person, name=name, licence=licence)


def add_key(
    connection: sqlite3.Connection,
    mark: Mark,
    person: str,
    level: str,
    public_key: str,
    *,
    until: Moment | None = None,
    kdf: Body | None = None,
) -> None:
    """Write the row of a key that this entry introduces."""
    text = None
    if kdf is not None:
        from torquelog.ledger.form import canonical

        text = canonical(kdf)
    put(
        connection, "signing_key", mark, mark.recorded,
        person=person, level=level, public_key=public_key, until=until, kdf=text,
    )  # fmt: skip


def add_roles(
    connection: sqlite3.Connection, mark: Mark, person: str, roles: list[str], since: Moment | None
) -> None:
    """Write the grants of several roles at once; `since` is where performing may begin."""
    for part, role in enumerate(roles):
        put(
            connection, "role_change", mark, mark.recorded,
            part=part, person=person, role=role, held=1, since=since, until=None, inspects=None, why=None,
        )  # fmt: skip


def _person_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    add_person(connection, mark, body["person"], body["name"], body.get("licence"))
    add_roles(connection, mark, body["person"], body["roles"], None)
    _code_rows(connection, mark, body)


def _code_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    until = from_offset_text(body["code_until"])
    add_key(connection, mark, body["person"], "code", body["code_key"], until=until)


def _key_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    add_key(connection, mark, body["person"], "passphrase", body["public_key"], kdf=body["kdf"])


def _role_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    put(
        connection, "role_change", mark, mark.recorded,
        part=0, person=body["person"], role=body["role"], held=int(body["change"] == "add"),
        since=_moment(body, "since"), until=_moment(body, "until"),
        inspects=body.get("inspects"), why=body.get("why"),
    )  # fmt: skip


def _sign_in_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    add_key(connection, mark, mark.signer, "sign-in", body["public_key"], until=_moment(body, "until"))


def _sign_out_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    number = int(body["sign_in"].rpartition("-")[2])
    put(connection, "sign_out", mark, mark.recorded, sign_in=number)


def _moment(body: Body, name: str) -> Moment | None:
    return from_offset_text(body[name]) if name in body else None


ROWS: Final = {
    "person": _person_rows,
    "code": _code_rows,
    "key": _key_rows,
    "role": _role_rows,
    "sign-in": _sign_in_rows,
    "sign-out": _sign_out_rows,
}

_KEY_COLUMNS: Final = "station, number, person, level, public_key, until, kdf"


def signing_key(connection: sqlite3.Connection, station: str, number: int) -> SigningKey | None:
    """The key that the entry (station, number) introduced."""
    row = connection.execute(
        f"SELECT {_KEY_COLUMNS} FROM signing_key WHERE station = ? AND number = ?", (station, number)
    ).fetchone()
    return SigningKey(*row) if row else None


def signing_keys(connection: sqlite3.Connection, station: str) -> Iterator[SigningKey]:
    """Every key that a station's chain introduced, in the order of the entries."""
    rows = connection.execute(
        f"SELECT {_KEY_COLUMNS} FROM signing_key WHERE station = ? ORDER BY number", (station,)
    )
    return (SigningKey(*row) for row in rows)


def passphrase_key(connection: sqlite3.Connection, station: str, person: str) -> SigningKey | None:
    """The newest passphrase key of a person in one station's chain."""
    row = connection.execute(
        f"SELECT {_KEY_COLUMNS} FROM signing_key WHERE person = ? AND level IN ('own', 'passphrase') "
        "AND station = ? ORDER BY number DESC LIMIT 1",
        (person, station),
    ).fetchone()
    return SigningKey(*row) if row else None


def open_code(connection: sqlite3.Connection, station: str, person: str) -> SigningKey | None:
    """The newest one-time code of a person that has not been used yet."""
    row = connection.execute(
        f"SELECT {_KEY_COLUMNS} FROM signing_key WHERE person = ? AND station = ? "
        "AND level != 'sign-in' ORDER BY number DESC LIMIT 1",
        (person, station),
    ).fetchone()
    return SigningKey(*row) if row and row[3] == "code" else None


def signed_out(connection: sqlite3.Connection, station: str, sign_in: int) -> bool:
    """Whether the sign-in with this number was ended by its owner."""
    found = connection.execute(
        "SELECT 1 FROM sign_out WHERE station = ? AND sign_in = ?", (station, sign_in)
    ).fetchone()
    return found is not None


def person(connection: sqlite3.Connection, name: str, as_of: AsOf = LATEST) -> Person | None:
    """The person with this id, as first enrolled anywhere."""
    row = connection.execute(
        "SELECT person, name, licence, station FROM person WHERE person = ? AND known <= ? "
        "ORDER BY recorded, station, number LIMIT 1",
        (name, as_of.known),
    ).fetchone()
    return Person(*row) if row else None


def ids(connection: sqlite3.Connection) -> list[str]:
    """Every id that is taken, whoever enrolled it."""
    return [name for (name,) in connection.execute("SELECT DISTINCT person FROM person ORDER BY person")]


def people(connection: sqlite3.Connection, station: str) -> list[Person]:
    """Everybody whom a station enrolled, by id."""
    rows = connection.execute(
        "SELECT person, name, licence, station FROM person WHERE station = ? GROUP BY person ORDER BY person",
        (station,),
    )
    return [Person(*row) for row in rows]


class RoleChange(NamedTuple):
    """A role given or taken: whether it is held now, since when to perform, until when, when told, and what for."""

    role: str
    held: int
    since: Moment | None
    until: Moment | None
    recorded: Moment
    inspects: str | None


_CHANGES: Final = (
    "SELECT role, held, since, until, recorded, inspects FROM role_change "
    "WHERE person = ? AND station = ? AND known <= ? "
    "AND NOT EXISTS (SELECT 1 FROM strike WHERE strike.target_station = role_change.station "
    "AND strike.target_number = role_change.number AND strike.known <= ?) ORDER BY number, part"
)


def roles_to_sign(
    connection: sqlite3.Connection, station: str, person: str, moment: Moment, as_of: AsOf = LATEST
) -> frozenset[str]:
    """The roles by which a person's signature counts at `moment`, by the grants on record so far."""
    return signing_roles(role_changes(connection, station, person, as_of.known), moment)


def role_changes(
    connection: sqlite3.Connection, station: str, person: str, known: Moment = LATEST.known
) -> tuple[RoleChange, ...]:
    """Every standing grant and removal of a person's roles in one station's chain, in its order."""
    return tuple(map(RoleChange._make, connection.execute(_CHANGES, (person, station, known, known))))


def signing_roles(changes: Iterable[RoleChange], moment: Moment) -> frozenset[str]:
    """The roles that these changes leave for signing at a moment."""
    held: dict[str, Moment | None] = {}
    for role, given, _, until, _, _ in changes:
        held.pop(role, None)
        if given:
            held[role] = until
    return frozenset(role for role, until in held.items() if until is None or moment < until)


def roles_to_perform(
    connection: sqlite3.Connection, station: str, person: str, moment: Moment, as_of: AsOf = LATEST
) -> frozenset[str]:
    """The roles that a person held for work done at `moment`; a grant may say that it began earlier."""
    return performing_roles(role_changes(connection, station, person, as_of.known), moment)


def performing_roles(changes: Iterable[RoleChange], moment: Moment) -> frozenset[str]:
    """The roles that these changes leave for work done at a moment."""
    held: dict[str, bool] = {}
    for role, given, since, until, recorded, _ in changes:
        begins = recorded if since is None else since
        if begins <= moment:
            held[role] = bool(given) and (until is None or moment < until)
    return frozenset(role for role, holds in held.items() if holds)


def roles_stay_until(changes: Iterable[RoleChange], moment: Moment) -> Moment:
    """The first moment after this one at which these changes may leave other roles, to perform or to sign."""
    begin_or_end = (
        at
        for change in changes
        for at in (change.since, change.recorded, change.until)
        if at is not None and at > moment
    )
    return min(begin_or_end, default=END_OF_TIME)


class Grant(NamedTuple):
    """A role as somebody holds it: its end (exclusive) and what may be inspected, each where one is on record."""

    role: str
    until: Moment | None
    inspects: str | None


def grants(connection: sqlite3.Connection, station: str, person: str, moment: Moment) -> list[Grant]:
    """The roles that a person holds at `moment`, in the order of `ROLES`."""
    held: dict[str, Grant] = {}
    for role, given, _, until, _, inspects in role_changes(connection, station, person):
        held.pop(role, None)
        if given and (until is None or moment < until):
            held[role] = Grant(role, until, inspects)
    return [held[role] for role in ROLES if role in held]


def holders(connection: sqlite3.Connection, station: str, role: str, moment: Moment) -> list[str]:
    """Who may sign in a role at `moment` and has a key of their own, by id."""
    names = connection.execute(
        "SELECT DISTINCT person FROM signing_key WHERE station = ? AND level IN ('own', 'passphrase') "
        "ORDER BY person",
        (station,),
    ).fetchall()
    return [name for (name,) in names if role in roles_to_sign(connection, station, name, moment)]
