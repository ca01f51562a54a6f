"""May this tool take this reading? Judged as of the time of the work; every ground that applies is named.

Adapters are judged by the same function. An adapter whose length is simply measured needs a calibration only
where it is registered with an interval or a cycle limit; a multiplier always does, as its ratio is certified.
"""

from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from typing import NamedTuple
from zoneinfo import ZoneInfo

from torquelog.clock import Moment, day_end, local_date
from torquelog.facts.calibrations import Calibration
from torquelog.facts.conditions import Condition
from torquelog.facts.custody import Whereabouts
from torquelog.facts.stations import Rules
from torquelog.facts.tools import Tool
from torquelog.rules import fit_remarks, sayings, validity
from torquelog.rules.coverage import Coverage, Span, coverage
from torquelog.rules.grounds import Ground, Remark
from torquelog.rules.validity import Governing
from torquelog.torque.units import Length, Torque


class Case(NamedTuple):
    """What is known of a tool at the time of a use.

    Attributes:
        tool: as registered.
        calibrations: its standing certificates; results are needed of the one that counts and of a newer one.
        conditions: what befell it up to the use, oldest first.
        whereabouts: where it is at the use.
        uses: how often it was used since the governing certificate began to count, before this use.
        rules: the station's rules at the use.
        zone: where days are counted.
        checked: when it last passed a check on a tester, or nothing.
        elsewhere: other stations that it is known from, each with when the last entry was made that is held of it.
    """

    tool: Tool
    calibrations: tuple[Calibration, ...]
    conditions: tuple[Condition, ...]
    whereabouts: Whereabouts
    uses: int
    rules: Rules
    zone: ZoneInfo
    checked: Moment | None = None
    elsewhere: tuple[tuple[str, Moment], ...] = ()


class Use(NamedTuple):
    """One use, done or only intended.

    Attributes:
        at: when.
        now: the present, which `at` may not lie after.
        indicated: what was set or read; nothing where no torque is meant yet, or for an adapter.
        direction: `cw`, `ccw`, or "" where no direction is meant.
        person: who uses it, or "".
        job: for which job, or "".
        width: distance between the limits as seen on this tool, N·m; nothing where a limit is open or unknown.
        ahead: how many more uses the job needs after this one.
    """

    at: Moment
    now: Moment
    indicated: Torque | None = None
    direction: str = ""
    person: str = ""
    job: str = ""
    width: Fraction | None = None
    ahead: int = 0


class Fitness(NamedTuple):
    """The judgement.

    Attributes:
        grounds: why it may not be used; empty where it may.
        remarks: what else there is to say.
        calibration: the certificate that counts, or nothing.
        due: its due date, or nothing where none is set.
        valid_until: the first moment at which it is past due, or at which an event ended it; nothing for neither.
        cycles_left: uses left under its limit, this one included, or nothing without a limit.
        calibrated: the range in N·m that the certificate covers in this direction, or nothing.
        length: the length of an adapter as last measured, or nothing where it never was.
        multiplier: the ratio of a multiplier as last measured, or nothing.
    """

    grounds: tuple[Ground, ...]
    remarks: tuple[Remark, ...]
    calibration: Calibration | None
    due: date | None
    valid_until: Moment | None
    cycles_left: int | None
    calibrated: tuple[Fraction, Fraction] | None
    length: Length | None = None
    multiplier: Fraction | None = None


class _Counts(NamedTuple):
    """The certificate that counts, what it covers, and what of that lies in the direction of the use."""

    governed: Governing
    covered: Coverage
    span: Span | None


class _Term(NamedTuple):
    """A due date, and the first moment past it."""

    due: date
    end: Moment


class _Facts(NamedTuple):
    """What the grounds rest on, worked out once."""

    counts: _Counts | None
    waiting: Calibration | None
    events: tuple[Condition, ...]
    term: _Term | None
    left: int | None


def judge(case: Case, use: Use) -> Fitness:
    """Judge a use of a tool: every ground against it, the remarks, and what the tool stands by."""
    facts = _work_out(case, use)
    grounds = (
        *_place(case, use),
        *_condition(case, use, facts),
        *_certificate(case, use, facts),
        *_reach(case, use, facts),
        *_restrictions(case, use),
    )
    governed, span = (facts.counts.governed, facts.counts.span) if facts.counts else (None, None)
    due, end = facts.term or (None, None)
    ended = [event.at for event in facts.events if governed and event.at >= governed.since]
    until = min([*ended, *([] if end is None else [end])], default=None)
    remarks = fit_remarks.remarks(
        case.tool, case.whereabouts, case.rules, use.at, use.person, use.job,
        None if grounds else fit_remarks.Fit(
            governed, end, facts.left, use.indicated, use.width, use.ahead, case.zone
        ),
    )  # fmt: skip
    length, multiplier = _measured(case, use)
    return Fitness(
        grounds=grounds,
        remarks=(*remarks, *fit_remarks.known_from(case.tool, case.elsewhere, use.now, case.zone)),
        calibration=governed.calibration if governed else None,
        due=due,
        valid_until=until,
        cycles_left=facts.left,
        calibrated=(span.low, span.high) if span else None,
        length=length,
        multiplier=multiplier,
    )


def until_when(case: Case, use: Use, found: Fitness) -> Moment:
    """The first moment at which the same use of the same case could be judged otherwise than it was (`judge`).

    Late enough that all which is told of the tool has begun, only the day's name, the shift before the end of its use,
    and that end itself are still to come. Where the use lies after the present, or other stations are named with how
    long ago, nothing may be kept, and the use's own moment is the answer.
    """
    if use.at > use.now or case.elsewhere:
        return use.at
    ends = [day_end(local_date(use.at, case.zone), case.zone)]
    if found.due is not None:
        end = validity.end_of_use(found.due, case.rules.due_through, case.zone)
        ends += [end, fit_remarks.running_out_from(end, case.rules)]
    return min(end for end in ends if end > use.at)


def needs_calibration(tool: Tool) -> bool:
    """Whether a tool may be used only with a certificate."""
    return tool.sort != "adapter" or bool(tool.multiplier or tool.every or tool.cycles)


def _work_out(case: Case, use: Use) -> _Facts:
    tool, zone = case.tool, case.zone
    governed = validity.governing(case.calibrations, use.at, zone)
    return _Facts(
        counts=_counts(tool, governed, use.direction) if governed else None,
        waiting=validity.waiting(case.calibrations, governed, use.at),
        events=validity.uncleared(case.conditions, governed, zone),
        term=_term(case, governed.calibration) if governed else None,
        left=None if tool.cycles is None else max(0, tool.cycles - case.uses),
    )


def _counts(tool: Tool, governed: Governing, direction: str) -> _Counts:
    covered = coverage(governed.calibration.points, tool.accuracy)
    return _Counts(governed, covered, covered.span(direction))


def _term(case: Case, calibration: Calibration) -> _Term | None:
    due = validity.due_date(calibration, case.tool.every)
    return _Term(due, validity.end_of_use(due, case.rules.due_through, case.zone)) if due else None


def _measured(case: Case, use: Use) -> tuple[Length | None, Fraction | None]:
    """The length and the ratio of an adapter as last measured by certificates that counted."""
    length: Length | None = None
    ratio: Fraction | None = None
    rest = list(case.calibrations) if case.tool.sort == "adapter" else []
    while governed := validity.governing(rest, use.at, case.zone):
        length = length or governed.calibration.length
        ratio = ratio or governed.calibration.multiplier
        rest.remove(governed.calibration)
    return length, ratio


def _place(case: Case, use: Use) -> Iterator[Ground]:
    tool, day = case.tool.tool, local_date(use.at, case.zone)
    if use.at > use.now:
        yield Ground("in-the-future", tool, sayings.future(day))
    if case.whereabouts.kind in ("away", "retired"):
        since = case.whereabouts.since
        moved = local_date(use.at if since is None else since, case.zone)
        yield Ground(case.whereabouts.kind, tool, sayings.gone(tool, case.whereabouts, moved, day))


def _condition(case: Case, use: Use, facts: _Facts) -> Iterator[Ground]:
    tool, day = case.tool.tool, local_date(use.at, case.zone)
    for code, begins, ends in (("quarantined", "quarantined", "released"), ("lost", "lost", "found")):
        for each in validity.standing(case.conditions, begins, ends)[-1:]:
            yield Ground(code, tool, sayings.condition(tool, each, local_date(each.at, case.zone), day))
    for what in dict.fromkeys(each.what for each in facts.events):
        last = [each for each in facts.events if each.what == what][-1]
        yield Ground(what, tool, sayings.condition(tool, last, local_date(last.at, case.zone), day))
    if case.tool.use == "indication-only":
        yield Ground("indication-only", tool, sayings.indication_only(tool))
    if case.tool.use == "before-use" and (case.checked is None or local_date(case.checked, case.zone) != day):
        yield Ground("needs-check", tool, sayings.needs_check(tool))


def _certificate(case: Case, use: Use, facts: _Facts) -> Iterator[Ground]:
    tool, day = case.tool.tool, local_date(use.at, case.zone)
    if facts.waiting is not None:
        yield Ground("not-accepted", tool, sayings.not_accepted(tool, facts.waiting))
        yield from _failed(case.tool, facts.waiting, coverage(facts.waiting.points, case.tool.accuracy))
    elif facts.counts is None and needs_calibration(case.tool):
        yield Ground("not-calibrated", tool, sayings.not_calibrated(tool, case.calibrations))
    if facts.counts is not None:
        yield from _failed(case.tool, facts.counts.governed.calibration, facts.counts.covered)
    if facts.term is not None and use.at >= facts.term.end:
        last = validity.last_day(facts.term.due, case.rules.due_through)
        yield Ground("past-due", tool, sayings.past_due(tool, facts.term.due, last, day))
    if case.tool.cycles is not None and case.uses >= case.tool.cycles:
        yield Ground("cycles-used", tool, sayings.cycles_used(tool, case.tool.cycles))


def _failed(tool: Tool, calibration: Calibration, covered: Coverage) -> Iterator[Ground]:
    if tool.sort != "adapter" and not covered.spans:
        yield Ground("as-left-missing", tool.tool, sayings.as_left_missing(tool.tool, calibration))
    if tool.accuracy is not None:
        for point in covered.failed[:1]:
            message = sayings.as_left_failed(tool.tool, tool.accuracy, calibration, point)
            yield Ground("as-left-failed", tool.tool, message)


def _reach(case: Case, use: Use, facts: _Facts) -> Iterator[Ground]:
    tool, counts = case.tool, facts.counts
    if tool.sort == "adapter":
        return
    if counts is not None and counts.covered.spans and counts.span is None:
        message = sayings.direction(tool.tool, counts.governed.calibration, use.direction)
        yield Ground("direction", tool.tool, message)
    if use.indicated is None or not tool.scales:
        return
    scale = next((each for each in tool.scales if each.unit == use.indicated.unit), None)
    if scale is None:
        yield Ground("no-scale", tool.tool, sayings.no_scale(tool, use.indicated.unit))
        return
    value = use.indicated.newton_metres
    if not scale.low.newton_metres <= value <= scale.high.newton_metres:
        yield Ground("outside-range", tool.tool, sayings.outside_range(tool.tool, use.indicated, scale))
    if counts is not None and counts.span is not None and not counts.span.reaches(value, use.indicated.unit):
        message = sayings.outside_calibrated(use.indicated, counts.governed.calibration, counts.span)
        yield Ground("outside-calibrated-range", tool.tool, message)


def _restrictions(case: Case, use: Use) -> Iterator[Ground]:
    value = use.indicated.newton_metres if use.indicated else None
    for each in validity.standing(case.conditions, "restricted", "unrestricted"):
        outside = value is not None and (
            (each.low is not None and value < each.low.newton_metres)
            or (each.high is not None and value > each.high.newton_metres)
        )
        if outside or (each.direction and use.direction and each.direction != use.direction):
            yield Ground("restricted", case.tool.tool, sayings.restricted(case.tool.tool, each))
