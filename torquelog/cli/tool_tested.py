"""A check on a tester at the command line: what was told, and what is said of it."""

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from torquelog.cli.answer import Answer, Column, Json, Table
from torquelog.cli.context import Context
from torquelog.cli.signing import open_for, signed_in
from torquelog.cli.tool_calibrate import signed_percent
from torquelog.cli.tool_options import moment, reason
from torquelog.cli.toolwords import fitness_data, seen_now
from torquelog.clock import offset_text
from torquelog.crib import tested
from torquelog.crib.tested import Tested
from torquelog.errors import TorquelogError
from torquelog.facts.tested import Pair
from torquelog.rules.sayings import ROUND, percent
from torquelog.torque.deviation import deviation
from torquelog.torque.number import quoted
from torquelog.torque.units import parse_torque

if TYPE_CHECKING:
    from torquelog.book.opening import Book

OUTSIDE = 4


def tested_tool(
    context: Context, sort: str, number: str, *, tester: str, readings: Sequence[str], references: Sequence[str],
    direction: str | None, at: str | None, why: str | None,
) -> Answer:  # fmt: skip
    """Put a check on record; it ends with 4 where the tool did not pass.

    Args:
        context: the surroundings.
        sort, number: which tool.
        tester: the tester's number.
        readings, references: what the tool showed, and what the tester measured, in the same order.
        direction: cw or ccw, or nothing where it is not told.
        at, why: when, if not now, and a remark.
    """
    pairs = read_pairs(readings, references, direction)
    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        found = tested.record(
            book, signer, number, tester, pairs, at=moment(book, at), why=reason(why), sort=sort
        )
        return answered(book, found)


def read_pairs(readings: Sequence[str], references: Sequence[str], direction: str | None) -> list[Pair]:
    """The readings with what the tester measured beside each (codes needs-option, points-form)."""
    if direction and direction not in ROUND:
        raise TorquelogError(
            "points-form", f"{quoted(direction)} is not a direction.", hint="It is cw or ccw."
        )
    if not readings or len(readings) != len(references):
        raise TorquelogError(
            "needs-option",
            f"There are {len(readings)} readings and {len(references)} references.",
            hint="Give --reading and --reference once for each, in the same order.",
        )
    return [
        Pair(parse_torque(shown), parse_torque(real), direction or "")
        for shown, real in zip(readings, references, strict=True)
    ]


def answered(book: "Book", found: Tested) -> Answer:
    """What is said of a check."""
    tool, accuracy = found.tool, found.tool.accuracy or Fraction(0)
    passed = found.outcome == "within"
    unfit = tuple(seen_now(ground.message) for ground in found.fitness.grounds)
    state = "It may not be used." if unfit else "It may be used."
    verdict = (
        f"passed its check on {found.tester.tool}" if passed else f"FAILED its check on {found.tester.tool}"
    )
    rows = [
        (each, deviation(each.reading.newton_metres, each.reference.newton_metres)) for each in found.pairs
    ]
    table = Table(
        (
            Column("reading", right=True), Column("reference", right=True), Column("deviation", right=True),
            Column(""),
        ),
        tuple(
            (
                str(each.reading), str(each.reference), signed_percent(off),
                f"inside {percent(accuracy)}" if abs(off) <= accuracy else f"! outside {percent(accuracy)}",
            )
            for each, off in rows
        ),
    )  # fmt: skip
    data: list[Json] = [
        {
            "reading": {"value": each.reading.value, "unit": each.reading.unit},
            "reference": {"value": each.reference.value, "unit": each.reference.unit},
            "direction": each.direction or None, "deviation": signed_percent(off), "inside": abs(off) <= accuracy,
        }
        for each, off in rows
    ]  # fmt: skip
    return Answer(
        headline=f"{tool.tool} {verdict}. {state}",
        facts=(("Entry", found.reference),),
        body=unfit,
        table=table,
        next=(f"torquelog {tool.sort} show {tool.tool}",) if passed else ("torquelog recall list",),
        data={
            "entry": found.reference,
            "tool": tool.tool,
            "tester": found.tester.tool,
            "outcome": found.outcome,
            "at": offset_text(found.at, book.zone),
            "readings": data,
            **fitness_data(book, tool, found.fitness),
        },
        exit=0 if passed else OUTSIDE,
    )
