"""Sign-ins: the private half of a sign-in's key, kept for the rest of a shift in one file a ledger and person.

The file counts in the session of the terminal where its owner signed in, until its end, and while it is used.
Once it has ended, or is not as it should be, it is removed: nobody can be made to sign with it later.
"""

import os
from typing import Final, NamedTuple, NoReturn
from zoneinfo import ZoneInfo

from torquelog.clock import Moment, from_utc_text, offset_text, utc_text
from torquelog.errors import TorquelogError
from torquelog.ledger import private
from torquelog.ledger.folders import runtime_folder
from torquelog.ledger.form import canonical, is_hex, is_number, is_utc, strict_json
from torquelog.ledger.private import UnsafeError
from torquelog.ledger.session import session
from torquelog.ledger.text import is_identifier, is_station

MINUTE: Final[Moment] = 60_000
IDLE: Final[Moment] = 60 * MINUTE
"""How long a sign-in may lie unused, unless the station says otherwise."""

SET_BACK: Final[Moment] = 2 * MINUTE
"""How far the clock may be behind the last use before the sign-in ends."""

SECOND: Final[Moment] = 1000

LAST_MEMBER: Final = len('"2026-11-25T14:07:31.000Z"}')
"""Bytes at the end of a file that change with each use: `used` is the last member."""

MEMBERS: Final = frozenset({"key", "ledger", "person", "seed", "session", "station", "until", "used"})


class Place(NamedTuple):
    """Where the sign-ins of one ledger lie, and for whom they count.

    Attributes:
        folder: the private folder of the files.
        ledger: the ledger's identity, 64 hex digits.
        session: the system session that asks.
    """

    folder: str
    ledger: str
    session: str


class SignIn(NamedTuple):
    """A sign-in as its file holds it.

    Attributes:
        person: who signed in.
        station: the chain in which the key was introduced.
        key: the number of the entry that introduced the key.
        seed: the key's private half, 32 bytes.
        until: when it ends.
        used: when it was last used.
    """

    person: str
    station: str
    key: int
    seed: bytes
    until: Moment
    used: Moment

    def __repr__(self) -> str:
        return f"SignIn({self.person}, key {self.key})"


def place(ledger: str, folder: str | None = None) -> Place:
    """Where sign-ins of a ledger lie for whoever runs this process; `folder` names another base folder."""
    return Place(os.path.join(folder or runtime_folder(), "sign-in"), ledger, session())


def write(at: Place, sign_in: SignIn) -> None:
    """Keep a sign-in; an earlier one of the same person goes.

    Raises:
        TorquelogError: sign-in-unsafe where the folder is not to be trusted; storage and its kin.
    """
    try:
        private.create(at.folder, _name(at, sign_in.person), _contents(at, sign_in))
    except UnsafeError as unsafe:
        raise _unsafe_folder(at, unsafe) from None


def read(at: Place, person: str, now: Moment, *, idle: Moment = IDLE, zone: ZoneInfo | None = None) -> SignIn:
    """A person's sign-in, if it counts now in this session.

    Args:
        at: where it lies.
        person: whose it is.
        now: the present moment.
        idle: for how long it may lie unused, in milliseconds.
        zone: the station's zone, for the times in a message.

    Raises:
        TorquelogError: sign-in-none, sign-in-elsewhere (another terminal), sign-in-ended, sign-in-unsafe; after
            the last two the file is gone.
    """
    try:
        contents = private.read(at.folder, _name(at, person))
        found = None if contents is None else _parse(at, person, contents)
    except UnsafeError as unsafe:
        _remove_unsafe(at, person, unsafe)
    if found is None:
        raise _none(person)
    bound_to, sign_in = found
    ended = _ended(sign_in, now, idle, zone)
    if ended:
        remove(at, person)
        raise TorquelogError("sign-in-ended", ended, hint=_again(person))
    if bound_to != at.session:
        raise TorquelogError(
            "sign-in-elsewhere",
            f"{person} is signed in on another terminal.",
            why="A sign-in counts on the terminal where it was made.",
            hint=_again(person),
        )
    return sign_in


def choose(
    at: Place, person: str | None, now: Moment, *, idle: Moment = IDLE, zone: ZoneInfo | None = None
) -> SignIn:
    """The sign-in that signs: the named person's, else the only one that counts in this session.

    Args:
        at: where sign-ins lie.
        person: whom `--as` names, or nobody.
        now: the present moment.
        idle: for how long a sign-in may lie unused, in milliseconds.
        zone: the station's zone, for the times in a message.

    Raises:
        TorquelogError: as `read`; signer-ambiguous where several count and none is named.
    """
    if person is not None:
        return read(at, person, now, idle=idle, zone=zone)
    counting: list[SignIn] = []
    refusals: list[TorquelogError] = []
    for each in people(at):
        try:
            counting.append(read(at, each, now, idle=idle, zone=zone))
        except TorquelogError as refusal:
            refusals.append(refusal)
    if len(counting) > 1:
        names = " and ".join(sign_in.person for sign_in in counting)
        raise TorquelogError(
            "signer-ambiguous",
            f"{names} are signed in here.",
            hint=f"Say who signs: --as {counting[0].person}",
        )
    if not counting:
        raise _most_telling(refusals)
    return counting[0]


def people(at: Place) -> list[str]:
    """Everybody of whom a file lies here for this ledger, whether or not it still counts.

    Raises:
        TorquelogError: sign-in-unsafe where the folder is not to be trusted; storage and its kin.
    """
    start = _name(at, "")
    try:
        names = private.names(at.folder)
    except UnsafeError as unsafe:
        raise _unsafe_folder(at, unsafe) from None
    people = [name.removeprefix(start).replace("+", "/") for name in names if name.startswith(start)]
    return [person for person in people if is_identifier(person)]


def touch(at: Place, sign_in: SignIn, now: Moment) -> SignIn:
    """Note that a sign-in was used now; what the file holds from then on.

    A file that has meanwhile gone, or holds another sign-in, is left as it is.

    Raises:
        TorquelogError: sign-in-unsafe; storage and its kin.
    """
    if now - sign_in.used < SECOND:
        return sign_in
    used = sign_in._replace(used=now)
    contents = _contents(at, used)
    try:
        private.rewrite_end(
            at.folder, _name(at, sign_in.person), contents[:-LAST_MEMBER], contents[-LAST_MEMBER:]
        )
    except UnsafeError as unsafe:
        _remove_unsafe(at, sign_in.person, unsafe)
    return used


def remove(at: Place, person: str) -> bool:
    """Remove a person's sign-in, on whatever terminal it was made; says whether there was one.

    Raises:
        TorquelogError: sign-in-unsafe where the folder is not to be trusted; storage and its kin.
    """
    try:
        return private.remove(at.folder, _name(at, person))
    except UnsafeError as unsafe:
        raise _unsafe_folder(at, unsafe) from None


def _name(at: Place, person: str) -> str:
    # Identifiers may hold a slash and never a plus.
    return f"{at.ledger}-{person.replace('/', '+')}"


def _contents(at: Place, sign_in: SignIn) -> bytes:
    members = {
        "key": sign_in.key,
        "ledger": at.ledger,
        "person": sign_in.person,
        "seed": sign_in.seed.hex(),
        "session": at.session,
        "station": sign_in.station,
        "until": utc_text(sign_in.until),
        "used": utc_text(sign_in.used),
    }
    return canonical(members).encode()


def _parse(at: Place, person: str, contents: bytes) -> tuple[str, SignIn]:
    """The session that a file is bound to, and what it holds."""
    try:
        members = strict_json(contents.decode())
    except (TorquelogError, UnicodeDecodeError):
        members = None
    if type(members) is not dict or members.keys() != MEMBERS or not _is_well_formed(members):
        raise UnsafeError("is not as torquelog wrote it")
    if (members["ledger"], members["person"]) != (at.ledger, person):
        raise UnsafeError("is another person's")
    until, used = from_utc_text(members["until"]), from_utc_text(members["used"])
    seed = bytes.fromhex(members["seed"])
    return members["session"], SignIn(person, members["station"], members["key"], seed, until, used)


def _is_well_formed(members: dict[str, object]) -> bool:
    return (
        is_number(members["key"])
        and is_hex(members["seed"], 64)
        and is_station(members["station"])
        and is_utc(members["until"])
        and is_utc(members["used"])
        and isinstance(members["session"], str)
    )


def _ended(sign_in: SignIn, now: Moment, idle: Moment, zone: ZoneInfo | None) -> str:
    """Why a sign-in has ended; nothing while it counts."""
    person = sign_in.person
    if now >= sign_in.until:
        return f"{person}'s sign-in ended at {_shown(sign_in.until, zone)}."
    if now - sign_in.used > idle:
        minutes = (now - sign_in.used) // MINUTE
        return f"{person}'s sign-in ended: it was not used for {minutes} minutes."
    if sign_in.used - now > SET_BACK:
        return f"{person}'s sign-in ended: the clock is behind its last use, {_shown(sign_in.used, zone)}."
    return ""


def _shown(moment: Moment, zone: ZoneInfo | None) -> str:
    text = offset_text(moment, zone) if zone else utc_text(moment)
    return f"{text[11:16]} on {text[:10]}" + ("" if zone else " UTC")


def _most_telling(refusals: list[TorquelogError]) -> TorquelogError:
    """Of several reasons why nobody counts, the one to show: what just ended before what lies elsewhere."""
    order = ("sign-in-unsafe", "sign-in-ended", "sign-in-elsewhere")
    return min(
        refusals, key=lambda each: order.index(each.code) if each.code in order else -1, default=_none(None)
    )


def _none(person: str | None) -> TorquelogError:
    who = "Nobody" if person is None else person
    start = "is signed in here." if person is None else "is not signed in here."
    return TorquelogError("sign-in-none", f"{who} {start}", hint=_again(person or "ID"))


def _remove_unsafe(at: Place, person: str, unsafe: UnsafeError) -> NoReturn:
    remove(at, person)  # says so itself where it is the folder that is not to be trusted
    raise TorquelogError(
        "sign-in-unsafe",
        f"The sign-in file of {person} {unsafe}.",
        why="It was not used, and has been removed.",
        hint=_again(person),
    )


def _unsafe_folder(at: Place, unsafe: UnsafeError) -> TorquelogError:
    return TorquelogError(
        "sign-in-unsafe",
        f"The sign-in file {unsafe}.",
        why=f"Nothing in {at.folder} was used.",
        hint=f'Make it a folder of your own that nobody else can open: chmod 700 "{at.folder}"',
    )


def _again(person: str) -> str:
    return f"torquelog sign-in {person}"
