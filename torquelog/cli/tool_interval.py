"""`interval` and `limits`: the advice on a tool's interval, and quality's decision about it."""

from collections.abc import Iterable
from fractions import Fraction
from typing import Final

from torquelog.cli import words
from torquelog.cli.answer import Answer, Column, Json, Table
from torquelog.cli.context import Context
from torquelog.cli.signing import by_passphrase, open_for
from torquelog.cli.tool_calibrate import signed_percent
from torquelog.cli.tool_options import demanded_reason, interval, whole
from torquelog.cli.toolwords import fitness_data, problems
from torquelog.quality.interval import Advised, advise
from torquelog.quality.limits import LimitsSet, set_limits
from torquelog.rules.interval_advice import Past
from torquelog.torque.interval import Advice

DECISIONS: Final = {
    "keep": "keep its interval",
    "shorten": "shorten its interval",
    "lengthen": "its interval may be lengthened",
    "too-few": "too few results to say",
}
MONTH_DAYS: Final = Fraction(365, 12)


def interval_advice(context: Context, sort: str, number: str) -> Answer:
    """What the results speak for; nothing is changed by it."""
    with open_for(context, "read") as book:
        found = advise(book, number, sort)
        tool, advice = found.tool, found.advice
        proposed = f", to {period(advice.days)}" if advice.days and advice.decision != "keep" else ""
        facts = [
            ("Interval now", str(tool.every) if tool.every else words.count(found.days, "day")),
            ("Wanted", f"{found.target} % in tolerance (station rule reliability-percent)"),
            ("By its own results", f"{DECISIONS[found.own.decision]}. {found.own.reason}"),
            ("By tools like it", f"{DECISIONS[found.family.decision]}. {found.family.reason}"),
            ("Tools like it", ", ".join(found.members)),
        ]
        change = advice.days and advice.decision in ("shorten", "lengthen")
        limits = f'torquelog {tool.sort} limits {tool.tool} --every "{period(advice.days or 1)}" --why REASON'
        return Answer(
            headline=f"{tool.tool}: {DECISIONS[advice.decision]}{proposed}.",
            facts=tuple(facts),
            body=("This is advice. Quality decides, and what it sets counts from then on.",),
            table=history_table(found.history) if found.history else None,
            next=(limits if change else f"torquelog {tool.sort} show {tool.tool}",),
            data=advised_data(found),
        )


def period(days: int) -> str:
    """Days as a period that can be typed: whole months where there is one, rounded down."""
    months = int(days / MONTH_DAYS)
    return words.count(months, "month") if months else words.count(days, "day")


def history_table(history: Iterable[Past]) -> Table:
    """The past intervals: from which certificate to which, how long, and the largest change."""
    columns = (
        Column("left by"), Column("found by"), Column("days", right=True), Column("largest change", right=True),
    )  # fmt: skip
    return Table(
        columns,
        tuple(
            (
                each.left.certificate, each.found.certificate, words.number(each.days),
                "-" if each.worst is None else signed_percent(each.worst),
            )
            for each in history
        ),
        tuple(past_data(each) for each in history),
    )  # fmt: skip


def past_data(each: Past) -> dict[str, Json]:
    """A past interval for programs."""
    return {
        "left": each.left.certificate,
        "found": each.found.certificate,
        "days": str(each.days),
        "change": None if each.worst is None else signed_percent(each.worst),
    }


def advice_data(each: Advice) -> dict[str, Json]:
    """An advice for programs."""
    return {
        "decision": each.decision,
        "days": None if each.days is None else str(each.days),
        "reason": each.reason,
    }


def advised_data(found: Advised) -> dict[str, Json]:
    """All of it for programs."""
    return {
        "tool": found.tool.tool,
        "every": str(found.tool.every) if found.tool.every else None,
        "days": str(found.days),
        "advice": advice_data(found.advice),
        "own": advice_data(found.own),
        "family": advice_data(found.family),
        "target": f"{found.target} %",
        "members": list(found.members),
        "good": str(found.good),
        "tested": str(found.tested),
        "history": [past_data(each) for each in found.history],
    }


def limits(
    context: Context, sort: str, number: str, every: str | None, cycles: str | None, why: str | None
) -> Answer:
    """Set a tool's limits from now on, with quality's passphrase."""
    why_text = demanded_reason(why)
    new_every = interval(every)
    new_cycles = whole(cycles, "cycles") if cycles else None
    with open_for(context, "write") as book:
        signer = by_passphrase(context, book)
        found = set_limits(book, signer, number, every=new_every, cycles=new_cycles, why=why_text, sort=sort)
        tool = found.after
        return Answer(
            headline=f"{tool.tool} is calibrated {_said(found)} from now on.",
            facts=(("Before", _limits(found.before.every, found.before.cycles)), ("Entry", found.reference)),
            body=("What was done before is judged by what was set before.",),
            problems=problems(found.fitness),
            next=(f"torquelog {tool.sort} show {tool.tool}",),
            data={
                "entry": found.reference,
                "tool": tool.tool,
                "every": str(tool.every) if tool.every else None,
                "cycles": None if tool.cycles is None else str(tool.cycles),
                **fitness_data(book, tool, found.fitness),
            },
        )  # fmt: skip


def _said(found: LimitsSet) -> str:
    return _limits(found.after.every, found.after.cycles)


def _limits(every: object, cycles: int | None) -> str:
    said = (
        f"every {every}" if every else "",
        f"after {words.number(cycles)} cycles" if cycles is not None else "",
    )
    return " and ".join(part for part in said if part) or "without a limit"
