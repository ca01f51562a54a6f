"""Enrolling people, giving them new codes, and changing their roles. All of it is quality's, by passphrase."""

from typing import Final, NamedTuple

from torquelog.book.enrolled import person_named
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import Writing, writing
from torquelog.clock import Moment, offset_text
from torquelog.errors import TorquelogError
from torquelog.facts import people
from torquelog.facts.people import ROLES, Grant, Person
from torquelog.ledger import keys
from torquelog.rules import authority, bounds

CODE_LIFE: Final[Moment] = 72 * 3_600_000
"""How long a one-time code can be used: 72 hours."""


class CodeGiven(NamedTuple):
    """A one-time code, shown once and kept nowhere.

    Attributes:
        reference: the entry that names its public key.
        person, name: for whom.
        roles: granted with it, in the order of `ROLES`; none with a new code for somebody enrolled.
        code: what the person types, once.
        until: its end, in milliseconds since 1970 UTC.
    """

    reference: str
    person: str
    name: str
    roles: tuple[str, ...]
    code: str
    until: Moment


class RoleChanged(NamedTuple):
    """A role given or taken.

    Attributes:
        reference: the entry.
        person, name: whose.
        role: which.
        held: whether the person holds it now.
        since: from when work may be performed by it, where that is earlier than the entry.
        until: its end, exclusive, or nothing.
        inspects: what may be inspected, or nothing.
    """

    reference: str
    person: str
    name: str
    role: str
    held: bool
    since: Moment | None
    until: Moment | None
    inspects: str | None


class Enrolled(NamedTuple):
    """A person in the list: who, with which roles, and whether they have chosen a passphrase."""

    person: Person
    grants: tuple[Grant, ...]
    has_key: bool


def add_person(
    book: Book, signer: Signer, person: str, name: str, roles: tuple[str, ...], licence: str | None = None
) -> CodeGiven:
    """Enrol a person, with roles from now on and a one-time code.

    Args:
        book: the record, open for writing.
        signer: quality, by passphrase.
        person: the new id, in capitals; one that another station gave to the same person is taken.
        name: the full name.
        roles: one or more of `ROLES`.
        licence: number and kind of the licence, or nothing.

    Raises:
        TorquelogError: exists; role-unknown; no-role and the like where the signature would not count.
    """
    for role in roles:
        _demand_role(role)
    code = keys.new_code()
    with writing(book) as w:
        _demand_new(w, person, name, licence)
        now = w.time()
        body: dict[str, object] = {
            "person": person,
            "name": name,
            "roles": [role for role in ROLES if role in roles],
        }
        if licence:
            body["licence"] = licence
        appended = w.append(signer, "person", body | _code_members(book, code, now), at=now)
    return CodeGiven(appended.reference, person, name, tuple(body["roles"]), code, now + CODE_LIFE)  # type: ignore[arg-type]


def new_code(book: Book, signer: Signer, person: str) -> CodeGiven:
    """Give a person a new one-time code, for a lost passphrase or a code that ended; an older code ends with it.

    Raises:
        TorquelogError: person-unknown; not-here for a person of another station.
    """
    code = keys.new_code()
    with writing(book) as w:
        found = _demand_here(w, person)
        now = w.time()
        appended = w.append(signer, "code", {"person": person} | _code_members(book, code, now), at=now)
    return CodeGiven(appended.reference, person, found.name, (), code, now + CODE_LIFE)


def change_role(
    book: Book,
    signer: Signer,
    person: str,
    role: str,
    *,
    add: bool,
    since: Moment | None = None,
    until: Moment | None = None,
    inspects: str | None = None,
    why: str | None = None,
) -> RoleChanged:
    """Give somebody a role, or take it away, from now on.

    Args:
        book: the record, open for writing.
        signer: quality, by passphrase.
        person: whose role.
        role: one of `ROLES`.
        add: whether it is given.
        since: an earlier moment from which work performed counts; needs a reason.
        until: its end, exclusive.
        inspects: what may be inspected, for inspectors.
        why: the reason.

    Raises:
        TorquelogError: role-unknown, role-held, role-not-held, role-terms, last-quality, own-grant, why-missing,
            person-unknown, not-here.
    """
    _demand_role(role)
    with writing(book) as w:
        found = _demand_here(w, person)
        now = w.time()
        if add:
            _demand_terms(now, role, since, until, inspects, why)
            _demand_grantable(w, signer, person, role, now, (until, inspects), since)
        else:
            _demand_removable(w, person, role, now)
        body = {"person": person, "role": role, "change": "add" if add else "remove"}
        moments = {"since": since, "until": until}
        body |= {member: offset_text(at, book.zone) for member, at in moments.items() if at is not None}
        body |= {member: text for member, text in (("inspects", inspects), ("why", why)) if text}
        appended = w.append(signer, "role", body, at=now)
    return RoleChanged(appended.reference, person, found.name, role, add, since, until, inspects)


def everybody(book: Book) -> list[Enrolled]:
    """Everybody who is enrolled here, by id, with the roles they hold now."""
    now = book.clock.now()
    return [
        Enrolled(
            each,
            tuple(people.grants(book.connection, book.station, each.person, now)),
            people.passphrase_key(book.connection, book.station, each.person) is not None,
        )
        for each in people.people(book.connection, book.station)
    ]


def _code_members(book: Book, code: str, now: Moment) -> dict[str, object]:
    return {
        "code_key": keys.public_key(keys.code_seed(code)),
        "code_until": offset_text(now + CODE_LIFE, book.zone),
    }


def _demand_role(role: str) -> None:
    if role not in ROLES:
        raise TorquelogError(
            "role-unknown", f'There is no role "{role}".', hint=f"The roles: {', '.join(ROLES)}."
        )


def _demand_new(w: Writing, person: str, name: str, licence: str | None) -> None:
    if any(each.person == person for each in people.people(w.connection, w.station)):
        known = person_named(w.connection, person)
        raise TorquelogError(
            "exists",
            f"{person} is enrolled already: {known.name}.",
            hint=f"Choose another id. A lost passphrase: torquelog person code {person}",
        )
    elsewhere = people.person(w.connection, person)
    if elsewhere is not None and (elsewhere.name, elsewhere.licence) != (name, licence or elsewhere.licence):
        raise TorquelogError(
            "exists",
            f"{elsewhere.station} enrolled {person} as {elsewhere.name}.",
            why="An id belongs to one person in the whole organisation.",
            hint="Choose another id, or give the same name and licence if it is the same person.",
        )


def _demand_here(w: Writing, person: str) -> Person:
    found = person_named(w.connection, person)
    if not any(each.person == person for each in people.people(w.connection, w.station)):
        raise TorquelogError(
            "not-here",
            f"{found.name} ({person}) is enrolled at {found.station}, not at {w.station}.",
            hint=f'torquelog person add {person} --name "{found.name}" --role ROLE',
        )
    return found


def _demand_terms(
    now: Moment, role: str, since: Moment | None, until: Moment | None, inspects: str | None, why: str | None
) -> None:
    if since is not None and not why:
        raise TorquelogError(
            "why-missing",
            "A role that began before it was recorded needs a reason.",
            hint="Add --why with the reason, such as the authorisation's number.",
        )
    wrong = (
        "It cannot begin in the future; give it on that day." if since is not None and since > now
        else "It would have ended already." if until is not None and until <= now
        else "Only an inspector's role says what may be inspected." if inspects and role != "inspector"
        else ""
    )  # fmt: skip
    if wrong:
        raise TorquelogError("role-terms", f"The role {role} cannot be given like this.", why=wrong)
    if inspects:
        bounds.check_words(inspects)


def _demand_grantable(
    w: Writing,
    signer: Signer,
    person: str,
    role: str,
    now: Moment,
    terms: tuple[Moment | None, str | None],
    since: Moment | None,
) -> None:
    authority.may_grant(signer.person, person, people.holders(w.connection, w.station, role, now))
    held = {grant.role: grant for grant in people.grants(w.connection, w.station, person, now)}
    if role in held and held[role][1:] == terms and since is None:
        raise TorquelogError("role-held", f"{person} holds the role {role} already.")


def _demand_removable(w: Writing, person: str, role: str, now: Moment) -> None:
    if role not in people.roles_to_sign(w.connection, w.station, person, now):
        raise TorquelogError("role-not-held", f"{person} does not hold the role {role}.")
    if role == "quality" and people.holders(w.connection, w.station, role, now) == [person]:
        raise TorquelogError(
            "last-quality",
            f"{person} is the only one who holds the role quality.",
            why="Without it nobody could be enrolled or given a role any more.",
            hint="Give it to somebody else first.",
        )
