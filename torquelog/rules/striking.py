"""What may be struck: a mistake is struck, never erased, and some things are answered instead of struck."""

from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from torquelog.errors import TorquelogError

OUTSIDE: Final = frozenset({"below", "above"})


class Struck(NamedTuple):
    """An entry that somebody wants to strike.

    Attributes:
        reference: the entry.
        kind: its kind; strikable: whether that kind can be struck at all.
        outcome: of a reading, else "".
        failed: whether it is a calibration with a result outside the tool's accuracy.
        dependents: what rests on it (jobs of a card, readings of a job), as people name them.
        struck_by: the strike that names it already, or "".
    """

    reference: str
    kind: str
    strikable: bool
    outcome: str = ""
    failed: bool = False
    dependents: tuple[str, ...] = ()
    struck_by: str = ""


def check_strike(entry: Struck) -> None:
    """Raise `struck-already` or `not-strikable`, with what to do instead."""
    if entry.struck_by:
        raise TorquelogError("struck-already", f"{entry.reference} is struck already, by {entry.struck_by}.")
    if not entry.strikable:
        raise _not_strikable(
            entry, f"An entry of kind {entry.kind} is answered by another entry, never struck."
        )
    if entry.outcome == "rejected":
        raise _not_strikable(entry, "A rejection stays on record: an inspector lifts it by accepting.")
    if entry.outcome == "refused":
        raise _not_strikable(entry, "A refusal stays on record: somebody may have turned the nut.")
    if entry.outcome == "outside":
        raise _not_strikable(entry, "A check that failed stays on record, like a certificate.")
    if entry.failed:
        raise _not_strikable(entry, "A certificate with results outside the limits stays on record.")
    if entry.dependents:
        raise _not_strikable(entry, f"Other entries rest on it: {', '.join(entry.dependents[:5])}.")


def _not_strikable(entry: Struck, why: str) -> TorquelogError:
    return TorquelogError("not-strikable", f"{entry.reference} cannot be struck.", why=why)


def holds_open(body: Mapping[str, Any]) -> bool:
    """Whether an entry by itself leaves a fastener open: a torque outside its limits, a worn nut, something found.

    Args:
        body: of the entry; a reading that is judged but not on record yet has `outcome`, and `worn` where it is.
    """
    return body.get("outcome") in OUTSIDE or "worn" in body or body.get("act") == "found"


def takes_away(before: Mapping[str, Any], after: Mapping[str, Any]) -> bool:
    """Whether a correction takes away what left a fastener open, so that a second person has to confirm it.

    Args:
        before: the body of the struck entry.
        after: of the one that replaces it, empty where none does.
    """
    return holds_open(before) and not holds_open(after)
