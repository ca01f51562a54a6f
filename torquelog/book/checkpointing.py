"""Making checkpoints, and comparing a record with one that was kept elsewhere."""

import sqlite3
from typing import NamedTuple

from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import writing
from torquelog.clock import from_utc_text, utc_text
from torquelog.errors import TorquelogError
from torquelog.facts import people, stations
from torquelog.ledger import keys, store
from torquelog.ledger.checkpoint import Checkpoint, check_checkpoint, checkpoint_text, parse_line
from torquelog.ledger.form import canonical, digest, reference


class Made(NamedTuple):
    """A checkpoint: the entry that notes it, what it says, and the line to keep where the record is not."""

    reference: str
    checkpoint: Checkpoint
    line: str


def make(book: Book, signer: Signer) -> Made:
    """Sign how far the chain has come; an entry notes that somebody holds a checkpoint.

    Args:
        book: the record, open for writing.
        signer: anybody who is signed in.
    """
    with writing(book) as w:
        head = store.head(w.connection, w.station)
        assert head is not None  # noqa: S101  an open book has its first entry
        now = w.time()
        body = {"through": str(head.number), "digest": digest(head.text)}
        appended = w.append(signer, "checkpoint", body, at=now)
    made = Checkpoint(
        digest=digest(head.text), key=signer.key, ledger=book.identity, number=head.number,
        recorded_at=utc_text(appended.recorded), signer=signer.person, station=book.station,
    )  # fmt: skip
    text = checkpoint_text(made)
    signature = signer.sign(keys.checkpoint_message(text))
    return Made(appended.reference, made, canonical({"checkpoint": text, "signature": signature}))


def compare(connection: sqlite3.Connection, line: str) -> Checkpoint:
    """Check that a record, which itself holds, still holds what a checkpoint saw.

    Args:
        connection: the record.
        line: the checkpoint as it was kept.

    Raises:
        TorquelogError: checkpoint-form; other-ledger; older-copy, where the record ends before it; fork, where
            another entry stands in its place; signature, key-unknown, key-owner, key-ended.
    """
    checkpoint, signature = parse_line(line)
    station = stations.station(connection, checkpoint.station)
    if station is None or station.identity != checkpoint.ledger:
        raise TorquelogError(
            "other-ledger",
            f"The checkpoint is of another record of {checkpoint.station} than this.",
            why=f"Its identity is {checkpoint.ledger}.",
            hint="Compare it with the record that it was made of.",
        )
    _check_signature(connection, checkpoint, signature)
    _demand_same(connection, checkpoint)
    return checkpoint


def _check_signature(connection: sqlite3.Connection, checkpoint: Checkpoint, signature: str) -> None:
    key = people.signing_key(connection, checkpoint.station, checkpoint.key)
    if key is None or key.number > checkpoint.number:
        raise TorquelogError(
            "key-unknown",
            f"No entry {reference(checkpoint.station, checkpoint.key)} that it covers introduces its key.",
        )
    if key.person != checkpoint.signer:
        raise TorquelogError("key-owner", f"Its key belongs to {key.person}, not to {checkpoint.signer}.")
    if key.until is not None and from_utc_text(checkpoint.recorded_at) >= key.until:
        raise TorquelogError("key-ended", f"The sign-in of {key.person} had ended when it was made.")
    check_checkpoint(checkpoint, signature, key.public_key)


def _demand_same(connection: sqlite3.Connection, checkpoint: Checkpoint) -> None:
    name = reference(checkpoint.station, checkpoint.number)
    head = store.head(connection, checkpoint.station)
    stored = store.entry_at(connection, checkpoint.station, checkpoint.number)
    resumed = stations.resumed_after(connection, checkpoint.station, checkpoint.number)
    told = (
        ""
        if resumed is None
        else f" It went on from an older copy, as {reference(checkpoint.station, resumed)} says."
    )
    if stored is None:
        ends = reference(checkpoint.station, head.number if head else 0)
        raise TorquelogError(
            "older-copy",
            f"The record ends at {ends}; the checkpoint of {checkpoint.recorded_at[:10]} saw {name}.",
            why="Entries are missing." + told,
            hint="Look for the newer file.",
        )
    if digest(stored.text) != checkpoint.digest:
        raise TorquelogError(
            "fork",
            f"The record holds another entry {name} than the checkpoint of {checkpoint.recorded_at[:10]} saw.",
            why="Two records have grown from one, or entries were replaced." + told,
            hint="Keep both, and look for what they have in common: torquelog export",
        )
