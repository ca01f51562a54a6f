"""Judging one reading: the facts gathered as of when the work was performed, the rules asked, the verdict frozen.

The same function serves the act that records a reading, the question asked before the work, and verification,
which judges again what is on record.
"""

import sqlite3
from fractions import Fraction
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from torquelog.book.asked import Asked
from torquelog.book.at_group import at_group
from torquelog.book.fasteners import fastener_state
from torquelog.book.reading_remarks import Place, of_reading
from torquelog.book.recent import Recent
from torquelog.book.taken_with import NOT_REVIVED, Judging, revived, taken_with
from torquelog.book.used_tools import Moments, ToolJudged
from torquelog.clock import Moment
from torquelog.facts.card_form import Card, Group
from torquelog.facts.jobs import Job
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.kept import kept
from torquelog.ledger.jsontext import Fixed
from torquelog.rules import demand, fastener
from torquelog.rules.grounds import Ground, Remark
from torquelog.torque.limits import Limits
from torquelog.torque.number import display


class Judged(NamedTuple):
    """The verdict on one reading.

    Attributes:
        job, card, group, item: which fastener, by which card.
        owner: whose fastener.
        slot: the step or pass it is for.
        act: tighten or check.
        at: when the work was performed.
        rule_set: the number of the entry whose rules were in force then.
        tools: the tools used, the wrench first.
        gain: torque at the fastener per torque indicated.
        run_on: the run-on torque at the fastener in N·m, or nothing.
        limits: at the fastener in N·m, run-on torque and pass included.
        applied: torque at the fastener in N·m: what was indicated, through the adapters.
        specified: the card's specification as on the card; unit: the unit it is written in.
        outcome: within, below, above or refused.
        beyond: above what the card allows at any pass.
        worn: the run-on torque lies outside the card's limits for it.
        grounds: of a refusal.
        remarks: beside the outcome.
        awaits: a ground holds now that did not hold at the claimed time.
        before: the fastener's state before this reading.
        until: up to which time of the entry, not including it, the reading is judged the same, unless something else
            is recorded.
    """

    job: Job
    card: Card
    group: Group
    item: int
    owner: str
    slot: demand.Slot
    act: str
    at: Moment
    rule_set: int
    tools: tuple[ToolJudged, ...]
    gain: Fraction
    run_on: Fraction | None
    limits: Limits
    applied: Fraction
    specified: str
    unit: str
    outcome: str
    beyond: bool
    worn: bool
    grounds: tuple[Ground, ...]
    remarks: tuple[Remark, ...]
    awaits: bool
    before: fastener.State
    until: Moment


def judge(
    connection: sqlite3.Connection, station: str, zone: ZoneInfo, asked: Asked, now: Moment,
    recent: Recent | None = None,
) -> Judged:  # fmt: skip
    """Judge a reading by what the record knows now, as of when the work was performed.

    Args:
        connection: the record.
        station, zone: whose rules and days count.
        asked: the reading.
        now: the time of the entry that records it.
        recent: what was found before and still holds; without it everything is looked up.

    Raises:
        TorquelogError: where the words name nothing that is there (job, fastener, step, tool), the job is
            closed, the performer had no role, or a demanded value is missing. Nothing is on record then.
    """
    at = now if asked.performed_at is None else asked.performed_at
    as_of = AsOf(min(at, now), END_OF_TIME)
    recent = recent or Recent(connection)
    where = at_group(recent, station, asked, at, as_of.at)
    job, group = where.job, where.group
    before = fastener_state(connection, job.job, where.owner, group, asked.item, as_of, recent)
    slot = _slot(group, asked, before, where.slots)
    act, act_remark = fastener.counts_as(
        before, job.job, where.slots, slot, loosened=asked.loosened, asked=asked.act
    )
    by = Judging(recent, station, zone, Moments(at, now))
    found = taken_with(by, asked, where, slot, before)
    again = revived(by, asked, group, found.tools) if at < now and not found.grounds else NOT_REVIVED
    beside = of_reading(
        recent, Place(where, asked.item, slot, before), by.when, act_remark, asked.wrench,
        loosened=asked.loosened, awaits=again.any, worn=found.worn,
    )  # fmt: skip
    return Judged(
        job=job, card=where.card, group=group, item=asked.item, owner=where.owner, slot=slot, act=act, at=at,
        rule_set=where.rule_set, tools=found.tools, gain=found.gain, run_on=found.run_on, limits=found.limits,
        applied=found.applied, specified=slot.spec.text if slot.spec else "", unit=slot.spec.unit if slot.spec else "N·m",
        outcome=found.outcome, beyond=found.beyond, worn=found.worn and not found.grounds,
        grounds=found.grounds, remarks=_once((*found.remarks, *beside)), awaits=again.any, before=before,
        until=_until(asked, now, at + where.late, again.until),
    )  # fmt: skip


def _slot(group: Group, asked: Asked, before: fastener.State, slots: tuple[demand.Slot, ...]) -> demand.Slot:
    if asked.step is not None or asked.pass_ is not None:
        return demand.find_slot(group, asked.step, asked.pass_)
    return fastener.next_slot(before, slots, loosened=asked.loosened)


def _until(asked: Asked, now: Moment, late: Moment, revived_until: Moment) -> Moment:
    """Up to when a reading is judged the same: never what is done now or later; what was done before until it is late."""
    if asked.performed_at is None or asked.performed_at >= now:
        return now
    return revived_until if now > late else min(revived_until, late + 1)


def _once(remarks: tuple[Remark, ...]) -> tuple[Remark, ...]:
    return tuple(dict.fromkeys(remarks))


def judged_member(judged: Judged) -> dict[str, Any]:
    """What a reading freezes of its judgement, as it stands in the entry's body."""
    return _member(
        judged.rule_set, judged.card, judged.specified, judged.unit, judged.limits, judged.gain, judged.group,
        judged.run_on, *judged.tools,
    )  # fmt: skip


@kept
def _member(
    rule_set: int, card: Card, specified: str, unit: str, limits: Limits, gain: Fraction, group: Group,
    run_on: Fraction | None, *used: ToolJudged,
) -> dict[str, Any]:  # fmt: skip
    ends = {
        name: display(end, 40)
        for name, end in (("low", limits.low), ("high", limits.high))
        if end is not None
    }
    member = {
        "rule_set": str(rule_set), "card": card.digest, "revision": card.revision, "specified": specified,
        "unit": unit, "limits": {**ends, "unit": "N·m"}, "gain": str(gain), "direction": group.direction,
        "tools": [_tool_member(each) for each in used],
    }  # fmt: skip
    if run_on is not None:
        member["run_on"] = {"value": display(run_on, 40), "unit": "N·m"}
    return Fixed(member)


def _tool_member(each: ToolJudged) -> dict[str, str]:
    member = {"tool": each.tool.tool, "role": each.role}
    found = each.fitness.calibration
    if found is not None:
        member["calibration"] = f"{found.station}-{found.number:06d}"
        member["certificate"] = found.certificate
    if each.fitness.due is not None:
        member["due"] = each.fitness.due.isoformat()
    return member
