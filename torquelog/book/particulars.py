"""What an entry asks of its signer beyond key and role: bounds that follow from what the entry itself names.

Asked when an entry is written and again when it is verified, so that a changed program can give neither itself a
role, nor a sign-in without an end, nor its own work a second person's word.
"""

import sqlite3
from collections.abc import Callable
from typing import Final

from torquelog.clock import Moment, from_offset_text
from torquelog.errors import TorquelogError
from torquelog.facts import cards, inspections, people, stations
from torquelog.facts.kinds import Body
from torquelog.facts.people import SigningKey
from torquelog.facts.readings import owner_text
from torquelog.facts.registry import kind_of
from torquelog.ledger.form import Entry, parse_entry, parse_reference, reference
from torquelog.ledger.store import entry_at
from torquelog.rules import authority

HOUR: Final[Moment] = 3_600_000
LONGEST_SIGN_IN: Final[Moment] = 16 * HOUR
LONGEST_CODE: Final[Moment] = 72 * HOUR

Check = Callable[[sqlite3.Connection, str, str, SigningKey, Moment, Body], None]


def check(
    connection: sqlite3.Connection,
    station: str,
    kind: str,
    signer: str,
    key: SigningKey,
    recorded: Moment,
    body: Body,
) -> None:
    """Raise where an entry of this kind asks more of its signer, and that is not given.

    Args:
        connection: the record as it stood before the entry.
        station, kind, signer, body: as in the entry.
        key: the key that signs it.
        recorded: when it is recorded, in milliseconds since 1970 UTC.

    Raises:
        TorquelogError: signer-bounds, own-grant, needs-another.
    """
    if kind in _CHECKS:
        _CHECKS[kind](connection, station, signer, key, recorded, body)


def _key(
    _connection: sqlite3.Connection,
    _station: str,
    signer: str,
    _key: SigningKey,
    _recorded: Moment,
    body: Body,
) -> None:
    _demand(body["person"] == signer, "A code brings in the passphrase of the person it was given to.")


def _person(
    connection: sqlite3.Connection, station: str, _signer: str, _key: SigningKey, recorded: Moment, body: Body
) -> None:
    again = any(each.person == body["person"] for each in people.people(connection, station))
    _demand(not again, f"{body['person']} was enrolled here before.")
    _code_end(recorded, body)


def _code(
    connection: sqlite3.Connection, station: str, _signer: str, _key: SigningKey, recorded: Moment, body: Body
) -> None:
    known = any(each.person == body["person"] for each in people.people(connection, station))
    _demand(known, f"{body['person']} was never enrolled here.")
    _code_end(recorded, body)


def _code_end(recorded: Moment, body: Body) -> None:
    until = from_offset_text(body["code_until"])
    _demand(recorded < until <= recorded + LONGEST_CODE, "A one-time code works for 72 hours at most.")


def _sign_in(
    _connection: sqlite3.Connection,
    _station: str,
    _signer: str,
    _key: SigningKey,
    recorded: Moment,
    body: Body,
) -> None:
    until = from_offset_text(body["until"])
    _demand(recorded < until <= recorded + LONGEST_SIGN_IN, "A sign-in lasts 16 hours at most.")


def _sign_out(
    _connection: sqlite3.Connection,
    station: str,
    _signer: str,
    key: SigningKey,
    _recorded: Moment,
    body: Body,
) -> None:
    _demand(body["sign_in"] == reference(station, key.number), "A sign-out ends the sign-in that signs it.")


def _role(
    connection: sqlite3.Connection, station: str, signer: str, _key: SigningKey, recorded: Moment, body: Body
) -> None:
    _demand(
        body["role"] in people.ROLES and body["change"] in ("add", "remove"),
        "There is no such role or change.",
    )
    if body["change"] == "add":
        authority.may_grant(
            signer, body["person"], people.holders(connection, station, body["role"], recorded)
        )


def _card_approval(
    connection: sqlite3.Connection, station: str, signer: str, _key: SigningKey, recorded: Moment, body: Body
) -> None:
    card = cards.card_by_digest(connection, body["digest"])
    if card is None:
        raise _outside_bounds("It approves a card that is not on record.")
    _demand_second(connection, station, signer, frozenset({card.drafter}), recorded, body)


def _confirmation(
    connection: sqlite3.Connection, station: str, signer: str, _key: SigningKey, recorded: Moment, body: Body
) -> None:
    stored = entry_at(connection, *parse_reference(body["entry"]))
    if stored is None:
        return  # it may arrive before the entry that it names
    entry = parse_entry(stored.text)
    involved = frozenset({entry.signer, str(entry.body.get("performed_by", entry.signer))})
    _demand_second(connection, station, signer, involved, recorded, body)


def _strike(
    connection: sqlite3.Connection,
    _station: str,
    _signer: str,
    _key: SigningKey,
    _recorded: Moment,
    body: Body,
) -> None:
    stored = entry_at(connection, *parse_reference(body["entry"]))
    if stored is None:
        return  # it may arrive before the entry that it names
    entry = parse_entry(stored.text)
    answered = not kind_of(entry.kind).strikable or entry.body.get("outcome") in (
        "refused",
        "rejected",
        "outside",
    )
    _demand(not answered and not _failed(connection, entry), f"{body['entry']} is answered, never struck.")


def _failed(connection: sqlite3.Connection, entry: Entry) -> bool:
    """Whether an entry is a certificate with results outside what the tool's papers allow."""
    if entry.kind != "calibration":
        return False
    from torquelog.facts import calibrations, tools
    from torquelog.rules.coverage import coverage

    found = calibrations.calibration(connection, entry.station, entry.number)
    tool = tools.tool(connection, entry.body["tool"])
    return bool(found and tool and coverage(found.points, tool.accuracy).failed)


def _accepted(
    connection: sqlite3.Connection,
    station: str,
    _signer: str,
    _key: SigningKey,
    _recorded: Moment,
    body: Body,
) -> None:
    found = stations.station(connection, body["code"])
    held = found is not None and body["code"] != station and found.identity == body["identity"]
    _demand(held, f"No record {body['code']} of that identity is held here.")


def _inspection(
    connection: sqlite3.Connection, station: str, signer: str, _key: SigningKey, recorded: Moment, body: Body
) -> None:
    _demand(body["performed_by"] == signer, "An inspection is signed by the one who inspected.")
    independent = signer not in _performers(connection, body)
    _demand(independent, "It is signed by somebody who worked in that group.")
    _demand(signer in _may_inspect(connection, station, recorded, body), "Its signer may not inspect that.")


def _re_inspection(
    connection: sqlite3.Connection, station: str, signer: str, _key: SigningKey, recorded: Moment, body: Body
) -> None:
    _demand(body["performed_by"] == signer, "A re-inspection is signed by the one who looked again.")
    performers = _performers(connection, body)
    _demand(signer in performers, "Its signer did none of the work, so it would be an inspection.")
    others = _may_inspect(connection, station, recorded, body) - performers
    _demand(not others, "Somebody else could have inspected it.")


def _may_inspect(
    connection: sqlite3.Connection, station: str, recorded: Moment, body: Body
) -> frozenset[str]:
    from torquelog.book.inspectors import covering, inspectors

    held = inspectors(connection, station, recorded)
    able = covering(connection, body["job"], body["group"], held)
    return frozenset(held if able is None else able)  # the job may arrive later than its inspection


def _performers(connection: sqlite3.Connection, body: Body) -> frozenset[str]:
    return inspections.performers(connection, owner_text(body), body["group"], frozenset({body["job"]}))


def _demand_second(
    connection: sqlite3.Connection,
    station: str,
    signer: str,
    involved: frozenset[str],
    recorded: Moment,
    body: Body,
) -> None:
    """Raise where one of those involved vouches, unless nobody else could; then the entry says so."""
    if signer not in involved:
        return
    holders = {
        name
        for role in ("inspector", "quality")
        for name in people.holders(connection, station, role, recorded)
    }
    authority.second_person(signer, involved, sorted(holders), body.get("why"), "own")
    _demand("own" in body, "It does not say that its signer vouches for work of his own.")


def _demand(holds: bool, why: str) -> None:
    if not holds:
        raise _outside_bounds(why)


def _outside_bounds(why: str) -> TorquelogError:
    return TorquelogError("signer-bounds", "Its signer may not make this entry.", why=why)


_CHECKS: Final[dict[str, Check]] = {
    "key": _key,
    "person": _person,
    "code": _code,
    "sign-in": _sign_in,
    "sign-out": _sign_out,
    "role": _role,
    "strike": _strike,
    "station-accepted": _accepted,
    "card-approval": _card_approval,
    "confirmation": _confirmation,
    "inspection": _inspection,
    "re-inspection": _re_inspection,
}
