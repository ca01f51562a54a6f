"""Cards on record: drafts, who approved them, and which revision may open a job."""

import sqlite3
from functools import lru_cache
from typing import Final, NamedTuple

from torquelog.clock import Moment
from torquelog.errors import TorquelogError
from torquelog.facts.card_form import Card, Content, card_from
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.rows import LATEST, AsOf, Mark, put, table
from torquelog.facts.strikes import stands

KINDS: Final = (
    Kind(
        "card",
        (
            Member("card", "identifier", "the card's name"),
            Member("revision", "text", "the revision of its document"),
            Member("document", "text", "the approved data it was copied from"),
            Member("date", "date", "the date of that revision"),
            Member("title", "text", "what is done"),
            optional("kind", "name", "whose cautions it bears; absent: none"),
            Member("content", "object", "the whole card; text, lists and objects, a yes is the word yes"),
            Member("digest", "hex", "SHA-256 of the content's canonical text"),
        ),
    ),
    Kind(
        "card-approval",
        (
            Member("card", "identifier", "the card's name"),
            Member("revision", "text", "its revision"),
            Member("digest", "hex", "the digest of the content that was checked against the document"),
            optional("own", "yes", "the drafter approved, as nobody else could; absent: a second person did"),
            optional("why", "text", "the reason; absent: none was asked"),
        ),
    ),
)

TABLES: Final = "\n".join(
    (
        table(
            "card",
            "card TEXT NOT NULL, revision TEXT NOT NULL, digest TEXT NOT NULL, title TEXT NOT NULL, "
            "document TEXT NOT NULL, date TEXT NOT NULL, content TEXT NOT NULL, drafter TEXT NOT NULL",
            indexes=("card", "digest"),
        ),
        table(
            "card_approval",
            "card TEXT NOT NULL, revision TEXT NOT NULL, digest TEXT NOT NULL, approver TEXT NOT NULL, "
            "own INTEGER NOT NULL, why TEXT",
            indexes=("card", "digest, at"),
        ),
    )
)


class Approval(NamedTuple):
    """An approval: its entry, who gave it when, whether it was the drafter, and the reason then."""

    station: str
    number: int
    at: Moment
    approver: str
    own: bool
    why: str | None


class Listed(NamedTuple):
    """A revision of a card as a list shows it, with its first approval if it has one."""

    card: str
    revision: str
    digest: str
    title: str
    document: str
    date: str
    drafter: str
    loaded: Moment
    approval: Approval | None


def _card_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    from torquelog.ledger.form import canonical

    _check_content(body)
    put(
        connection, "card", mark, mark.recorded,
        card=body["card"], revision=body["revision"], digest=body["digest"], title=body["title"],
        document=body["document"], date=body["date"], content=canonical(body["content"]), drafter=mark.signer,
    )  # fmt: skip


def _check_content(body: Body) -> None:
    """Raise `body-form` unless the content is a card, the one that the other members name."""
    try:
        card = card_from(body["content"])
        named = [getattr(card, name) for name in ("card", "revision", "document", "date", "title", "digest")]
    except (TorquelogError, LookupError, TypeError, ValueError, AttributeError, RecursionError):
        named = []
    if named != [body[name] for name in ("card", "revision", "document", "date", "title", "digest")]:
        raise TorquelogError(
            "body-form", "An entry of kind card cannot be taken: its content is not the card that it names."
        )


def _approval_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    put(
        connection, "card_approval", mark, mark.recorded,
        card=body["card"], revision=body["revision"], digest=body["digest"], approver=mark.signer,
        own=int("own" in body), why=body.get("why"),
    )  # fmt: skip


ROWS: Final = {"card": _card_rows, "card-approval": _approval_rows}

# A signature of another station counts from when quality here accepts that station.
_COUNTS_HERE: Final = (
    "(card_approval.station IN (SELECT station FROM home) OR EXISTS (SELECT 1 FROM station_acceptance "
    "WHERE station_acceptance.station IN (SELECT station FROM home) "
    "AND station_acceptance.code = card_approval.station AND station_acceptance.known <= :known AND "
    + stands("station_acceptance")
    + "))"
)
_APPROVED: Final = (
    "card_approval.at <= :at AND card_approval.known <= :known AND "
    + stands("card_approval")
    + f" AND {_COUNTS_HERE}"
)
_DRAFTS: Final = (
    "SELECT content, digest, drafter, station, number FROM card "
    f"WHERE {{condition}} AND card.known <= :known AND {stands('card')} "
)


@lru_cache(maxsize=64)
def _read(content: str, digest: str) -> Card:
    # Named by its digest, a card never changes; several readings in one run ask for the same one.
    from json import loads

    return card_from(loads(content), digest)


def _card(row: tuple[str, str, str, str, int]) -> Card:
    from torquelog.ledger.form import reference

    content, digest, drafter, station, number = row
    return _read(content, digest)._replace(drafter=drafter, reference=reference(station, number))


def newest_approved(connection: sqlite3.Connection, name: str, as_of: AsOf = LATEST) -> Card | None:
    """The newest revision of a card that was approved at a moment: the only one that opens a job."""
    row = connection.execute(
        _DRAFTS.format(condition="card = :name")
        + "AND EXISTS (SELECT 1 FROM card_approval WHERE card_approval.digest = card.digest "
        f"AND {_APPROVED}) ORDER BY recorded DESC, station DESC, number DESC LIMIT 1",
        {"name": name, "at": as_of.at, "known": as_of.known},
    ).fetchone()
    return _card(row) if row else None


def newest(connection: sqlite3.Connection, name: str, as_of: AsOf = LATEST) -> Card | None:
    """The newest revision of a card, approved or not."""
    row = connection.execute(
        _DRAFTS.format(condition="card = :name")
        + "ORDER BY recorded DESC, station DESC, number DESC LIMIT 1",
        {"name": name, "known": as_of.known},
    ).fetchone()
    return _card(row) if row else None


def card_of_revision(
    connection: sqlite3.Connection, name: str, revision: str, as_of: AsOf = LATEST
) -> Card | None:
    """A revision of a card, as it was first loaded anywhere."""
    row = connection.execute(
        _DRAFTS.format(condition="card = :name AND revision = :revision")
        + "ORDER BY recorded, station, number LIMIT 1",
        {"name": name, "revision": revision, "known": as_of.known},
    ).fetchone()
    return _card(row) if row else None


def card_by_digest(connection: sqlite3.Connection, digest: str) -> Card | None:
    """The card with this digest, struck or not: what was opened by it keeps it."""
    row = connection.execute(
        "SELECT content, digest, drafter, station, number FROM card WHERE digest = ? "
        "ORDER BY recorded, station, number LIMIT 1",
        (digest,),
    ).fetchone()
    return _card(row) if row else None


def approval(connection: sqlite3.Connection, digest: str, as_of: AsOf = LATEST) -> Approval | None:
    """The first approval of the card with this digest that counts here."""
    row = connection.execute(
        "SELECT station, number, at, approver, own, why FROM card_approval "
        f"WHERE digest = :digest AND {_APPROVED} ORDER BY at, recorded, station, number LIMIT 1",
        {"digest": digest, "at": as_of.at, "known": as_of.known},
    ).fetchone()
    return Approval._make(row)._replace(own=bool(row[4])) if row else None


def content_of(connection: sqlite3.Connection, digest: str) -> Content:
    """The content of the card with this digest; empty where it is not on record."""
    from json import loads

    row = connection.execute("SELECT content FROM card WHERE digest = ? LIMIT 1", (digest,)).fetchone()
    content: Content = loads(row[0]) if row else {}
    return content


def digests(connection: sqlite3.Connection) -> list[str]:
    """The digests of every revision of every card."""
    return [digest for (digest,) in connection.execute("SELECT DISTINCT digest FROM card ORDER BY digest")]


def names(connection: sqlite3.Connection) -> list[str]:
    """The names of all cards."""
    return [name for (name,) in connection.execute("SELECT DISTINCT card FROM card ORDER BY card")]


def listed(connection: sqlite3.Connection, as_of: AsOf = LATEST) -> list[Listed]:
    """Every revision of every card, by name, oldest first."""
    rows = connection.execute(
        "SELECT card, revision, digest, title, document, date, drafter, at FROM card "
        f"WHERE known <= :known AND {stands('card')} ORDER BY card, recorded, station, number",
        {"known": as_of.known},
    ).fetchall()
    return [Listed._make((*row, approval(connection, row[2], as_of))) for row in rows]
