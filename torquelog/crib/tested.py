"""Checks of tools on a tester: evidence with a date, and for some tools what opens the day."""

from collections.abc import Sequence
from typing import NamedTuple

from torquelog.book import tester_checks
from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.toolbox import fitness_at, tool_named
from torquelog.book.writing import writing
from torquelog.clock import Moment, offset_text
from torquelog.crib.custody import earlier
from torquelog.errors import TorquelogError
from torquelog.facts.members import quantity
from torquelog.facts.tested import Pair
from torquelog.facts.tools import Tool
from torquelog.rules.fitness import Fitness
from torquelog.torque.number import display


class Tested(NamedTuple):
    """A check on record.

    Attributes:
        tool, tester: what was checked, and on what.
        pairs: the readings.
        outcome: within or outside.
        at: when it was done.
        fitness: how fit the tool is now.
        reference: the entry.
    """

    tool: Tool
    tester: Tool
    pairs: tuple[Pair, ...]
    outcome: str
    at: Moment
    fitness: Fitness
    reference: str


def record(
    book: Book, signer: Signer, name: str, tester: str, pairs: Sequence[Pair], *, at: Moment | None = None,
    why: str = "", sort: str = "",
) -> Tested:  # fmt: skip
    """Put a check on a tester on record. Where one reading is outside the accuracy, the tool is out.

    Args:
        book, signer: where, and who signs (crib or technician).
        name, tester: the numbers of the tool and of the tester.
        pairs: what the tool showed and the tester measured, one or more.
        at: when, or nothing for now. A check that opens the day does so from now on only.
        why: a remark, or "".
        sort: which sort of tool is meant, "" for any.

    Raises:
        TorquelogError: `tool-unknown`, `accuracy-missing`, `points-form`, `tester-unfit`, `in-the-future`.
    """
    with writing(book) as w:
        tool, on = tool_named(w.connection, name, sort), tool_named(w.connection, tester, "tester")
        if tool.accuracy is None:
            raise TorquelogError(
                "accuracy-missing",
                f"{tool.tool} is registered without an accuracy, so a check says nothing. Nothing was recorded.",
            )
        _check_pairs(tool, pairs)
        now = w.time()
        then = now if at is None else earlier(w, at)
        judged = tester_checks.judge(w.connection, w.station, book.zone, on, tool.accuracy, pairs, then, now)
        if judged.grounds:
            raise TorquelogError(
                "tester-unfit",
                " ".join(ground.message for ground in judged.grounds),
                why="A check on it would say nothing. Nothing was recorded.",
                hint=f"torquelog tester show {on.tool}",
            )
        body = {
            "tool": tool.tool, "tester": on.tool, "readings": [_pair(each) for each in pairs],
            "accuracy": {"value": display(tool.accuracy * 100), "unit": "%"}, "outcome": judged.outcome,
        } | ({"certificate": judged.calibration.reference} if judged.calibration else {}) \
          | ({"why": why} if why else {}) | ({"at": offset_text(at, book.zone)} if at is not None else {})  # fmt: skip
        entry = w.append(signer, "tested", body, at=now)
        return Tested(
            tool=tool, tester=on, pairs=tuple(pairs), outcome=judged.outcome, at=then,
            fitness=fitness_at(w.connection, book, tool, now), reference=entry.reference,
        )  # fmt: skip


def _pair(pair: Pair) -> dict[str, object]:
    body: dict[str, object] = {"reading": quantity(pair.reading), "reference": quantity(pair.reference)}
    return body | ({"direction": pair.direction} if pair.direction else {})


def _check_pairs(tool: Tool, pairs: Sequence[Pair]) -> None:
    """Raise `points-form` where the readings cannot be those of this tool."""
    for each in pairs:
        value = each.reading.newton_metres
        scale = next((scale for scale in tool.scales if scale.unit == each.reading.unit), None)
        if scale is None or not scale.low.newton_metres <= value <= scale.high.newton_metres:
            raise TorquelogError(
                "points-form",
                f"{tool.tool} cannot have shown {each.reading}: no scale of it does. Nothing was recorded.",
                hint="Read its scale again, with the unit.",
            )
        if each.reference.newton_metres == 0:
            raise TorquelogError("points-form", "The tester cannot have measured zero. Nothing was recorded.")
