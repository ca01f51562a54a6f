"""Judging the readings of a recall again, by what is known of their tools now.

Each certificate becomes an error curve once, and readings that are alike are judged once.
"""

import sqlite3
from collections.abc import Mapping
from fractions import Fraction
from typing import Any, Final, NamedTuple

from torquelog.book.recall_causes import Facts, measure_of
from torquelog.book.recall_curves import Curves, Span
from torquelog.book.standing import group_of
from torquelog.facts import jobs
from torquelog.facts.calibrations import Calibration
from torquelog.facts.card_form import Group
from torquelog.facts.readings import Reading
from torquelog.facts.rows import LATEST, AsOf
from torquelog.facts.tools import Tool
from torquelog.ledger.form import parse_entry, parse_reference
from torquelog.ledger.store import entry_at
from torquelog.rules import demand
from torquelog.rules.recall_verdict import Basis, Judged, Question, judge
from torquelog.torque.adapter import cosine
from torquelog.torque.curve import Applied, Curve, actual
from torquelog.torque.limits import Limits
from torquelog.torque.units import Torque


class Scope(NamedTuple):
    """What a recall goes by.

    Attributes:
        subject, name: one of `facts.recalls.SUBJECTS` and what it names; both "" for a bare window.
        revision: of a card, the only one meant, or "".
        calibration: the certificate that it rests on, or "".
        since, until: the window, both included.
    """

    subject: str
    name: str
    revision: str
    calibration: str
    since: int
    until: int


MOST: Final = 4096
"""How many answers of one sort are kept for readings that are alike."""

RUN_ON = frozenset({"run-on-wrench", "run-on-adapter"})


class Judge:
    """Judges readings for one recall."""

    def __init__(self, connection: sqlite3.Connection, scope: Scope, as_of: AsOf = LATEST) -> None:
        self._connection = connection
        self._scope = scope
        self._facts = Facts(connection, as_of)
        self._digests: dict[str, str | None] = {}
        self._groups: dict[tuple[str | None, str], Group | None] = {}
        self._above: dict[tuple[str, str, str, int], Fraction | None] = {}
        self._verdicts: dict[tuple[object, ...], Judged] = {}
        self._rests_on = self._certificate(scope.calibration)
        tester = scope.name if scope.subject == "tester" else ""
        self._curves = Curves(connection, self._facts, tester, self._rests_on)

    def judged(self, reading: Reading, roles: frozenset[str], beside: Mapping[str, list[str]]) -> Judged:
        """What a reading really did.

        Args:
            reading: the reading.
            roles: as what the recalled tool stands in it besides its wrench.
            beside: the adapters in it by role, where the recall goes by an adapter.
        """
        term = self._curves.span(reading.wrench, reading.at)
        special = roles & {"adapter", *RUN_ON}
        # Fractions are slow to hash and to add; their terms are not slow to hash.
        key = (
            reading.wrench, term.ends, reading.direction, reading.indicated, *_terms_of(reading.gain),
            *_terms_of(reading.low), *_terms_of(reading.high), *_terms_of(self._above_own(reading)),
            (reading.station, reading.number) if special else (),
        )  # fmt: skip
        if key not in self._verdicts:
            self._make_room()
            limits = Limits(reading.low, reading.high)
            asked = Question(
                reading.indicated, reading.gain, limits, reading.gain, limits, self._highest(reading)
            )
            if special:
                asked = self._corrected(reading, asked, roles, beside)
            self._verdicts[key] = judge(self._basis(reading, term), asked)
        return self._verdicts[key]

    def _make_room(self) -> None:
        """Forget what was found before it becomes too much to hold; it is found again where it is needed."""
        for known in (self._verdicts, self._digests, self._groups, self._above):
            if len(known) > MOST:
                known.clear()

    def _basis(self, reading: Reading, term: Span) -> Basis:
        tool = self._curves.tool(reading.wrench)
        scales = tool.scales if tool else ()
        scale = next((each for each in scales if each.unit == reading.indicated.unit), None)
        found = self._curves.curve(term.found, reading.direction, "as-found")
        return Basis(
            found=found, left=self._curves.curve(term.left, reading.direction, "as-left"),
            by="as-found" if self._in_doubt(reading.wrench) or isinstance(found, Curve) else "as-left",
            found_unit=term.found.unit if term.found else "", left_unit=term.left.unit if term.left else "",
            graduation=scale.graduation.newton_metres if scale and scale.graduation else None,
            accuracy=tool.accuracy if tool else None,
        )  # fmt: skip

    def _in_doubt(self, wrench: str) -> bool:
        return (self._scope.subject, self._scope.name) == ("wrench", wrench)

    def _certificate(self, name: str) -> Calibration | None:
        if not name:
            return None
        entry = parse_reference(name)
        return self._facts.certificate(self._scope.name, entry)

    def _group(self, reading: Reading) -> Group | None:
        if reading.job not in self._digests:
            self._digests[reading.job] = jobs.digest_of(self._connection, reading.job)
        key = (self._digests[reading.job], reading.group)
        if key not in self._groups:
            self._groups[key] = group_of(self._connection, reading.job, reading.group)
        return self._groups[key]

    def _above_own(self, reading: Reading) -> Fraction | None:
        """How far the highest limit of any pass lies above that of a reading's, N·m; nothing where an end is open."""
        key = (reading.job, reading.group, reading.step, reading.pass_)
        if key not in self._above:
            self._make_room()
            self._above[key] = _above_own(self._group(reading), reading.step, reading.pass_)
        return self._above[key]

    def _highest(self, reading: Reading) -> Fraction | None:
        """Above this the bolt may have yielded: the highest limit of any pass, with the run-on torque of this one."""
        above = self._above_own(reading)
        return None if above is None or reading.high is None else reading.high + above

    def _corrected(
        self, reading: Reading, asked: Question, roles: frozenset[str], beside: Mapping[str, list[str]]
    ) -> Question:
        """The question with gain and limits as adapters and run-on torque really were."""
        if "adapter" in roles:
            gain = self._true_gain(reading.wrench, reading, asked.gain, beside.get("adapter", []))
            asked = asked._replace(true_gain=gain)
        if roles & RUN_ON:
            asked = self._with_run_on(reading, asked, beside.get("run-on-adapter", []))
        return asked

    def _true_gain(self, wrench: str, reading: Reading, gain: Fraction, chain: list[str]) -> Fraction:
        """The gain with the recalled adapter as it was measured, instead of as it was taken."""
        adapter, lever = self._curves.tool(self._scope.name), self._curves.tool(wrench)
        true = self._measured()
        used = self._used(adapter, reading.at) if adapter else None
        if adapter is None or true is None or used is None:
            return gain
        count = chain.count(adapter.tool)
        if adapter.length is None:
            return gain * (true / used) ** count
        if lever is None or lever.lever is None:
            return gain
        multiplied = Fraction(1)
        for name in chain:
            other = self._curves.tool(name)
            ratio = self._used(other, reading.at) if other and other.length is None else None
            multiplied *= ratio or 1
        along = cosine(adapter.angle or Fraction(0)) * count
        return gain + multiplied * (true - used) * along / lever.lever.metres

    def _measured(self) -> Fraction | None:
        """The recalled adapter's length in metres, or its ratio, as the recall's certificate measured it."""
        return measure_of(self._rests_on) if self._rests_on else None

    def _used(self, adapter: Tool, at: int) -> Fraction | None:
        """The length or ratio by which an adapter was used at a moment: as measured and accepted, else as registered."""
        known = [each for each in self._facts.calibrations(adapter.tool) if _counted(each, at)]
        measured = [found for each in known if (found := measure_of(each)) is not None]
        if measured:
            return measured[-1]
        return adapter.length.metres if adapter.length else adapter.multiplier

    def _with_run_on(self, reading: Reading, asked: Question, chain: list[str]) -> Question:
        told = self._run_on_of(reading)
        group = self._group(reading)
        if not told or group is None:
            return asked
        torque = Torque(told["torque"]["value"], told["torque"]["unit"])
        term = self._curves.span(told["wrench"], reading.at)
        found = self._curves.curve(term.found, group.direction, "as-found")
        if not (isinstance(found, Curve) or self._in_doubt(told["wrench"])):
            found = self._curves.curve(term.left, group.direction, "as-left")
        applied = actual(found, torque.newton_metres)
        if not isinstance(applied, Applied):
            return asked._replace(doubt="run-on-unknown") if demand.needs_run_on(group) else asked
        gain = Fraction(told["taken"]) / torque.newton_metres if torque.newton_metres else Fraction(1)
        if chain:
            gain = self._true_gain(told["wrench"], reading, gain, chain)
        true = applied.torque * gain
        slot = next((each for each in demand.slots(group) if each.key == (reading.step, reading.pass_)), None)
        if demand.needs_run_on(group) and slot is not None and slot.spec is not None:
            limits = demand.demanded(group, slot, true)
            asked = asked._replace(true_limits=limits, highest=demand.highest(group, true))
        worn = group.run_on is not None and group.run_on.limits.side(true) != "within"
        return asked._replace(fault="run-on-outside") if worn else asked

    def _run_on_of(self, reading: Reading) -> dict[str, Any]:
        """The run-on measurement of a reading with the torque at the fastener as it was taken, in N·m."""
        stored = entry_at(self._connection, reading.station, reading.number)
        body = parse_entry(stored.text).body if stored else {}
        if "run_on" not in body:
            return {}
        return {**body["run_on"], "taken": body["judged"]["run_on"]["value"]}


def _terms_of(number: Fraction | None) -> tuple[int, int]:
    # As many for nothing as for a number, or an open end below would look like one above.
    return (0, 0) if number is None else (number.numerator, number.denominator)


def _counted(found: Calibration, at: int) -> bool:
    return found.accepted is not None and found.accepted <= at and measure_of(found) is not None


def _above_own(group: Group | None, step: str, pass_: int) -> Fraction | None:
    """How far the highest end of any pass lies above that of one pass, N·m; nothing where an end is open."""
    if group is None:
        return Fraction(0)
    asked = [slot for slot in demand.slots(group) if slot.spec]
    ends = {slot.key: slot.spec.limits.scaled(slot.share).high for slot in asked if slot.spec}
    own = ends.get((step, pass_))
    if own is None:
        return Fraction(0)
    known = [end for end in ends.values() if end is not None]
    return max(known) - own if len(known) == len(ends) else None
