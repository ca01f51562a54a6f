"""Keys: Ed25519 signatures (RFC 8032), keys from passphrases (scrypt, RFC 7914), and one-time codes.

A private key is handled as its 32-byte seed and never leaves this process but for the sign-in file. Whatever
is signed bears its purpose in front, so a signature made for one purpose proves nothing for another.
"""

import hashlib
import os
import unicodedata
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from torquelog.errors import TorquelogError
from torquelog.ledger.form import (
    CHECKPOINT_CONTEXT,
    CODE_CONTEXT,
    ENTRY_CONTEXT,
    POSSESSION_CONTEXT,
    digest,
    is_hex,
)

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

SHORTEST_PASSPHRASE: Final = 12
"""Characters, after composing."""

LONGEST_PASSPHRASE: Final = 1024
SEED_BYTES: Final = 32
CODE_BYTES: Final = 16

SMALLEST_N: Final = 2**15
LARGEST_N: Final = 2**16
"""The bounds of scrypt's cost: weaker is no protection, stronger would not run on a counter's computer."""

SCRYPT_MEMORY: Final = 96 * 2**20
"""Bytes that scrypt may take: 64 MiB and a little at the largest cost."""

CODE_DIGITS: Final = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Base 32 without I, L, O and U, which are misread by hand."""

CODE_GROUPS: Final = (5, 5, 5, 5, 6)


class Kdf(NamedTuple):
    """How a passphrase becomes a key: scrypt's cost `n`, block size `r`, lanes `p`, and the salt in hex."""

    n: int
    r: int
    p: int
    salt: str

    def members(self) -> dict[str, Any]:
        """What stands beside the public key in the entry that introduces it."""
        return {"name": "scrypt", "n": self.n, "r": self.r, "p": self.p, "salt": self.salt}


def new_kdf(n: int = LARGEST_N) -> Kdf:
    """Fresh parameters with a random salt; `n` is scrypt's cost."""
    return Kdf(n, 8, 1, os.urandom(16).hex())


def parse_kdf(members: object) -> Kdf:
    """The parameters that stand in an entry.

    Raises:
        TorquelogError: kdf-form where they are none, or outside the bounds within which they are trusted.
    """
    if type(members) is not dict or members.keys() != {"name", "n", "r", "p", "salt"}:
        raise _kdf_form()
    kdf = Kdf(members["n"], members["r"], members["p"], members["salt"])
    bounded = kdf.n in (SMALLEST_N, LARGEST_N) and (kdf.r, kdf.p) == (8, 1)
    whole = all(type(number) is int for number in kdf[:3])
    if members["name"] != "scrypt" or not bounded or not whole or not is_hex(kdf.salt, 32):
        raise _kdf_form()
    return kdf


def demand_passphrase(passphrase: str) -> None:
    """Raise where a text cannot be a passphrase: passphrase-short, passphrase-long, text-surrogate."""
    _composed(passphrase)


def passphrase_seed(passphrase: str, kdf: Kdf) -> bytes:
    """The 32-byte seed of a passphrase's key: scrypt over the composed passphrase (NFC) in UTF-8.

    Takes a fifth of a second and 64 MiB on purpose: never called while the ledger is held for writing.

    Raises:
        TorquelogError: passphrase-short, passphrase-long, text-surrogate.
    """
    secret = _composed(passphrase)
    return hashlib.scrypt(
        secret,
        salt=bytes.fromhex(kdf.salt),
        n=kdf.n,
        r=kdf.r,
        p=kdf.p,
        maxmem=SCRYPT_MEMORY,
        dklen=SEED_BYTES,
    )


def unlock(passphrase: str, kdf: Kdf, public: str, person: str) -> bytes:
    """The seed of a person's passphrase key, once the passphrase gives the public key on record.

    Args:
        passphrase: what the person typed.
        kdf: the parameters on record beside the public key.
        public: the public key on record, 64 hex digits.
        person: whose it is, for the message.

    Raises:
        TorquelogError: passphrase-wrong; and what `passphrase_seed` raises.
    """
    seed = passphrase_seed(passphrase, kdf)
    if public_key(seed) != public:
        raise TorquelogError(
            "passphrase-wrong",
            f"That is not the passphrase of {person}.",
            hint="Type it again. If it is lost, quality can give a new one-time code.",
        )
    return seed


def new_seed() -> bytes:
    """A random seed, for a sign-in's key."""
    return os.urandom(SEED_BYTES)


def public_key(seed: bytes) -> str:
    """The public key of a seed, 64 hex digits."""
    return _private(seed).public_key().public_bytes_raw().hex()


def sign(seed: bytes, message: bytes) -> str:
    """The signature of a message (one of the `…_message` functions' results), 128 hex digits."""
    return _private(seed).sign(message).hex()


def check(public: str, message: bytes, signature: str) -> None:
    """Check a signature; nothing is returned, so nothing can be overlooked.

    Args:
        public: the public key, 64 hex digits.
        message: what was signed.
        signature: 128 hex digits.

    Raises:
        TorquelogError: signature, where it is not the key's signature of the message.
    """
    from cryptography.exceptions import InvalidSignature

    if not is_hex(public, 64) or not is_hex(signature, 128):
        raise _signature("It is not written as one.")
    try:
        _public(public).verify(bytes.fromhex(signature), message)
    except (InvalidSignature, ValueError):
        raise _signature("It was made with another key or over another text.") from None


def new_code() -> str:
    """A one-time code of 128 random bits, written for typing: five groups of digits and capitals."""
    number = int.from_bytes(os.urandom(CODE_BYTES))
    digits = "".join(CODE_DIGITS[number >> 5 * place & 31] for place in reversed(range(sum(CODE_GROUPS))))
    groups, start = [], 0
    for length in CODE_GROUPS:
        groups.append(digits[start : start + length])
        start += length
    return "-".join(groups)


def code_seed(code: str) -> bytes:
    """The seed of a one-time code's key: SHA-256 over the context and the code's 16 bytes.

    Small letters, blanks and hyphens do not matter; O is read as 0, I and L as 1.

    Raises:
        TorquelogError: code-form.
    """
    digits = code.upper().replace("-", "").replace(" ", "").translate({79: "0", 73: "1", 76: "1"})
    counted = len(digits) == sum(CODE_GROUPS) and set(CODE_DIGITS).issuperset(digits) and code.isascii()
    number = 0
    for digit in digits if counted else "":
        number = number << 5 | CODE_DIGITS.index(digit)
    if not counted or number >> 8 * CODE_BYTES:
        raise TorquelogError(
            "code-form",
            "That is not a one-time code.",
            why=f"A code has {sum(CODE_GROUPS)} letters and digits.",
            hint="Copy it as it was printed, with or without its hyphens.",
        )
    return hashlib.sha256(CODE_CONTEXT + number.to_bytes(CODE_BYTES)).digest()


def entry_message(text: str) -> bytes:
    """What is signed of an entry: the context and the 32 bytes of its digest."""
    return digest_message(digest(text))


def digest_message(of_entry: str) -> bytes:
    """The same of an entry whose digest is at hand, 64 hex digits."""
    return ENTRY_CONTEXT + bytes.fromhex(of_entry)


def checkpoint_message(text: str) -> bytes:
    """What is signed of a checkpoint: the context and its text."""
    return CHECKPOINT_CONTEXT + text.encode()


def possession_message(ledger: str, person: str, public: str) -> bytes:
    """What a new passphrase key signs to show that its owner has it.

    Args:
        ledger: the ledger's identity, 64 hex digits.
        person: the person's id.
        public: the new public key, 64 hex digits.
    """
    return POSSESSION_CONTEXT + bytes.fromhex(ledger) + person.encode() + bytes.fromhex(public)


# cryptography is imported where a key is first used: 5 ms that looking things up need not spend.


@lru_cache(maxsize=4)
def _private(seed: bytes) -> "Ed25519PrivateKey":
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    return Ed25519PrivateKey.from_private_bytes(seed)


@lru_cache(maxsize=256)
def _public(public: str) -> "Ed25519PublicKey":
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    return Ed25519PublicKey.from_public_bytes(bytes.fromhex(public))


def _composed(passphrase: str) -> bytes:
    composed = unicodedata.normalize("NFC", passphrase)
    if len(composed) < SHORTEST_PASSPHRASE:
        raise TorquelogError(
            "passphrase-short",
            f"A passphrase has at least {SHORTEST_PASSPHRASE} characters.",
            hint="Four words that nobody would put together are easy to keep in mind.",
        )
    if len(composed) > LONGEST_PASSPHRASE:
        raise TorquelogError(
            "passphrase-long",
            f"A passphrase has at most {LONGEST_PASSPHRASE:,} characters.",
            hint="Shorten it.",
        )
    try:
        return composed.encode()
    except UnicodeEncodeError:
        raise TorquelogError(
            "text-surrogate", "The passphrase holds half a character.", hint="Type it again."
        ) from None


def _signature(why: str) -> TorquelogError:
    return TorquelogError(
        "signature",
        "A signature does not hold.",
        why=why,
        hint="Keep the file as it is, and compare it with a backup and a checkpoint: torquelog verify",
    )


def _kdf_form() -> TorquelogError:
    return TorquelogError(
        "kdf-form",
        "A key's scrypt parameters are not ones that torquelog uses.",
        why=f"n is {SMALLEST_N} or {LARGEST_N}, r 8, p 1, the salt 16 bytes.",
        hint="A newer torquelog may have written them.",
    )
