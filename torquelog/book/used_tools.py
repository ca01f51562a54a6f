"""The tools of one reading: looked up, judged as of the work, and what their chain does to the torque."""

import sqlite3
from collections.abc import Sequence
from fractions import Fraction
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from torquelog.book.cases import link, settled_case
from torquelog.book.recent import Recent
from torquelog.clock import Moment
from torquelog.errors import TorquelogError
from torquelog.facts import tools
from torquelog.facts.rows import END_OF_TIME
from torquelog.facts.tools import Tool
from torquelog.facts.uses import next_use
from torquelog.kept import kept
from torquelog.ledger.form import parse_entry
from torquelog.ledger.store import entry_at
from torquelog.rules import fitness
from torquelog.rules.fastener import State
from torquelog.rules.fitness import Fitness, Use
from torquelog.rules.grounds import Ground
from torquelog.torque.adapter import Extension, gain
from torquelog.torque.units import Torque

WHOLE: Final = Fraction(1)


class ToolJudged(NamedTuple):
    """One tool of a reading: which, its role, and its fitness when the work was done."""

    tool: Tool
    role: str
    fitness: Fitness


class Span(NamedTuple):
    """Moments of use: from one up to, not including, another."""

    since: Moment
    until: Moment

    def covers(self, at: Moment, now: Moment) -> bool:
        """Whether a use lies in it, and not after the present."""
        return self.since <= at < self.until and at <= now

    def within(self, other: "Span") -> "Span":
        """What lies in both."""
        return Span(max(self.since, other.since), min(self.until, other.until))


NEVER: Final = Span(END_OF_TIME, 0)
ALWAYS: Final = Span(0, END_OF_TIME)


class _Kept(NamedTuple):
    """A judgement of a tool.

    Attributes:
        holds: the times of use for which it is the same; where it counts uses, as long as there are no more of them.
        judged: the judgement.
        counts: whether it counts uses, or facts are still to begin.
    """

    holds: Span
    judged: ToolJudged
    counts: bool = False


class Moments(NamedTuple):
    """When the work was performed, and the time of the entry that records it."""

    at: Moment
    now: Moment


class Bench:
    """Looks tools up and judges them for one reading.

    Attributes:
        holds: the times of use for which everything that was judged here would be judged the same.
        now_until: up to which time of the entry, not including it, `grounds_now` would answer the same.
    """

    def __init__(
        self,
        recent: Recent,
        station: str,
        zone: ZoneInfo,
        person: str,
        job: str,
        when: Moments,
    ) -> None:
        self._recent = recent
        self._station = station
        self._zone = zone
        self._person = person
        self._job = job
        self._when = when
        self._used: dict[str, int] = {}
        self.holds = ALWAYS
        self.now_until = END_OF_TIME

    def tool(self, name: str, sort: str) -> Tool:
        """The wrench or adapter of that number; raises `tool-unknown`."""
        found = self._recent.ask(tools.tool, name)
        if found is None or found.sort != sort:
            raise _no_tool(self._recent.connection, name, sort)
        return found

    def judged(
        self,
        tool: Tool,
        role: str,
        *,
        indicated: Torque | None = None,
        direction: str = "",
        width: Fraction | None = None,
    ) -> ToolJudged:
        """One tool with its fitness at the time of the work.

        Args:
            tool: the tool.
            role: wrench, adapter, run-on-wrench or run-on-adapter.
            indicated: what was set or read, for a wrench.
            direction: in which direction it turned, for a wrench.
            width: distance between the limits as seen on this tool, N·m.
        """
        use = Use(
            at=self._when.at, now=self._when.now, indicated=indicated, direction=direction,
            person=self._person, job=self._job, width=width,
        )  # fmt: skip
        # Used twice in one reading (for the run-on torque as well), a tool takes two of its cycles.
        earlier = self._used.get(tool.tool, 0)
        self._used[tool.tool] = earlier + 1
        kept = self._judged(tool, role, use, earlier)
        self.holds = self.holds.within(NEVER if kept.counts else kept.holds)
        return kept.judged

    def run_on_before(self, before: State) -> Fraction | None:
        """The run-on torque, N·m, that the torque standing on a fastener was counted above; None without one.

        A nut that is down has none to be measured: the next pass, or a check, counts above the same.
        """
        if before.governing is None:
            return None
        stored = entry_at(self._recent.connection, before.governing.station, before.governing.number)
        told = parse_entry(stored.text).body["judged"].get("run_on") if stored else None
        return Fraction(told["value"]) if told else None

    def grounds_now(self, each: ToolJudged, indicated: Torque | None, direction: str) -> set[str]:
        """The grounds that hold against a tool at the time of the entry, by code."""
        use = Use(at=self._when.now, now=self._when.now, indicated=indicated, direction=direction)
        kept = self._judged(each.tool, each.role, use)
        self.now_until = min(self.now_until, kept.holds.until)
        if each.tool.cycles:  # what is on record for a time that is still to come counts from then on
            soon = next_use(self._recent.connection, each.tool.tool, self._when.now)
            self.now_until = min(self.now_until, soon)
        return {ground.code for ground in kept.judged.fitness.grounds}

    def _judged(self, tool: Tool, role: str, use: Use, earlier: int = 0) -> _Kept:
        """The judgement; the same use soon after is judged the same, unless cycles are counted or facts have changed."""
        known, settled = settled_case(self._recent, self._station, self._zone, tool, use.at)
        if not settled or known.tool.cycles:
            judged = fitness.judge(known._replace(uses=known.uses + earlier) if earlier else known, use)
            until = fitness.until_when(known, use, judged) if settled else use.at
            return _Kept(Span(use.at, until), ToolJudged(tool, role, judged), counts=True)
        for_job = use.job if known.whereabouts.job else ""
        width = use.width and (use.width.numerator, use.width.denominator)
        key = (_Kept, tool.tool, role, use.indicated, use.direction, use.person, for_job, width)
        kept: _Kept | None = self._recent.recall(*key)
        if kept is None or not kept.holds.covers(use.at, use.now):
            found = ToolJudged(tool, role, fitness.judge(known, use))
            kept = _Kept(Span(use.at, fitness.until_when(known, use, found.fitness)), found)
            self._recent.keep(kept, *key)
        return kept

    def adapters(self, names: Sequence[str], role: str) -> tuple[ToolJudged, ...]:
        """Adapters in line, from the wrench outwards, each judged."""
        return tuple(self.judged(self.tool(name, "adapter"), role) for name in names)


def chain(wrench: Tool, adapters: Sequence[ToolJudged]) -> tuple[Fraction, tuple[Ground, ...]]:
    """Torque at the fastener per torque indicated; a ground where adapters need a lever and there is none.

    Args:
        wrench: the wrench.
        adapters: in line, from the wrench outwards, as measured at the time of the work.
    """
    if not adapters:
        return WHOLE, ()
    links = [link(each.tool, each.fitness) for each in adapters]
    if wrench.lever is None and any(isinstance(each, Extension) for each in links):
        message = f"{wrench.tool} has no lever on record, and an adapter needs one."
        return Fraction(1), (Ground("no-lever", wrench.tool, message),)
    return gain(wrench.lever.metres if wrench.lever else None, links), ()


@kept
def through(torque: Fraction, ratio: Fraction) -> Fraction:
    """A torque at the wrench, in N·m, as it comes to the fastener."""
    return torque if ratio == 1 else torque * ratio


def _no_tool(connection: sqlite3.Connection, name: str, sort: str) -> TorquelogError:
    from difflib import get_close_matches

    known = [tool.tool for tool in tools.tools(connection, sort)]
    close = get_close_matches(name, known, 2)
    return TorquelogError(
        "tool-unknown",
        f"No {sort} {name} is registered. Nothing was recorded.",
        why=f"Close to it: {', '.join(close)}." if close else "",
        hint="Read the label again, or scan it.",
    )
