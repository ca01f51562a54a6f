"""Judging one reading: the facts gathered as of when the work was performed, the rules asked, the verdict frozen.

The same function serves the act that records a reading, the question asked before the work, and verification,
which judges again what is on record.
"""

import sqlite3
from collections.abc import Mapping
from fractions import Fraction
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from torquelog.book.fasteners import fastener_state
from torquelog.book.reading_remarks import Place, of_reading
from torquelog.book.recent import Recent
from torquelog.book.used_tools import Bench, Moments, ToolJudged, chain, through
from torquelog.clock import Moment, from_offset_text
from torquelog.errors import TorquelogError
from torquelog.facts import cards, jobs, people, readings, stations
from torquelog.facts.card_form import Card, Group
from torquelog.facts.jobs import Job
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.kept import kept
from torquelog.ledger.jsontext import Fixed
from torquelog.rules import demand, fastener
from torquelog.rules.grounds import Ground, Remark
from torquelog.torque.limits import Limits
from torquelog.torque.number import display
from torquelog.torque.units import Torque


class RunOn(NamedTuple):
    """A run-on measurement: what was read, on which wrench, through which adapters."""

    torque: Torque
    wrench: str
    adapters: tuple[str, ...] = ()


class Asked(NamedTuple):
    """A reading as a person reports it.

    Attributes:
        job, group, item: which fastener.
        reading: what was set or read.
        wrench, adapters: what with, adapters from the wrench outwards.
        performed_by: who did it.
        performed_at: when, or None for now (milliseconds since 1970 UTC).
        step, pass_: the card's step or pass, or None for the first open one.
        run_on: the run-on measurement, or None.
        loosened: whether the fastener was loosened first.
        act: tighten or check where the person said so.
        why: the reason, where one is demanded.
        lots: lots of the hardware fitted.
    """

    job: str
    group: str
    item: int
    reading: Torque
    wrench: str
    adapters: tuple[str, ...]
    performed_by: str
    performed_at: Moment | None = None
    step: str | None = None
    pass_: int | None = None
    run_on: RunOn | None = None
    loosened: bool = False
    act: str | None = None
    why: str | None = None
    lots: tuple[str, ...] = ()


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
        specified: the card's specification as on the card; unit: the unit it is written in.
        outcome: within, below, above or refused.
        beyond: above what the card allows at any pass.
        worn: the run-on torque lies outside the card's limits for it.
        grounds: of a refusal.
        remarks: beside the outcome.
        awaits: a ground holds now that did not hold at the claimed time.
        before: the fastener's state before this reading.
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
    specified: str
    unit: str
    outcome: str
    beyond: bool
    worn: bool
    grounds: tuple[Ground, ...]
    remarks: tuple[Remark, ...]
    awaits: bool
    before: fastener.State


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
    job, card, group = place(connection, asked.job, asked.group, asked.item, recent)
    _performer(recent, station, asked.performed_by, at)
    rules = rules_then(recent, station, as_of.at)
    owner = jobs.owner_of(job, group)
    before = fastener_state(connection, job.job, owner, group, asked.item, as_of, recent)
    asked_slots = demand.slots(group)
    slot = _slot(group, asked, before, asked_slots)
    act, act_remark = fastener.counts_as(
        before, job.job, asked_slots, slot, loosened=asked.loosened, asked=asked.act
    )
    bench = Bench(recent, station, zone, asked.performed_by, job.job, Moments(at, now))
    found = _tools(bench, asked, group, before)
    limits = demand.demanded(group, slot, found.run_on_torque)
    tool = bench.tool(asked.wrench, "wrench")
    ratio, no_lever = chain(tool, found.adapters)
    wrench = bench.judged(
        tool, "wrench", indicated=asked.reading, direction=group.direction, width=_width(limits, ratio)
    )
    used = (wrench, *found.adapters, *found.run_on)
    grounds = (
        *(ground for each in used for ground in each.fitness.grounds),
        *no_lever,
        *found.run_on_grounds,
    )
    applied = through(asked.reading.newton_metres, ratio)
    top = demand.highest(group, found.run_on_torque)
    awaits = not grounds and at < now and _revived(bench, asked, group, used)
    worn = asked.run_on is not None and _worn(group, found.run_on_torque)
    remarks = (
        *(remark for each in used for remark in each.fitness.remarks),
        *of_reading(
            recent,
            Place(job, card, group, asked.item, owner, slot, before),
            at,
            now,
            rules,
            act_remark,
            asked.wrench,
            loosened=asked.loosened,
            awaits=awaits,
            worn=worn,
        ),
    )
    return Judged(
        job=job, card=card, group=group, item=asked.item, owner=owner, slot=slot, act=act, at=at,
        rule_set=rules.number, tools=used, gain=ratio, run_on=found.run_on_torque, limits=limits,
        specified=slot.spec.text if slot.spec else "", unit=slot.spec.unit if slot.spec else "N·m",
        outcome="refused" if grounds else limits.side(applied),
        beyond=bool(not grounds and top is not None and applied > top), worn=worn and not grounds,
        grounds=grounds, remarks=_once(remarks), awaits=awaits, before=before,
    )  # fmt: skip


def rules_then(recent: Recent, station: str, at: Moment) -> stations.Rules:
    """A station's rules at a moment; those after the last change are kept, as they stay so however late it gets."""
    kept_rules: tuple[Moment, stations.Rules] | None = recent.recall(rules_then, station)
    if kept_rules is not None and at >= kept_rules[0]:
        return kept_rules[1]
    changes = recent.ask(stations.rule_changes, station)
    found = stations.rules_at(changes, at)
    last = max((each.at for each in changes), default=0)
    if at >= last:
        recent.keep((last, found), rules_then, station)
    return found


def place(
    connection: sqlite3.Connection, name: str, group_id: str, item: int, recent: Recent | None = None
) -> tuple[Job, Card, Group]:
    """The job, its card and the group of a fastener.

    Raises:
        TorquelogError: `job-unknown`, `job-closed`, `group-unknown` or `fastener-unknown`.
    """
    recent = recent or Recent(connection)
    kept_place: tuple[Job, Card, Group] | None = recent.recall(place, name, group_id)
    job, card, group = kept_place or _place(recent, name, group_id)
    if not 1 <= item <= group.count:
        raise TorquelogError(
            "fastener-unknown",
            f"{name} has {group_id}:1 to {group_id}:{group.count}; there is no {item}. Nothing was recorded.",
            hint=f"If there are more, the card is the wrong one: torquelog card show {card.card}",
        )
    return job, card, group


def _place(recent: Recent, name: str, group_id: str) -> tuple[Job, Card, Group]:
    job = recent.ask(jobs.job, name)
    if job is None:
        raise TorquelogError(
            "job-unknown", f"There is no job {name}. Nothing was recorded.", hint="torquelog job list"
        )
    if job.closed is not None:
        raise TorquelogError(
            "job-closed",
            f"{name} is closed. Nothing was recorded.",
            hint="torquelog job open JOB --card CARD",
        )
    card = recent.ask(cards.card_by_digest, job.digest)
    if card is None:
        raise TorquelogError("card-unknown", f"The card of {name} is not on record. Nothing was recorded.")
    group = card.group(group_id)
    if group is None:
        raise _no_group(job, card, group_id)
    recent.keep((job, card, group), place, name, group_id)
    return job, card, group


def _no_group(job: Job, card: Card, group_id: str) -> TorquelogError:
    from difflib import get_close_matches

    names = [group.id for group in card.groups]
    close = get_close_matches(group_id, names, 1)
    like = f" Did you mean {close[0]}?" if close else ""
    return TorquelogError(
        "group-unknown",
        f"{job.job} has no group {group_id}. Nothing was recorded.",
        why=f"Its groups: {', '.join(names)}.{like}",
    )


def _performer(recent: Recent, station: str, person: str, at: Moment) -> None:
    kept_until: tuple[Moment, Moment] | None = recent.recall(_performer, station, person)
    if kept_until is not None and kept_until[0] <= at < kept_until[1]:
        return
    if recent.ask(people.person, person) is None:
        raise TorquelogError("person-unknown", f"Nobody is enrolled as {person}. Nothing was recorded.")
    changes = recent.ask(people.role_changes, station, person)
    if "technician" not in people.performing_roles(changes, at):
        raise TorquelogError(
            "no-role",
            f"{person} did not hold the role technician at that time. Nothing was recorded.",
            hint=f"torquelog person role {person} --add technician   (by quality)",
        )
    recent.keep((at, people.roles_stay_until(changes, at)), _performer, station, person)


def _worn(group: Group, run_on: Fraction | None) -> bool:
    """Whether a nut's run-on torque lies outside the card's limits for it."""
    return group.run_on is not None and run_on is not None and group.run_on.limits.side(run_on) != "within"


def _slot(group: Group, asked: Asked, before: fastener.State, slots: tuple[demand.Slot, ...]) -> demand.Slot:
    if asked.step is not None or asked.pass_ is not None:
        return demand.find_slot(group, asked.step, asked.pass_)
    return fastener.next_slot(before, slots, loosened=asked.loosened)


class _Tools(NamedTuple):
    """The tools of a reading before its limits are known: adapters, and the run-on measurement."""

    adapters: tuple[ToolJudged, ...]
    run_on: tuple[ToolJudged, ...]
    run_on_torque: Fraction | None
    run_on_grounds: tuple[Ground, ...]


def _tools(bench: Bench, asked: Asked, group: Group, before: fastener.State) -> _Tools:
    adapters = bench.adapters(asked.adapters, "adapter")
    measured = asked.run_on
    if measured is None:
        stands = demand.needs_run_on(group) and not asked.loosened
        return _Tools(adapters, (), bench.run_on_before(before) if stands else None, ())
    wrench = bench.judged(
        bench.tool(measured.wrench, "wrench"),
        "run-on-wrench",
        indicated=measured.torque,
        direction=group.direction,
    )
    through = bench.adapters(measured.adapters, "run-on-adapter")
    ratio, no_lever = chain(wrench.tool, through)
    return _Tools(adapters, (wrench, *through), measured.torque.newton_metres * ratio, no_lever)


@kept
def _width(limits: Limits, ratio: Fraction) -> Fraction | None:
    if limits.low is None or limits.high is None:
        return None
    return (limits.high - limits.low) / ratio


def _revived(bench: Bench, asked: Asked, group: Group, used: tuple[ToolJudged, ...]) -> bool:
    """Whether a ground holds now that did not hold at the claimed time, for any of the tools."""
    run_on = asked.run_on.torque if asked.run_on else None
    for each in used:
        indicated = {"wrench": asked.reading, "run-on-wrench": run_on}.get(each.role)
        direction = group.direction if indicated else ""
        if bench.grounds_now(each, indicated, direction):
            return True
    return False


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


def asked_of(body: Mapping[str, Any]) -> Asked:
    """The reading that an entry's body reports, as it was asked; for judging it again."""
    group, item = readings.fastener_of(body)
    run_on = body.get("run_on")
    # A check that the person did not ask for says so by its remark.
    by_itself = not fastener.CHECK_REMARKS.isdisjoint(body["remarks"])
    return Asked(
        job=body["job"], group=group, item=item, reading=torque_of(body["reading"]), wrench=body["wrench"],
        adapters=tuple(body.get("adapter", ())), performed_by=body["performed_by"],
        performed_at=from_offset_text(body["performed_at"]), step=body.get("step"),
        pass_=None if "step" in body else int(body["pass"]),
        run_on=run_on and RunOn(torque_of(run_on["torque"]), run_on["wrench"], tuple(run_on.get("adapter", ()))),
        loosened="loosened" in body, act="check" if body["act"] == "check" and not by_itself else None,
        why=body.get("why"),
        lots=tuple(body.get("lot", ())),
    )  # fmt: skip


def torque_of(member: Mapping[str, str]) -> Torque:
    """A torque as it stands in a body."""
    return Torque(member["value"], member["unit"])
