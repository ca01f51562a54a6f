"""What an inspection asks: somebody who did none of the work, work that is finished, and the wrench that was used."""

from collections.abc import Mapping, Sequence
from typing import Final

from torquelog.errors import TorquelogError
from torquelog.facts.card_form import Group
from torquelog.rules import authority, fastener
from torquelog.rules.demand import slots
from torquelog.rules.fastener import State
from torquelog.rules.names import fasteners_name

OWN: Final = "own-inspection"


def independent(
    group: str, inspector: str, performers: frozenset[str], inspectors: Sequence[str], why: str | None
) -> str:
    """Decide whether somebody may inspect a group.

    Args:
        group: the group's name.
        inspector: who wants to.
        performers: who worked in that group.
        inspectors: everybody enrolled who holds the role inspector and may inspect that group.
        why: the reason for looking again oneself, if any.

    Returns:
        "" for an independent inspection, else `own-inspection`: a re-inspection, as nobody else is there.

    Raises:
        TorquelogError: `needs-another`, or `why-missing` where nobody else is there and no reason is given.
    """
    if inspector not in performers:
        return ""
    others = [each for each in inspectors if each not in performers]
    if others:
        raise TorquelogError(
            "needs-another",
            f"{inspector} worked on the {group.replace('-', ' ')}s, so it takes someone else. Nothing was recorded.",
            hint=f"It could be {', '.join(others)}.",
        )
    return authority.second_person(inspector, performers, [], why, OWN)


def check_finished(group: Group, states: Mapping[int, State]) -> None:
    """Raise `not-finished` where something that is to be accepted is not tightened as the card says."""
    open_ones = [item for item, now in states.items() if not fastener.is_done(now, slots(group))]
    if open_ones:
        name = fasteners_name(group.id, open_ones)
        verb = "is" if len(open_ones) == 1 else "are"
        raise TorquelogError(
            "not-finished",
            f"{name[:1].upper()}{name[1:]} {verb} not finished, so there is nothing to accept. Nothing was recorded.",
            hint="Reject them with the reason, or inspect the others by number.",
        )


def check_seen(seen: Sequence[str], states: Mapping[int, State]) -> None:
    """Raise where the wrenches that were read are not those on record; what is on record is not told.

    Raises:
        TorquelogError: `wrench-seen-missing` or `wrench-seen-other`.
    """
    used = {now.governing.wrench for now in states.values() if now.governing is not None}
    if used and not seen:
        raise TorquelogError(
            "wrench-seen-missing",
            "Read the number on the wrench that was used. Nothing was recorded.",
            hint="Add --wrench-seen with what you read; the record does not tell it beforehand.",
        )
    if used and set(seen) != used:
        number = "one wrench" if len(used) == 1 else f"{len(used)} wrenches"
        raise TorquelogError(
            "wrench-seen-other",
            f"What you read is not what is on record for these: {number}. Nothing was recorded.",
            why="Either the record or the wrench beside the work is not the right one.",
            hint="Read again; if it stays so, reject them with the reason.",
        )
