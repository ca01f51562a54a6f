"""Recalls on record: what was opened, what was decided about which fasteners, what was closed or answered.

What a recall finds is not stored: it is asked of the record each time. Only the order in which its items were
numbered is kept, so that an item's number always means the same fastener. A run of fasteners is written as
its owner, group and numbers (`facts.fastener_runs`).
"""

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Final, NamedTuple

from torquelog.clock import Moment, from_offset_text
from torquelog.facts.fastener_runs import Fastener, run_of
from torquelog.facts.kinds import Body, Kind, Member, optional
from torquelog.facts.members import chosen, target
from torquelog.facts.rows import LATEST, AsOf, Mark, put, table
from torquelog.facts.stations import counts_here
from torquelog.facts.strikes import stands
from torquelog.ledger.form import reference as entry_reference

SUBJECTS: Final = ("wrench", "adapter", "tester", "lot", "person", "card", "shop")
"""By what a recall goes; none of them: every reading of its window."""

DECISIONS: Final = (
    "accepted", "re-tightened", "replaced", "not-affected", "removed-from-service", "scrapped", "notified",
)  # fmt: skip
FINAL: Final = frozenset(DECISIONS) - {"notified"}
"""What decides an item; a notice to another organisation waits for its reply."""

RELEASING: Final = frozenset({"accepted", "re-tightened", "replaced", "not-affected"})
"""What lets an assembly fly again."""

_RECALL: Final = (
    Member("recall", "identifier", "the recall's number"),
    Member("opened", "reference", "the entry that opened it"),
)

KINDS: Final = (
    Kind(
        "recall",
        (
            Member("recall", "identifier", "its number, as R-1; with the station it is unique"),
            optional("wrench", "identifier", "the wrench recalled; absent: not by a wrench"),
            optional("adapter", "identifier", "the adapter recalled; absent: not by an adapter"),
            optional("tester", "identifier", "the tester recalled; absent: not by a tester"),
            optional("lot", "text", "the lot of hardware recalled; absent: not by a lot"),
            optional("person", "identifier", "whose work is recalled; absent: not by a person"),
            optional("card", "identifier", "the card recalled; absent: not by a card"),
            optional(
                "shop",
                "identifier",
                "the station whose work on assemblies is recalled; absent: not by a shop",
            ),
            optional("revision", "text", "the only revision of the card that is meant; absent: all of them"),
            optional("calibration", "reference", "the certificate that it rests on; absent: on none"),
            Member("since", "moment", "the beginning of the window, included"),
            Member("until", "moment", "the end of the window, included"),
            optional("causes", "reference*", "the entries that called for it; absent: none did"),
            Member("items", "text*", "runs of fasteners in the order of their items' numbers, from 1"),
            optional("why", "text", "the reason; absent: its causes say it"),
        ),
        strikable=False,
    ),
    Kind(
        "disposition",
        (
            *_RECALL,
            Member("items", "text*", "runs of the fasteners that it decides"),
            Member("decision", "name", f"one of {', '.join(DECISIONS)}"),
            Member("why", "text", "the reason"),
            optional("reading", "reference", "the reading that tightened it again; absent: none is named"),
            optional("reference", "text", "the approved data or the letter behind it; absent: none"),
        ),
        strikable=False,
    ),
    Kind(
        "recall-closed",
        (
            *_RECALL,
            Member("readings", "count", "how many readings its window held at closing"),
            Member("items", "count", "how many fasteners they were"),
            Member("outside", "count", "how many of these were outside their limits"),
            Member("indeterminate", "count", "how many nobody could tell"),
            Member("within", "count", "how many were within their limits"),
            optional("why", "text", "what was said beside it; absent: nothing"),
        ),
        strikable=False,
    ),
    Kind(
        "recall-answer",
        (
            Member("entry", "reference", "the entry that called for a recall, which is not needed"),
            Member("why", "text", "the reason"),
        ),
        strikable=False,
    ),
)

_OF_RECALL: Final = "recall_station TEXT NOT NULL, recall_number INTEGER NOT NULL"
_RUN: Final = "owner TEXT NOT NULL, grp TEXT NOT NULL, first INTEGER NOT NULL, last INTEGER NOT NULL"

TABLES: Final = "\n".join(
    (
        table(
            "recall",
            "recall TEXT NOT NULL, subject TEXT NOT NULL, name TEXT NOT NULL, revision TEXT, "
            "calibration TEXT, since INTEGER NOT NULL, until INTEGER NOT NULL, signer TEXT NOT NULL, why TEXT",
            indexes=("recall",),
        ),
        table("recall_run", _RUN, part=True, indexes=("owner",)),
        table(
            "recall_cause",
            "cause_station TEXT NOT NULL, cause_number INTEGER NOT NULL",
            part=True,
            indexes=("cause_station, cause_number",),
        ),
        table(
            "recall_answer",
            "cause_station TEXT NOT NULL, cause_number INTEGER NOT NULL, signer TEXT NOT NULL, why TEXT NOT NULL",
            indexes=("cause_station, cause_number",),
        ),
        table(
            "disposition",
            f"{_OF_RECALL}, decision TEXT NOT NULL, why TEXT NOT NULL, reading TEXT, document TEXT, "
            "signer TEXT NOT NULL",
            indexes=("recall_station, recall_number",),
        ),
        table("disposition_run", _RUN, part=True, indexes=("owner",)),
        table(
            "recall_closed",
            f"{_OF_RECALL}, readings INTEGER NOT NULL, items INTEGER NOT NULL, outside INTEGER NOT NULL, "
            "indeterminate INTEGER NOT NULL, within INTEGER NOT NULL, signer TEXT NOT NULL, why TEXT",
            indexes=("recall_station, recall_number",),
        ),
    )
)


class Recall(NamedTuple):
    """A recall as it was opened.

    Attributes:
        station, number: its entry.
        recall: its number, as R-1.
        subject, name: one of `SUBJECTS` and what it names; both "" for a bare window.
        revision: of a card, the only one meant, or "".
        calibration: the certificate that it rests on, or "".
        since, until: the window, both included, in milliseconds since 1970 UTC.
        opened, opened_by: when, by whom.
        why: the reason, or "".
    """

    station: str
    number: int
    recall: str
    subject: str
    name: str
    revision: str
    calibration: str
    since: Moment
    until: Moment
    opened: Moment
    opened_by: str
    why: str

    @property
    def reference(self) -> str:
        """The entry that opened it."""
        return entry_reference(self.station, self.number)


class Disposition(NamedTuple):
    """A decision about fasteners of a recall.

    Attributes:
        station, number: its entry.
        decided: when it was recorded; known: when this file knew it.
        decision: one of `DECISIONS`.
        why: the reason.
        reading: the reading that tightened again, or "".
        document: the approved data or letter behind it, or "".
        signer: who decided.
    """

    station: str
    number: int
    decided: Moment
    known: Moment
    decision: str
    why: str
    reading: str
    document: str
    signer: str

    @property
    def reference(self) -> str:
        """The entry that decided."""
        return entry_reference(self.station, self.number)


class Closing(NamedTuple):
    """A closing with its frozen counts: readings, items, and the items by verdict."""

    station: str
    number: int
    closed: Moment
    readings: int
    items: int
    outside: int
    indeterminate: int
    within: int
    signer: str
    why: str

    @property
    def reference(self) -> str:
        """The entry that closed it."""
        return entry_reference(self.station, self.number)


def subject_of(body: Body) -> tuple[str, str]:
    """By what a recall's body goes, and what it names; both "" for a bare window."""
    return next(((name, body[name]) for name in SUBJECTS if name in body), ("", ""))


def _recall_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    subject, name = subject_of(body)
    put(
        connection, "recall", mark, mark.recorded,
        recall=body["recall"], subject=subject, name=name, revision=body.get("revision"),
        calibration=body.get("calibration"), since=from_offset_text(body["since"]),
        until=from_offset_text(body["until"]), signer=mark.signer, why=body.get("why"),
    )  # fmt: skip
    _put_runs(connection, "recall_run", mark, body)
    for part, cause in enumerate(body.get("causes", ())):
        station, number = target(cause)
        put(
            connection, "recall_cause", mark, mark.recorded,
            part=part, cause_station=station, cause_number=number,
        )  # fmt: skip


def _put_runs(connection: sqlite3.Connection, table_name: str, mark: Mark, body: Body) -> None:
    for part, text in enumerate(body["items"]):
        owner, group, first, last = run_of(text)
        put(
            connection, table_name, mark, mark.recorded,
            part=part, owner=owner, grp=group, first=first, last=last,
        )  # fmt: skip


def _disposition_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    station, number = target(body["opened"])
    put(
        connection, "disposition", mark, mark.recorded,
        recall_station=station, recall_number=number, decision=chosen("disposition", body, "decision", DECISIONS),
        why=body["why"], reading=body.get("reading"), document=body.get("reference"), signer=mark.signer,
    )  # fmt: skip
    _put_runs(connection, "disposition_run", mark, body)


def _closed_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    station, number = target(body["opened"])
    counts = {name: int(body[name]) for name in ("readings", "items", "outside", "indeterminate", "within")}
    put(
        connection, "recall_closed", mark, mark.recorded,
        recall_station=station, recall_number=number, **counts, signer=mark.signer, why=body.get("why"),
    )  # fmt: skip


def _answer_rows(connection: sqlite3.Connection, mark: Mark, body: Body) -> None:
    station, number = target(body["entry"])
    put(
        connection, "recall_answer", mark, mark.recorded,
        cause_station=station, cause_number=number, signer=mark.signer, why=body["why"],
    )  # fmt: skip


ROWS: Final = {
    "recall": _recall_rows,
    "disposition": _disposition_rows,
    "recall-closed": _closed_rows,
    "recall-answer": _answer_rows,
}

_SELECT: Final = (
    "SELECT station, number, recall, subject, name, coalesce(revision, ''), coalesce(calibration, ''), since, "
    "until, recorded, signer, coalesce(why, '') FROM recall WHERE at <= :at AND known <= :known"
)
_ORDER: Final = " ORDER BY recorded, station, number"


def recalls(connection: sqlite3.Connection, as_of: AsOf = LATEST) -> list[Recall]:
    """Every recall that was opened, oldest first."""
    return [Recall(*row) for row in connection.execute(_SELECT + _ORDER, as_of._asdict())]


def named(connection: sqlite3.Connection, name: str, as_of: AsOf = LATEST) -> list[Recall]:
    """The recalls with a number, of every station, oldest first."""
    named_so = {**as_of._asdict(), "recall": name}
    return [Recall(*row) for row in connection.execute(f"{_SELECT} AND recall = :recall{_ORDER}", named_so)]


def numbers(connection: sqlite3.Connection, station: str) -> list[str]:
    """The numbers of a station's recalls."""
    return [name for (name,) in connection.execute("SELECT recall FROM recall WHERE station = ?", (station,))]


def order(connection: sqlite3.Connection, recall: Recall) -> list[Fastener]:
    """The fasteners of a recall in the order in which its items were numbered at its opening."""
    rows = connection.execute(
        "SELECT owner, grp, first, last FROM recall_run WHERE station = ? AND number = ? ORDER BY part",
        (recall.station, recall.number),
    )
    return [(owner, grp, item) for owner, grp, first, last in rows for item in range(first, last + 1)]


def dispositions(
    connection: sqlite3.Connection, recall: Recall, as_of: AsOf = LATEST, *, owner: str | None = None
) -> Iterator[tuple[Disposition, Sequence[Fastener]]]:
    """The decisions of a recall, oldest first, each with its fasteners; of one owner where one is named.

    Those of another station than the one that opened it count where quality here has accepted that station.
    """
    bound = {
        "station": recall.station, "number": recall.number, "owner": owner,
        "at": as_of.at, "known": as_of.known,
    }  # fmt: skip
    rows = connection.execute(
        "SELECT disposition.station, disposition.number, disposition.recorded, disposition.known, decision, why, "
        "coalesce(reading, ''), coalesce(document, ''), signer, owner, grp, first, last FROM disposition "
        "JOIN disposition_run USING (station, number) WHERE recall_station = :station AND recall_number = :number "
        "AND disposition.at <= :at AND disposition.known <= :known AND coalesce(owner = :owner, 1) "
        f"AND (disposition.station = recall_station OR {counts_here('disposition')}) "
        "ORDER BY disposition.recorded, disposition.station, disposition.number, part",
        bound,
    )
    found: dict[tuple[str, int], tuple[Disposition, list[Fastener]]] = {}
    for row in rows:
        entry = found.setdefault((row[0], row[1]), (Disposition(*row[:9]), []))
        entry[1].extend((row[9], row[10], item) for item in range(row[11], row[12] + 1))
    return iter(found.values())


def closing(connection: sqlite3.Connection, recall: Recall, as_of: AsOf = LATEST) -> Closing | None:
    """The newest closing of a recall, or nothing."""
    row = connection.execute(
        "SELECT station, number, recorded, readings, items, outside, indeterminate, within, signer, "
        "coalesce(why, '') FROM recall_closed WHERE recall_station = :station AND recall_number = :number "
        "AND at <= :at AND known <= :known "
        f"AND (recall_closed.station = recall_station OR {counts_here('recall_closed')}) "
        "ORDER BY recorded DESC, station DESC, number DESC LIMIT 1",
        {"station": recall.station, "number": recall.number, "at": as_of.at, "known": as_of.known},
    ).fetchone()
    return Closing(*row) if row else None


def causes(connection: sqlite3.Connection, recall: Recall) -> list[str]:
    """The entries that called for a recall."""
    rows = connection.execute(
        "SELECT cause_station, cause_number FROM recall_cause WHERE station = ? AND number = ? ORDER BY part",
        (recall.station, recall.number),
    )
    return [entry_reference(*row) for row in rows]


def answered(connection: sqlite3.Connection, as_of: AsOf = LATEST) -> set[tuple[str, int]]:
    """The entries that called for a recall and have got one, or an answer, by somebody whose word counts here."""
    found: set[tuple[str, int]] = set()
    for name in ("recall_cause", "recall_answer"):
        rows: Iterable[Any] = connection.execute(
            f"SELECT cause_station, cause_number FROM {name} WHERE at <= :at AND known <= :known "
            f"AND {stands(name)} AND {counts_here(name)}",
            as_of._asdict(),
        )
        found.update(tuple(row) for row in rows)
    return found
