"""`torquelog job tools`: what to draw."""

from typing import TYPE_CHECKING

import click

from torquelog.cli import words
from torquelog.cli.answer import Answer, Column, Json, Table
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.ledger.text import gate_identifier
from torquelog.work.job_tools import Draw, JobTools, job_tools

if TYPE_CHECKING:
    from torquelog.book.opening import Book


@command(
    "tools",
    short="Show what to draw for a job: wrenches that reach every setting.",
    examples=(Example("torquelog job tools J-5"), Example("torquelog job tools J-5 --adapter A-03 --json")),
    csv=True,
)
@click.argument("job")
@click.option("-a", "--adapter", metavar="NUMBER", multiple=True, help="An adapter in line.")
@click.option("--by", metavar="PERSON", help="Whose own tools come first, if not yours.")
def tools(context: Context, job: str, adapter: tuple[str, ...], by: str | None) -> Answer:
    """Tools that others have, and those past their calibration or too low in cycles, are left out.

    Run-on torque, where the card wants it, comes on top of these settings.
    """
    book = context.book("read")
    found = job_tools(
        book, gate_identifier(job, "job"), adapters=[gate_identifier(name, "adapter") for name in adapter],
        person=gate_identifier(by, "by") if by else _here(context, book),
    )  # fmt: skip
    records = tuple(_record(group, draw) for group, _, draws in found.groups for draw in draws)
    return Answer(
        headline=_headline(found),
        table=Table(
            columns=(
                Column("group"), Column("wrench"), Column("set", fold=True), Column("where"), Column("due"),
                Column("uses left", right=True),
            ),
            rows=tuple(_row(group, draw) for group, _, draws in found.groups for draw in draws),
            records=records,
            fields=("group", "wrench", "where", "due", "cycles_left"),
        ) if records else None,
        data={"job": found.state.job.job, "tools": list(records),
              "open": {group: left for group, left, _ in found.groups}},
        next=(f"torquelog wrench issue NUMBER --to PERSON --job {found.state.job.job}",) if records else (),
    )  # fmt: skip


def _here(context: Context, book: "Book") -> str:
    """Who is meant where nobody is named: the only person signed in on this terminal, if there is one."""
    from torquelog.cli.signing import named
    from torquelog.work.signing import all_signed_in

    here = all_signed_in(book)
    return named(context) or (here[0].person if len(here) == 1 else "")


def _headline(found: JobTools) -> str:
    without = [group for group, left, draws in found.groups if left and not draws]
    job = found.state.job.job
    if without:
        groups = words.listing([words.group(each) for each in without])
        return f"No wrench here reaches all settings of {groups} of {job}."
    return f"These wrenches reach every setting of {job}."


def _where(draw: Draw) -> str:
    if draw.able.where.kind == "person":
        return f"with {draw.able.where.person}"
    return f"crib, {draw.able.tool.place}" if draw.able.tool.place else "crib"


def _settings(draw: Draw) -> str:
    dials = [str(each.dial) if each.dial else "no mark inside" for each in draw.settings]
    return ", ".join(dict.fromkeys(dials))


def _row(group: str, draw: Draw) -> tuple[str, ...]:
    fit = draw.able.fitness
    return (
        words.group(group), draw.able.tool.tool, _settings(draw), _where(draw),
        words.day(fit.due) if fit.due else "", "" if fit.cycles_left is None else words.number(fit.cycles_left),
    )  # fmt: skip


def _record(group: str, draw: Draw) -> dict[str, Json]:
    fit = draw.able.fitness
    return {
        "group": group,
        "wrench": draw.able.tool.tool,
        "where": _where(draw),
        "due": fit.due.isoformat() if fit.due else None,
        "cycles_left": fit.cycles_left,
        "settings": [
            {
                "step": each.slot,
                "dial": {"value": each.dial.value, "unit": each.dial.unit} if each.dial else None,
            }
            for each in draw.settings
        ],
    }
