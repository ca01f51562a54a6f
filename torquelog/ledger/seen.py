"""What each person last saw of a ledger, kept where the ledger is not.

A ledger whose tail was cut off, or that was put back to an older copy, verifies by itself. Whoever saw more of
it before notices: the memory names an entry that must still be there.
"""

import os
from collections.abc import Callable
from typing import Final, NamedTuple

from torquelog.clock import Moment, from_utc_text, utc_text
from torquelog.errors import TorquelogError
from torquelog.ledger import private
from torquelog.ledger.folders import data_folder
from torquelog.ledger.form import canonical, is_hex, is_number, is_utc, reference, strict_json
from torquelog.ledger.private import UnsafeError
from torquelog.ledger.text import is_station

MEMBERS: Final = frozenset({"at", "digest", "number", "station"})


class Seen(NamedTuple):
    """The last entry that a person saw.

    Attributes:
        station: its chain.
        number: its number.
        digest: its digest, 64 hex digits.
        at: when it was seen.
    """

    station: str
    number: int
    digest: str
    at: Moment


def remember(ledger: str, person: str, seen: Seen, folder: str | None = None) -> None:
    """Note the last entry that a person saw of a ledger.

    Args:
        ledger: the ledger's identity, 64 hex digits.
        person: the person's id.
        seen: the entry.
        folder: a base folder in the place of the user's data folder.

    Raises:
        TorquelogError: storage and its kin.
    """
    members = seen._asdict() | {"at": utc_text(seen.at)}
    try:
        private.replace(_folder(folder), _name(ledger, person), canonical(members).encode())
    except UnsafeError as unsafe:
        raise _unsafe(folder, unsafe) from None


def last_seen(ledger: str, person: str, folder: str | None = None) -> Seen | None:
    """The last entry that a person saw of a ledger, or nothing where none was noted or the note is spoilt.

    Raises:
        TorquelogError: memory-unsafe where somebody else could have changed the note; storage and its kin.
    """
    try:
        contents = private.read(_folder(folder), _name(ledger, person))
    except UnsafeError as unsafe:
        raise _unsafe(folder, unsafe) from None
    try:
        members = strict_json((contents or b"").decode())
    except (TorquelogError, UnicodeDecodeError):
        return None
    if type(members) is not dict or members.keys() != MEMBERS or not _is_well_formed(members):
        return None
    return Seen(members["station"], members["number"], members["digest"], from_utc_text(members["at"]))


def forget(ledger: str, person: str, folder: str | None = None) -> bool:
    """Forget what a person saw, once quality has said that an older copy goes on; says whether there was a note.

    Raises:
        TorquelogError: memory-unsafe; storage and its kin.
    """
    try:
        return private.remove(_folder(folder), _name(ledger, person))
    except UnsafeError as unsafe:
        raise _unsafe(folder, unsafe) from None


def still_holds(seen: Seen, person: str, head: int, digest_of: Callable[[int], str | None]) -> None:
    """Check that a chain still holds what a person saw of it.

    Args:
        seen: the entry that was seen.
        person: by whom.
        head: the number of the chain's last entry now.
        digest_of: gives the digest of the entry with a number, or nothing where there is none.

    Raises:
        TorquelogError: older-copy where the entry is missing; fork where another one stands in its place.
    """
    name, day = reference(seen.station, seen.number), utc_text(seen.at)[:10]
    found = digest_of(seen.number) if seen.number <= head else None
    if found is None:
        raise TorquelogError(
            "older-copy",
            f"This record ends at {reference(seen.station, head)}, but {person} saw {name} on {day}.",
            why="Entries are missing: this looks like an older copy. Nothing was changed.",
            hint="Look for the newer file. If it is gone for good: torquelog restore --help",
        )
    if found != seen.digest:
        raise TorquelogError(
            "fork",
            f"This record holds another entry {name} than the one that {person} saw on {day}.",
            why="Two records have grown from one, or an entry was replaced. Nothing was changed.",
            hint="Keep both files, and compare them with a checkpoint: torquelog verify --checkpoint FILE",
        )


def _folder(folder: str | None) -> str:
    return os.path.join(folder or data_folder(), "seen")


def _name(ledger: str, person: str) -> str:
    return f"{ledger}-{person.replace('/', '+')}"


def _is_well_formed(members: dict[str, object]) -> bool:
    return (
        is_utc(members["at"])
        and is_hex(members["digest"], 64)
        and is_number(members["number"])
        and is_station(members["station"])
    )


def _unsafe(folder: str | None, unsafe: UnsafeError) -> TorquelogError:
    return TorquelogError(
        "memory-unsafe",
        f"The note of what was last seen of this record {unsafe}.",
        why="Somebody else could have changed it, so it proves nothing.",
        hint=f'Look into it, and close the folder to others: chmod 700 "{_folder(folder)}"',
    )
