"""Whoever signs: a person with the private half of one key in hand."""

from typing import NoReturn

from torquelog.ledger import keys


class Signer:
    """A person with a key.

    Attributes:
        person: the person's id.
        key: the number of the entry that introduced the key.
        level: `own`, `passphrase`, `sign-in` or `code`.
    """

    __slots__ = ("_seed", "key", "level", "person")

    def __init__(self, person: str, key: int, level: str, seed: bytes) -> None:
        self.person = person
        self.key = key
        self.level = level
        self._seed = seed

    def sign(self, message: bytes) -> str:
        """The signature of `message`, 128 hex digits."""
        return keys.sign(self._seed, message)

    def __repr__(self) -> str:
        return f"Signer({self.person}, key {self.key}, {self.level})"

    def __reduce__(self) -> NoReturn:
        raise TypeError("a signer holds a private key and is never written out")
