"""Walking along a chain: the form of each entry, its link to the one before, and its signature.

Only what the entries themselves say is used: a key counts from the entry that introduces it. Which role its
owner held is asked where the facts are replayed.
"""

from collections.abc import Callable, Iterable
from typing import NamedTuple

from torquelog.errors import TorquelogError
from torquelog.ledger import keys
from torquelog.ledger.chain import Link, joins
from torquelog.ledger.form import ENTRY_CONTEXT, Entry, digest, is_hex, parse_entry, reference


class Introduced(NamedTuple):
    """A key as its entry introduced it: the public half, and whose it is."""

    public_key: str
    owner: str


class Walk:
    """How far one chain has been walked.

    Attributes:
        station: the chain.
        identity: the digest of its first entry, once that was seen.
        last: what the next entry must join on to.
    """

    __slots__ = ("_check", "_keys", "identity", "last", "station")

    def __init__(self, station: str, check: Callable[[str, bytes, str], None] = keys.check) -> None:
        """Begin before the first entry.

        Args:
            station: the chain.
            check: takes a public key, a message and a signature; by default it raises at once where that does not hold.
        """
        self.station = station
        self._check = check
        self.identity = ""
        self.last: Link | None = None
        self._keys: dict[int, Introduced] = {}

    @property
    def number(self) -> int:
        """The number of the last entry that was walked, 0 before the first."""
        return self.last.number if self.last else 0

    def step(self, text: str, signature: str) -> Entry:
        """Check the next entry.

        Args:
            text: as it is kept.
            signature: 128 hex digits.

        Raises:
            TorquelogError: entry-form, newer-entry, chain, key-unknown, key-owner, signature, body-form.
        """
        entry = parse_entry(text)
        if entry.station != self.station:
            raise TorquelogError("chain", f"It belongs to station {entry.station}, not to {self.station}.")
        joins(self.last, entry)
        hashed = digest(text)
        self._introduce(entry)
        self._check_signature(entry, hashed, signature)
        self.last = Link(entry.station, entry.number, hashed, entry.recorded_at)
        if entry.number == 1:
            self.identity = hashed
        if entry.kind == "key":
            self._check_possession(entry)
        return entry

    def go_on(self, last: Entry, text: str, identity: str, held: Iterable[tuple[int, Introduced]]) -> None:
        """Begin behind entries that were walked before.

        Args:
            last: the last of them; text: its canonical text.
            identity: the digest of the first.
            held: the keys that they introduced, with the numbers of the entries.
        """
        self._keys.update(held)
        self.identity = identity
        self.last = Link(last.station, last.number, digest(text), last.recorded_at)

    def key(self, number: int) -> Introduced:
        """The key that an entry introduced.

        Raises:
            TorquelogError: key-unknown.
        """
        found = self._keys.get(number)
        if found is None:
            raise TorquelogError(
                "key-unknown", f"No entry {reference(self.station, number)} introduces a key."
            )
        return found

    def _introduce(self, entry: Entry) -> None:
        body = entry.body
        public = body.get("public_key") or body.get("code_key")
        if isinstance(public, str):
            self._keys[entry.number] = Introduced(public, str(body.get("person", entry.signer)))

    def _check_signature(self, entry: Entry, hashed: str, signature: str) -> None:
        key = self.key(entry.key)
        if key.owner != entry.signer:
            raise TorquelogError(
                "key-owner", f"The key it is signed with belongs to {key.owner}, not to {entry.signer}."
            )
        self._check(key.public_key, ENTRY_CONTEXT + bytes.fromhex(hashed), signature)

    def _check_possession(self, entry: Entry) -> None:
        public = str(entry.body.get("public_key"))
        if not is_hex(public, 64):
            raise TorquelogError("body-form", "It introduces a key that is not 64 hex digits.")
        message = keys.possession_message(self.identity, str(entry.body.get("person")), public)
        self._check(public, message, str(entry.body.get("possession")))
