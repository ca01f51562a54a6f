"""One tool: what it is, how it stands, its life; and whether it may be used."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from torquelog.cli import words
from torquelog.cli.answer import Answer, Column, Json, Problem, Table
from torquelog.cli.asked import parse_fastener
from torquelog.cli.context import Context
from torquelog.cli.drift_words import drift_data, drift_facts, drifted
from torquelog.cli.signing import named, open_for
from torquelog.cli.toolwords import (
    TYPES,
    alternative_lines,
    covered_words,
    cycles_words,
    due_words,
    fitness_data,
    may_be_used,
    nature,
    problems,
    range_words,
    remarks,
    tool_data,
    where_data,
    where_words,
)
from torquelog.cli.torques import limits_data, shown
from torquelog.clock import local_date, offset_text, parse_moment
from torquelog.crib.alternatives import alternatives
from torquelog.crib.check import Checked, Demanded, check
from torquelog.crib.history import Event, Shown, evidence_words, show
from torquelog.errors import TorquelogError
from torquelog.facts.calibrations import Calibration
from torquelog.facts.conditions import Condition
from torquelog.facts.custody import Move
from torquelog.facts.tools import Tool
from torquelog.ledger.text import gate_identifier
from torquelog.rules.fitness import needs_calibration
from torquelog.rules.sayings import percent

if TYPE_CHECKING:
    from torquelog.book.opening import Book

MOVES = {"issue": "issued", "return": "returned", "send": "sent", "receive": "received", "retire": "retired"}


def show_tool(context: Context, sort: str, number: str, as_of: str | None) -> Answer:
    """A tool with its life."""
    from torquelog.book.toolbox import tool_named

    with open_for(context, "read") as book:
        tool = tool_named(book.connection, number, sort)
        moment = parse_moment(as_of, book.zone) if as_of else None
        found = show(book, tool, moment)
        line = found.line
        when = f" as of {words.day_and_time(found.as_of, book.zone)}" if as_of else ""
        drift = drifted(found.certificates)
        state = "may not be used" if line.fitness.grounds else "may be used"
        return Answer(
            headline=f"{tool.tool} {state}{when}.",
            facts=(*facts(book, found), *drift_facts(tool, drift)),
            problems=problems(line.fitness),
            table=life(book, found),
            next=show_next(sort, tool.tool, [ground.code for ground in line.fitness.grounds]),
            data={
                **tool_data(tool),
                "where": where_data(line.where, book.zone),
                **fitness_data(book, tool, line.fitness),
                "uses": str(found.uses),
                "certificates": [certificate_data(book, each) for each in found.certificates],
                "drift": drift_data(drift),
                "events": [event_data(book, each) for each in found.events],
                "as_of": offset_text(found.as_of, book.zone),
            },
        )


CURES: Final = {
    "quarantined": "release {} --why REASON",
    "not-accepted": "receive {}",
    "away": "receive {}   when it is back",
    "retired": "list",
    "lost": "report {} found --why REASON   once it is found",
    **dict.fromkeys(
        ("dropped", "overloaded", "damaged", "check-failed", "as-left-failed"), "send {} --to LABORATORY"
    ),
}
"""What to do about a tool that may not be used, by the first ground that is here; for any other, a new calibration."""


def show_next(sort: str, number: str, grounds: Sequence[str]) -> tuple[str, ...]:
    """What may be done about a tool that may not be used; else where it worked, or when the next is due."""
    if grounds:
        cure = next((cure for code, cure in CURES.items() if code in grounds), "calibrate {}")
        return (f"torquelog {sort} {cure.format(number)}",)
    return (f"torquelog {sort} due",) if sort == "tester" else (f"torquelog trace {sort} {number}",)


def facts(book: "Book", found: Shown) -> Iterator[tuple[str, str]]:
    """What a tool is and how it stands."""
    line, tool = found.line, found.line.tool
    today = local_date(found.as_of, book.zone)
    pairs = [
        ("Range", range_words(tool)),
        ("", ", ".join(f"graduation {scale.graduation}" for scale in tool.scales if scale.graduation)),
        ("Works so", TYPES.get(tool.type, "")),
        ("Lever", str(tool.lever) if tool.lever else ""),
        ("Length", nature(tool) if tool.sort == "adapter" else ""),
        ("Accuracy", percent(tool.accuracy) if tool.accuracy is not None else ""),
        ("Calibrated every", _intervals(tool)),
        ("Maker", f"{tool.maker} {tool.serial}".strip()),
        ("Where", where_words(tool, line.where, found.as_of, book.zone)),
    ]
    certificate = line.fitness.calibration
    if certificate is not None:
        pairs += [
            ("Certificate", f"{certificate.certificate} of {words.day(certificate.on)}"),
            ("Covers", covered_words(line.fitness)),
            ("Due", due_words(line.fitness.due, today).removeprefix("due ")),
            ("Cycles", cycles_words(tool, line.fitness).removesuffix(" cycles")),
        ]
    return ((label, value) for label, value in pairs if value)


def _intervals(tool: Tool) -> str:
    parts = [
        str(tool.every) if tool.every else "",
        f"{words.number(tool.cycles)} cycles" if tool.cycles else "",
    ]
    return ", or ".join(part for part in parts if part)


def life(book: "Book", found: Shown) -> Table | None:
    """The life of a tool, the newest first."""
    if not found.events:
        return None
    rows = tuple(event_row(book, each) for each in reversed(found.events))
    heads = (Column("when"), Column("what", fold=True), Column("by"), Column("entry"))
    return Table(heads, rows, tuple(event_data(book, each) for each in reversed(found.events)))


def event_row(book: "Book", event: Event) -> tuple[str, ...]:
    """One line of a life."""
    when = words.day(local_date(event.at, book.zone))
    return when, event_words(event), event.signer, event.reference


def event_words(event: Event) -> str:
    """What happened, in words."""
    fact = event.fact
    if isinstance(fact, Calibration):
        accepted = f", accepted by {fact.accepted_by}" if fact.accepted_by else ", not accepted"
        of = f" of {fact.laboratory}" if fact.laboratory else ""
        return f"certificate {fact.certificate}{of}, {words.day(fact.on)}{accepted}"
    if isinstance(fact, Move):
        to = fact.person or fact.place
        job = f" for {fact.job}" if fact.job else ""
        uses = f", {words.count(fact.uses, 'use')} elsewhere" if fact.uses else ""
        return f"{MOVES[fact.act]}{f' to {to}' if to else ''}{job}{uses}{f': {fact.why}' if fact.why else ''}"
    if not isinstance(fact, Condition):
        return ": ".join(part for part in evidence_words(fact) if part)
    bounds = f" to {fact.detail}" if fact.detail else ""
    return (
        f"{fact.what.replace('check-failed', 'failed a check')}{bounds}{f': {fact.why}' if fact.why else ''}"
    )


def certificate_data(book: "Book", each: Calibration) -> dict[str, Json]:
    """A certificate for programs."""
    return {
        "entry": each.reference,
        "certificate": each.certificate,
        "laboratory": each.laboratory or None,
        "on": str(each.on),
        "due": str(each.due) if each.due else None,
        "accepted_at": None if each.accepted is None else offset_text(each.accepted, book.zone),
        "accepted_by": each.accepted_by or None,
    }


def event_data(book: "Book", each: Event) -> dict[str, Json]:
    """One event of a life for programs."""
    return {
        "at": offset_text(each.at, book.zone),
        "what": each.what,
        "text": event_words(each),
        "by": each.signer or None,
        "entry": each.reference,
    }


def check_tool(
    context: Context,
    sort: str,
    number: str,
    *,
    job: str | None,
    fastener: str | None,
    adapters: Sequence[str],
) -> Answer:
    """Whether a tool may be used, now and for a fastener; exit 3 where it may not."""
    if fastener and not job:
        raise TorquelogError("needs-option", "The job of that fastener is needed.", hint="Add --job.")
    with open_for(context, "read") as book:
        found = check(
            book, number, sort=sort, person=named(context) or "", job=gate_identifier(job, "job") if job else "",
            fastener=parse_fastener(fastener) if fastener else None, adapters=adapters,
        )  # fmt: skip
        against = (*problems(found.fitness), *(each for _, fit in found.adapters for each in problems(fit)))
        against = against or unsettable(found)
        return Answer(
            headline=check_headline(book, found, fit=not against),
            problems=against,
            facts=tuple(check_facts(book, found)),
            remarks=remarks(found.fitness),
            body=tuple(other_tools(book, found)) if against else (),
            next=(
                f"torquelog {sort} tested {found.tool.tool} --tester TESTER --reading TORQUE --reference TORQUE"
                if "needs-check" in {each.code for each in against}
                else f"torquelog {sort} show {found.tool.tool}",
            ),
            data={
                "tool": found.tool.tool,
                "where": where_data(found.where, book.zone),
                **fitness_data(book, found.tool, found.fitness),
                "fit": not against,
                "adapters": [
                    {"tool": tool.tool, **fitness_data(book, tool, fit)} for tool, fit in found.adapters
                ],
                "demanded": demanded_data(found.demanded),
            },
            exit=3 if against else 0,
        )


def unsettable(found: Checked) -> tuple[Problem, ...]:
    """The problem of a wrench that is fit but cannot be set inside the limits."""
    asked = found.demanded.setting if found.demanded else None
    if asked is None or asked.dial is not None or asked.target is None:
        return ()
    return tuple(Problem(remark.code, f"{found.tool.tool}: {remark.message}") for remark in asked.remarks)


def check_headline(book: "Book", found: Checked, *, fit: bool) -> str:
    """The answer as a sentence."""
    what = "for this" if found.demanded else "now"
    if not fit:
        names = [found.tool.tool] if found.fitness.grounds or not found.adapters else []
        names += [tool.tool for tool, each in found.adapters if each.grounds]
        return f"{words.listing(names or [found.tool.tool])} may not be used {what}."
    if found.demanded:
        return f"{found.tool.tool} may be used for this."
    if not needs_calibration(found.tool) and found.fitness.calibration is None:
        return f"{found.tool.tool} may be used; it needs no calibration."
    return may_be_used(found.tool, found.fitness, local_date(found.now, book.zone))


def check_facts(book: "Book", found: Checked) -> Iterator[tuple[str, str]]:
    """What the fastener asks for, and how the tool stands."""
    if found.demanded is not None:
        yield from demanded_facts(found.demanded)
    certificate = found.fitness.calibration
    if certificate is not None:
        yield "Certificate", f"{certificate.certificate} of {words.day(certificate.on)}"
        today = local_date(found.now, book.zone)
        yield "Due", due_words(found.fitness.due, today).removeprefix("due ")
    cycles = cycles_words(found.tool, found.fitness)
    if cycles:
        yield "Cycles", cycles.removesuffix(" cycles")
    yield "Where", where_words(found.tool, found.where, found.now, book.zone)


def demanded_facts(asked: Demanded) -> Iterator[tuple[str, str]]:
    """The limits at the fastener, and what would be set."""
    if asked.setting is None:
        return
    above = " above run-on torque" if asked.run_on else ""
    yield "At the fastener", f"{asked.limits.words(asked.unit)}{above}, {asked.slot}"
    if asked.setting.dial is not None and not asked.run_on:
        yield "Set", shown(asked.setting.dial, asked.setting.dial_unit)


def demanded_data(asked: Demanded | None) -> Json:
    """What a fastener asks for, for programs."""
    if asked is None:
        return None
    dial = asked.setting.dial if asked.setting else None
    return {
        "fastener": f"{asked.group}:{asked.item}",
        "slot": asked.slot,
        "limits": limits_data(asked.limits, asked.unit) if asked.setting else None,
        "run_on": asked.run_on,
        "dial": None
        if dial is None or asked.setting is None
        else {
            "value": shown(dial, asked.setting.dial_unit, 16).split(" ")[0],
            "unit": asked.setting.dial_unit,
        },
    }


def other_tools(book: "Book", found: Checked) -> Iterator[str]:
    """Tools that could be used instead, where it is known what is needed."""
    setting = found.demanded.setting if found.demanded else None
    if setting is None or setting.target is None or found.adapters:
        return
    target = setting.target
    able = alternatives(book, lambda tool: [target], sort=found.tool.sort, without=[found.tool.tool])
    yield from alternative_lines(able, found.now, book.zone)
