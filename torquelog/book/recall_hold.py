"""What a recall holds back: an assembly on which something is undecided, or was decided against flying."""

import sqlite3
from collections.abc import Iterator
from typing import NamedTuple

from torquelog.book.recall_causes import pending
from torquelog.book.recall_doubts import TOOLS, rested_on, scope_of, scope_of_cause
from torquelog.book.recall_items import decisions, readings_of
from torquelog.book.recall_judging import Scope
from torquelog.book.standing import undoings, undone
from torquelog.clock import Moment
from torquelog.facts import recalls, uses
from torquelog.facts.assemblies import assembly_owner
from torquelog.facts.readings import Reading
from torquelog.facts.recalls import RELEASING, Recall
from torquelog.facts.rows import END_OF_TIME, LATEST, AsOf
from torquelog.facts.tracing import Traced, jobs_of_card, traced
from torquelog.rules import recall_item


class Held(NamedTuple):
    """Why an assembly is held back by a recall.

    Attributes:
        recall: its number, or "" for a pending one.
        entry: the entry that opened it, or that calls for it.
        text: the reason, a sentence.
    """

    recall: str
    entry: str
    text: str


def held_by_recall(connection: sqlite3.Connection, key: str, as_of: AsOf = LATEST) -> Held | None:
    """Why a recall, open or pending, holds an assembly back, or nothing.

    Whatever the recalled tool did on it has to be decided first; what was decided against flying holds it for
    as long as it stands.

    Args:
        connection: the record.
        key: the assembly's part and serial number.
        as_of: `at` bounds when recalls were opened and their causes recorded.
    """
    owner = assembly_owner(key)
    for recall in recalls.recalls(connection, as_of):
        held = _undecided(connection, recall, owner, as_of)
        if held is not None:
            return held
    for cause in pending(connection, as_of):
        if _concerned(connection, scope_of_cause(cause), owner, as_of):
            return Held("", cause.reference, cause.text)
    return None


def _undecided(connection: sqlite3.Connection, recall: Recall, owner: str, as_of: AsOf) -> Held | None:
    concerned = _concerned(connection, scope_of(recall), owner, as_of)
    if not concerned:
        return None
    newest = decisions(connection, recall, AsOf(END_OF_TIME, as_of.known), owner=owner)
    for each in concerned:
        reading = each.reading
        disposition = newest.get((owner, reading.group, reading.item))
        if disposition is None or not recall_item.stands(reading, each.known, disposition):
            text = f"What recall {recall.recall} found on it is not decided yet."
            return Held(recall.recall, recall.reference, text)
        if disposition.decision not in RELEASING and _stands(connection, reading):
            words = disposition.decision.replace("-", " ")
            return Held(recall.recall, recall.reference, f"Recall {recall.recall} decided: {words}.")
    return None


def _stands(connection: sqlite3.Connection, reading: Reading) -> bool:
    by = undoings(connection, reading.owner, reading.group, {reading.job}, reading.at)
    return undone(reading, by) is None


def _concerned(connection: sqlite3.Connection, scope: Scope, owner: str, as_of: AsOf) -> list[Traced]:
    """Which readings of an assembly a recall names."""
    known = AsOf(END_OF_TIME, as_of.known)
    if scope.subject == "tester":
        spans = rested_on(connection, scope, known)
        return [
            each for wrench, begins, ends in spans for each in _of_owner(connection, owner, begins, ends, known)
            if wrench in uses.tools_of(connection, each.reading.station, each.reading.number)
        ]  # fmt: skip
    inside = list(_of_owner(connection, owner, scope.since, scope.until + 1, known))
    if not inside:
        return []
    if scope.subject in TOOLS:
        return [
            each for each in inside
            if scope.name in uses.tools_of(connection, each.reading.station, each.reading.number)
        ]  # fmt: skip
    if scope.subject == "person":
        return [each for each in inside if each.reading.performed_by == scope.name]
    if scope.subject == "shop":
        return [each for each in inside if each.reading.station == scope.name]
    if scope.subject == "card":
        named = set(jobs_of_card(connection, scope.name, known, scope.revision))
        return [each for each in inside if each.reading.job in named]
    if scope.subject == "lot":
        entries = {
            (each.reading.station, each.reading.number) for each in readings_of(connection, scope, known)
        }
        return [each for each in inside if (each.reading.station, each.reading.number) in entries]
    return inside


def _of_owner(
    connection: sqlite3.Connection, owner: str, since: Moment, until: Moment, as_of: AsOf
) -> Iterator[Traced]:
    return traced(connection, "owner", owner, since, until, as_of)
