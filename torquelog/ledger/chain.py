"""The chain: what makes an entry the next one after another.

Only the links are looked at here: station, number, digest before, time, and where the signing key must lie.
Whether the signature holds and whether its owner had the authority is asked elsewhere.
"""

from typing import NamedTuple

from torquelog.errors import TorquelogError
from torquelog.ledger.form import FIRST_PREVIOUS, Entry, digest, parse_entry, reference


class Link(NamedTuple):
    """What the next entry of a chain must join on to.

    Attributes:
        station: the chain's station.
        number: the last entry's number.
        digest: the last entry's digest, 64 hex digits.
        recorded_at: the last entry's time, UTC with three decimals and Z.
    """

    station: str
    number: int
    digest: str
    recorded_at: str


def link(entry: Entry, text: str) -> Link:
    """What an entry, whose canonical text is `text`, offers to the next one."""
    return Link(entry.station, entry.number, digest(text), entry.recorded_at)


def follows(previous_text: str | None, entry: Entry) -> None:
    """Check that an entry follows another, given by its canonical text, or begins a chain.

    Raises:
        TorquelogError: chain, with the first thing that is wrong; entry-form where the other is no entry.
    """
    joins(None if previous_text is None else link(parse_entry(previous_text), previous_text), entry)


def joins(last: Link | None, entry: Entry) -> None:
    """Check that an entry joins on to the last one, or begins a chain where there is none.

    Raises:
        TorquelogError: chain, with the first thing that is wrong.
    """
    wrong = _wrong_start(entry) if last is None else _wrong_link(last, entry)
    if wrong:
        raise TorquelogError(
            "chain",
            f"Entry {reference(entry.station, entry.number)} does not fit where it stands.",
            why=wrong,
            hint="Keep the file as it is, and compare it with a backup and a checkpoint: torquelog verify",
        )


def _wrong_start(entry: Entry) -> str:
    """What keeps an entry from being the first of a chain; nothing where it is one."""
    if entry.number != 1:
        return "The entries before it are missing: a chain begins with number 1."
    if entry.kind != "station":
        return f"A chain begins with kind station, not {entry.kind}."
    if entry.previous != FIRST_PREVIOUS:
        return "Entry 1 names an entry before it."
    if entry.key != 1:
        return f"Entry 1 is signed by the key that it introduces, not by key {entry.key}."
    if entry.body.get("code") != entry.station:
        return f"It names {entry.station} as its station and introduces another one."
    return ""


def _wrong_link(last: Link, entry: Entry) -> str:
    """What keeps an entry from following the last one; nothing where it follows."""
    if entry.station != last.station:
        return f"It belongs to station {entry.station}, the entry before it to {last.station}."
    if entry.number != last.number + 1:
        return f"After number {last.number} comes {last.number + 1}, not {entry.number}."
    if entry.previous != last.digest:
        return f"It was made after another entry {reference(last.station, last.number)} than this one."
    if entry.recorded_at < last.recorded_at and entry.kind != "clock":
        return f"It bears the time {entry.recorded_at}, the entry before it {last.recorded_at}."
    if entry.key >= entry.number:
        return f"It is signed by key {entry.key}, which no entry before it can have introduced."
    if entry.kind == "station":
        return "A chain has one entry of kind station, the first."
    return ""
