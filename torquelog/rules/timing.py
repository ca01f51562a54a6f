"""Which time an entry may bear, given the clock and the head of the chain."""

from typing import Final, NamedTuple

from torquelog.clock import Moment, utc_text
from torquelog.errors import TorquelogError

SLIGHTLY_BEHIND: Final[Moment] = 2 * 60 * 1000
HOUR: Final[Moment] = 3_600_000


class Head(NamedTuple):
    """The last entry of a chain: its number and the time it bears (milliseconds since 1970 UTC)."""

    number: int
    recorded: Moment


def entry_time(now: Moment, head: Head | None, gap_hours: int, *, clock_ok: bool, release: bool) -> Moment:
    """The time that the next entry bears.

    Args:
        now: what the clock says.
        head: the last entry, or nothing before the first.
        gap_hours: from how many hours ahead of the head somebody has to vouch for the clock.
        clock_ok: whether somebody does.
        release: whether the entry is of kind `clock`, the only one that may step back.

    Raises:
        TorquelogError: `clock-behind` or `clock-ahead`.
    """
    if head is None or release:
        return now
    behind = head.recorded - now
    if behind > SLIGHTLY_BEHIND:
        raise TorquelogError(
            "clock-behind",
            f"This computer says {utc_text(now)}, but the last entry was made at {utc_text(head.recorded)}.",
            why="Nothing was recorded.",
            hint="Set the clock right. If that entry bears a time of the future: torquelog clock release --why …",
        )
    if -behind > gap_hours * HOUR and not clock_ok:
        raise TorquelogError(
            "clock-ahead",
            f"This computer says {utc_text(now)}, and the last entry was made at {utc_text(head.recorded)}.",
            why=f"That is more than {gap_hours} hours. Nothing was recorded.",
            hint="Look at the clock. If it is right, add --clock-ok.",
        )
    return max(now, head.recorded)
