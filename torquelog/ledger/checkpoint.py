"""Checkpoints: a signed line that says how far a chain had come, to be kept where the ledger is not.

Who holds one can tell later that nothing up to it was changed, cut off or put back to an older copy.
"""

from typing import Final, NamedTuple

from torquelog.errors import TorquelogError
from torquelog.ledger import keys
from torquelog.ledger.form import canonical, is_hex, is_number, is_utc, strict_json
from torquelog.ledger.text import is_identifier, is_station

LONGEST: Final = 4096
"""Bytes of a checkpoint's line; one has about 600."""


class Checkpoint(NamedTuple):
    """How far a chain had come.

    Attributes:
        digest: the digest of entry `number`, 64 hex digits.
        key: the number of the entry that introduced the signing key.
        ledger: the ledger's identity, the digest of entry 1.
        number: the number of the last entry it covers.
        recorded_at: when it was made, UTC with three decimals and Z.
        signer: the id of the person whose key signs.
        station: the chain's station.
    """

    digest: str
    key: int
    ledger: str
    number: int
    recorded_at: str
    signer: str
    station: str


def checkpoint_text(checkpoint: Checkpoint) -> str:
    """The canonical text of a checkpoint, which is what is signed."""
    return canonical(checkpoint._asdict())


def parse_checkpoint(text: str) -> Checkpoint:
    """The checkpoint that a canonical text stands for.

    Raises:
        TorquelogError: checkpoint-form.
    """
    try:
        members = strict_json(text, longest=LONGEST)
    except TorquelogError as error:
        raise _form(error.why or error.what) from None
    if type(members) is not dict or members.keys() != set(Checkpoint._fields):
        raise _form("It does not have the seven members of a checkpoint.")
    checkpoint = Checkpoint(**members)
    wrong = _wrong_member(checkpoint)
    if wrong:
        raise _form(f"Its {wrong} has another form.")
    if checkpoint_text(checkpoint) != text:
        raise _form("Its text is not canonical.")
    return checkpoint


def checkpoint_line(checkpoint: Checkpoint, seed: bytes) -> str:
    """The line to keep: the checkpoint's text with its signature, made with the seed of key `checkpoint.key`."""
    text = checkpoint_text(checkpoint)
    return canonical({"checkpoint": text, "signature": keys.sign(seed, keys.checkpoint_message(text))})


def parse_line(line: str) -> tuple[Checkpoint, str]:
    """The checkpoint of a kept line, and its signature, which is not checked yet.

    Raises:
        TorquelogError: checkpoint-form.
    """
    try:
        members = strict_json(line.strip(), longest=LONGEST)
    except TorquelogError as error:
        raise _form(error.why or error.what) from None
    if type(members) is not dict or members.keys() != {"checkpoint", "signature"}:
        raise _form("It does not have the members checkpoint and signature.")
    text, signature = members["checkpoint"], members["signature"]
    if type(text) is not str or not is_hex(signature, 128):
        raise _form("Its signature is not 128 hex digits.")
    return parse_checkpoint(text), signature


def check_checkpoint(checkpoint: Checkpoint, signature: str, public_key: str) -> None:
    """Check a checkpoint's signature.

    Args:
        checkpoint: what was signed.
        signature: 128 hex digits.
        public_key: the key that entry `checkpoint.key` of the chain introduced, 64 hex digits.

    Raises:
        TorquelogError: signature.
    """
    keys.check(public_key, keys.checkpoint_message(checkpoint_text(checkpoint)), signature)


def _wrong_member(checkpoint: Checkpoint) -> str:
    good = {
        "digest": is_hex(checkpoint.digest, 64),
        "key": is_number(checkpoint.key),
        "ledger": is_hex(checkpoint.ledger, 64),
        "number": is_number(checkpoint.number),
        "recorded_at": is_utc(checkpoint.recorded_at),
        "signer": is_identifier(checkpoint.signer),
        "station": is_station(checkpoint.station),
    }
    return next((name for name, is_good in good.items() if not is_good), "")


def _form(why: str) -> TorquelogError:
    return TorquelogError(
        "checkpoint-form",
        "That is not a checkpoint.",
        why=why,
        hint='It is one line, {"checkpoint": …, "signature": …}, as torquelog checkpoint prints it.',
    )
