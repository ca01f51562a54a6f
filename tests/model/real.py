"""The same entries put into the fact tables, in any order, and what the code under test says of them."""

import sqlite3
from collections.abc import Iterable
from functools import cache
from types import SimpleNamespace
from typing import Any

from tests.model.naive_fastener import Found
from tests.model.stories import CARD, prelude
from tests.model.told import Told
from torquelog.book.fasteners import fastener_state
from torquelog.clock import Moment, SetClock
from torquelog.facts import cards, jobs, registry
from torquelog.facts.card_form import digest_of
from torquelog.facts.rows import AsOf, Mark
from torquelog.ledger.database import scratch
from torquelog.ledger.tables import LEDGER_SCHEMA
from torquelog.quality.trace import Trace, trace
from torquelog.rules.closing import why_open
from torquelog.rules.fastener import passed_over

DIGEST = digest_of(CARD)
PRELUDE = prelude(DIGEST)


def laid(order: Iterable[Told]) -> sqlite3.Connection:
    """Tables in memory with what was there before, and these entries' rows in this order."""
    connection = sqlite3.connect(":memory:", isolation_level=None)
    _before().backup(connection)
    _add(connection, order)
    return connection


@cache
def _before() -> sqlite3.Connection:
    connection = scratch(LEDGER_SCHEMA + registry.schema())
    _add(connection, PRELUDE)
    return connection


def _add(connection: sqlite3.Connection, entries: Iterable[Told]) -> None:
    for each in entries:
        registry.check(each.kind, each.body)
        mark = Mark(each.station, each.number, each.recorded, each.known, "TK", 1)
        registry.add_rows(connection, each.kind, mark, each.body)


def everything_in(connection: sqlite3.Connection) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table, sorted."""
    names = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name").fetchall()
    return {name: sorted(connection.execute(f"SELECT * FROM {name}"), key=repr) for (name,) in names}


def fastener(
    connection: sqlite3.Connection, job: str, group_id: str, item: int, at: Moment, known: Moment
) -> Found:
    """How a fastener stands, in the words of the model."""
    as_of = AsOf(at, known)
    found, card = jobs.job(connection, job), cards.card_by_digest(connection, DIGEST)
    assert found
    assert card
    group = card.group(group_id)
    assert group
    state = fastener_state(connection, job, jobs.owner_of(found, group), group, item, as_of)
    why = why_open(state, group)
    governing = state.governing
    return Found(
        tight=state.tight, tight_in=state.tight_in, loosen_first=state.loosen_first, reason=why[0] if why else None,
        done=None if state.loosen_first else state.done,
        governing=f"{governing.station}-{governing.number:06d}" if governing else None,
        waiting=tuple(f"{each.station}-{each.number:06d}" for each in state.waiting), locked=state.locked,
        passed_over=not state.loosen_first and passed_over(state, job),
        stands=governing.slot[1] if governing and governing.job == job and not governing.slot[0] else 0,
    )  # fmt: skip


def traced(connection: sqlite3.Connection, kind: str, name: str, as_of: Moment | None) -> Trace:
    """A trace over these tables alone."""
    book = SimpleNamespace(connection=connection, station="QHR", clock=SetClock(1 << 50))
    return trace(book, kind, name, as_of=as_of)  # type: ignore[arg-type]  # all that a trace asks of a book
