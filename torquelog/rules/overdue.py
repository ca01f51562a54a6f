"""Which uses of a tool came when it was past due, out of cycles or without a calibration, by what is known now.

A use was judged by what was known when it was recorded. Facts told later (a use entered late, a certificate withdrawn)
can show that a tool was not good any more; this looks over all uses again.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from itertools import accumulate
from typing import NamedTuple
from zoneinfo import ZoneInfo

from torquelog.clock import Moment, day_start
from torquelog.facts.calibrations import Calibration
from torquelog.facts.tools import Tool
from torquelog.facts.uses import ToolUse
from torquelog.rules import sayings, validity
from torquelog.rules.days import day_name
from torquelog.rules.fitness import needs_calibration
from torquelog.rules.grounds import Ground
from torquelog.rules.validity import Governing


class Due(NamedTuple):
    """When a tool is due: the date, and the first moment past it."""

    day: date
    end: Moment


class Standing(NamedTuple):
    """What counts for a tool between two changes: its limits, the certificate, and when it is due, if ever."""

    tool: Tool
    governed: Governing | None
    due: Due | None


class History:
    """A tool's certificates and limits over time; what counts is worked out once for each time between two changes."""

    def __init__(
        self, calibrations: Sequence[Calibration], changes: Sequence[Moment],
        tool_at: Callable[[Moment], Tool], due_through: Callable[[Moment], str], zone: ZoneInfo,
    ) -> None:  # fmt: skip
        """Take what is known of a tool.

        Args:
            calibrations: its certificates.
            changes: when its limits or the station's rules changed.
            tool_at: the tool with its limits as of a moment.
            due_through: the station's rule as of a moment.
            zone: where days are counted.
        """
        self._calibrations, self._zone = calibrations, zone
        self._tool_at, self._due_through = tool_at, due_through
        moments = {
            moment
            for each in calibrations
            for moment in (each.recorded, each.accepted, each.withdrawn, day_start(each.on, zone))
            if moment is not None
        }
        self._changes = sorted(moments | set(changes))
        self._known: dict[int, Standing] = {}

    def at(self, moment: Moment) -> Standing:
        """What counted at a moment."""
        place = bisect_right(self._changes, moment)
        if place not in self._known:
            self._known[place] = self._standing(moment)
        return self._known[place]

    def _standing(self, moment: Moment) -> Standing:
        tool = self._tool_at(moment)
        governed = validity.governing(self._calibrations, moment, self._zone)
        due = validity.due_date(governed.calibration, tool.every) if governed else None
        end = Due(due, validity.end_of_use(due, self._due_through(moment), self._zone)) if due else None
        return Standing(tool, governed, end)


def overdue(history: History, uses: Sequence[ToolUse]) -> Iterator[tuple[ToolUse, tuple[Ground, ...]]]:
    """Each use that came too late, with every reason.

    Args:
        history: what counted for the tool over time.
        uses: every use of it, oldest first, those elsewhere and on testers too, which count as cycles.
    """
    moments = [each.at for each in uses]
    counted = [0, *accumulate(each.uses for each in uses)]
    for place, use in enumerate(uses):
        known = history.at(use.at)
        since = bisect_left(moments, known.governed.since) if known.governed else place
        grounds = tuple(_grounds(known, use, counted[place] - counted[since]))
        if grounds:
            yield use, grounds


def _grounds(known: Standing, use: ToolUse, before: int) -> Iterator[Ground]:
    tool = known.tool
    if known.governed is None:
        if needs_calibration(tool):
            yield Ground("not-calibrated", tool.tool, f"{tool.tool} had no calibration that counted then.")
        return
    if known.due is not None and use.at >= known.due.end:
        yield Ground("past-due", tool.tool, f"{tool.tool} was due {day_name(known.due.day)}.")
    if tool.cycles is not None and before >= tool.cycles:
        yield Ground("cycles-used", tool.tool, sayings.cycles_used(tool.tool, tool.cycles))
