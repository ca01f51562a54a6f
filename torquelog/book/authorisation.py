"""Does this entry's signature count? The facts gathered from the record, handed to the rule."""

import sqlite3
from collections.abc import Mapping
from typing import Any, NamedTuple

from torquelog.book import particulars
from torquelog.book.recent import Recent
from torquelog.clock import Moment
from torquelog.errors import TorquelogError
from torquelog.facts import people, stations
from torquelog.facts.people import SigningKey
from torquelog.rules import authority


def authorise(
    connection: sqlite3.Connection,
    station: str,
    kind: str,
    signer: str,
    key: int,
    recorded: Moment,
    body: Mapping[str, Any],
    recent: Recent | None = None,
) -> SigningKey:
    """The key that signs an entry, where that signature counts at this place of its chain.

    Args:
        connection: the record as it stood before the entry.
        station, kind, signer, key, body: as in the entry.
        recorded: when the entry is recorded, in milliseconds since 1970 UTC.
        recent: what was found before and still holds; without it everything is looked up.

    Raises:
        TorquelogError: `key-unknown`, or what `rules.authority.judge` raises.
    """
    recent = recent or Recent(connection)
    kept: _Counts | None = recent.recall(authorise, station, signer, key) if kind == "reading" else None
    if kept is not None and kept.since <= recorded < kept.until:
        return kept.key
    ask = recent.ask
    found = ask(people.signing_key, station, key)
    if found is None:
        raise TorquelogError("key-unknown", f"No entry {key} of {station} introduces a key.")
    changes = ask(people.role_changes, station, signer)
    authority.judge(
        authority.Claim(
            kind=kind,
            signer=signer,
            owner=found.person,
            level=found.level,
            until=found.until,
            ended=ask(_ended, found),
            roles=people.signing_roles(changes, recorded),
            recorded=recorded,
            others_entry=kind == "strike" and _signer_of(connection, body["entry"]) != signer,
            code_used=found.level == "code" and people.open_code(connection, station, signer) != found,
        )
    )
    particulars.check(connection, station, kind, signer, found, recorded, body)
    if kind == "reading":
        until = people.roles_stay_until(changes, recorded)
        until = until if found.until is None else min(until, found.until)
        recent.keep(_Counts(recorded, until, found), authorise, station, signer, key)
    return found


class _Counts(NamedTuple):
    """That a key signs readings, from one moment up to, not including, another: nothing in a reading bears on it."""

    since: Moment
    until: Moment
    key: SigningKey


def _ended(connection: sqlite3.Connection, key: SigningKey) -> bool:
    """Whether a key is over before its time.

    A sign-in ends when its owner signs out. A newer passphrase ends the older one, and the sign-ins made with it. What
    a time of the future began is over once that time was released; only a passphrase is not.
    """
    if key.level == "code":
        return stations.released_since(connection, key.station, key.number)
    newest = people.passphrase_key(connection, key.station, key.person)
    if newest is not None and newest.number > key.number:
        return True
    return key.level == "sign-in" and (
        people.signed_out(connection, key.station, key.number)
        or stations.released_since(connection, key.station, key.number)
    )


def _signer_of(connection: sqlite3.Connection, reference: str) -> str | None:
    from torquelog.ledger.form import parse_entry, parse_reference
    from torquelog.ledger.store import entry_at

    stored = entry_at(connection, *parse_reference(reference))
    return parse_entry(stored.text).signer if stored else None
