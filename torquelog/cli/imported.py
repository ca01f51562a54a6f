"""What is said once a file was brought in, or was not: counts by outcome, the first errors, how to go on."""

import shlex
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, Final

from torquelog.cli import words
from torquelog.cli.answer import Answer, Json, Problem, Remark
from torquelog.cli.context import Context
from torquelog.cli.lines import worst
from torquelog.cli.render import envelope_text, write_lines
from torquelog.errors import INTERRUPTED
from torquelog.importing.rejects import told
from torquelog.importing.tally import Placed, Tally
from torquelog.importing.unit import Done, Unit

THINGS: Final = {
    "readings": ("reading", "readings"), "wrenches": ("wrench", "wrenches"),
    "calibrations": ("certificate", "certificates"), "assemblies": ("assembly", "assemblies"),
}  # fmt: skip
"""What one unit of each kind of file is called, and several."""

LOOK: Final = {
    "readings": "job list --all", "wrenches": "wrench list", "calibrations": "wrench due",
    "assemblies": "assembly list",
}  # fmt: skip
"""Where to look at what was brought in."""

LABELS: Final = {
    "within": "Within limits",
    "below": "Below limits",
    "above": "Above limits",
    "refused": "Refused, kept",
    "registered": "Registered",
    "added": "Added",
    "accepted": "Accepted",
    "waiting": "Not accepted yet",
    "on-record": "On record before",
    "same-row": "Said twice",
}
"""How outcomes are counted for people, in this order."""

EXITS: Final = {"refused": 3, "below": 4, "above": 4}
"""The exit status of an outcome, where it is not 0."""

BEFORE: Final = frozenset({"on-record", "same-row"})
"""Outcomes for which nothing is written."""


def answer_of(context: Context, name: str, given: Mapping[str, Any], tally: Tally, rejects: str) -> Answer:
    """The answer for a file.

    Args:
        context: the surroundings.
        name: the kind of file.
        given: the options by name.
        tally: what became of it.
        rejects: the file of rejects that was written, or "".
    """
    answer = Answer(
        headline=_headline(name, given, tally),
        facts=tuple(_facts(tally, rejects)),
        problems=tuple(_problems(tally)),
        remarks=tuple(_remarks(name, tally)),
        next=tuple(_next(name, given, tally, rejects)),
        data=_data(name, given, tally, rejects),
        exit=_exit(tally),
    )
    if given["lines"]:
        write_lines(context.stdout, [envelope_text(context, answer)])
        return Answer(exit=answer.exit, written=True)
    return answer


def no_teller(_unit: Unit, _result: Done | list[Placed]) -> None:
    """Says nothing of a single row."""


def line_teller(context: Context) -> Callable[[Unit, Done | list[Placed]], None]:
    """Answers each unit with an envelope that bears the number of its line."""

    def tell(unit: Unit, result: Done | list[Placed]) -> None:
        if isinstance(result, Done):
            data: dict[str, Json] = {"entry": result.entry or None, "outcome": result.outcome}
            answer = Answer(data=data, exit=EXITS.get(result.outcome, 0))
        else:
            answer = Answer(
                problems=tuple(map(problem, result)), exit=worst(e.wrong.error.exit for e in result)
            )
        write_lines(context.stdout, [envelope_text(context, answer, unit.line)])

    return tell


def problem(placed: Placed) -> Problem:
    """An error with its line and its column."""
    error = placed.wrong.error
    between = ", " if placed.wrong.column else ": "
    return Problem(error.code, f"Line {words.number(placed.line)}{between}{told(placed.wrong)}", error.hint)


def _written(outcomes: Mapping[str, int]) -> int:
    return sum(count for outcome, count in outcomes.items() if outcome not in BEFORE)


def _headline(name: str, given: Mapping[str, Any], tally: Tally) -> str:
    count = _written(tally.outcomes)
    are = f"{words.count(count, *THINGS[name])} {'is' if count == 1 else 'are'} on record"
    rows = words.count(tally.rows, "row")
    if tally.interrupted:
        return f"Interrupted. {are}, and nothing is half written."
    if tally.stopped is not None:
        return f"Stopped at line {words.number(tally.stopped.line)}, as somebody wrote meanwhile. {are}."
    if given["dry_run"]:
        can = (
            "can be brought in"
            if not tally.errors
            else f"{words.number(tally.rejected)} cannot be brought in"
        )
        return f"{rows} judged, {can}. Nothing was written."
    if tally.errors and not given["keep_going"]:
        return f"Nothing was recorded: of {rows}, {words.number(tally.rejected)} cannot be brought in."
    if tally.rejected:
        return f"{are}; {words.count(tally.rejected, 'row')} could not be brought in."
    return f"{are}." if count else "Nothing in it is new."


def _facts(tally: Tally, rejects: str) -> Iterator[tuple[str, str]]:
    yield "Rows read", words.number(tally.rows)
    for outcome, label in LABELS.items():
        if tally.outcomes[outcome]:
            yield label, words.number(tally.outcomes[outcome])
    if tally.first:
        yield "Entries", tally.first if tally.first == tally.last else f"{tally.first} to {tally.last}"
    if rejects:
        yield "Rejects", rejects


def _problems(tally: Tally) -> Iterator[Problem]:
    hinted: set[str] = set()
    if tally.interrupted:
        again = "Run the same command again: it goes on where it stopped."
        yield Problem("interrupted", f"{words.count(tally.left, 'row')} judged and not written yet." if tally.left else
                      "It was stopped by Ctrl-C.", again)  # fmt: skip
    for placed in [*tally.shown, *([tally.stopped] if tally.stopped else [])]:
        found = problem(placed)
        yield found._replace(hint="") if found.hint in hinted else found
        hinted.add(found.hint)


def _remarks(name: str, tally: Tally) -> Iterator[Remark]:
    more = tally.errors - len(tally.shown)
    if more > 0:
        codes = ", ".join(f"{code} {words.number(count)}" for code, count in tally.wrong.most_common(5))
        yield Remark("more-errors", f"{words.number(more)} more are not shown. In all: {codes}.")
    if tally.doubled:
        told_twice = "Each counts." if name == "readings" else "They count once."
        lines = ", ".join(map(words.number, tally.doubled))
        yield Remark(
            "same-row", f"Rows that stand in the file before, word for word: lines {lines}. {told_twice}"
        )
    if tally.changes:
        first = tally.changed[0]
        came = f"{first.judged} when judged, {first.written or 'not possible'} when written"
        yield Remark(
            "changed-meanwhile",
            f"Somebody wrote meanwhile: {words.count(tally.changes, 'row')} came out otherwise than judged, "
            f"the first in line {words.number(first.line)} ({came}).",
        )


def _next(name: str, given: Mapping[str, Any], tally: Tally, rejects: str) -> Iterator[str]:
    again = f"torquelog import {name} {shlex.quote(given['file'])}{_said(given)}"
    if tally.interrupted or tally.stopped or given["file"] == "-":
        return
    if given["dry_run"] and not tally.errors:
        yield f"{again}   brings them in"
    elif tally.errors and not given["keep_going"]:
        yield f"{again} --keep-going   brings in the others, keeps these aside"
    elif rejects:
        yield f"torquelog import {name} {shlex.quote(rejects)}{_said(given)}   once its rows are mended"
    elif tally.outcomes["waiting"]:
        yield "torquelog wrench receive NUMBER   accepts the newest certificate"
    elif tally.outcomes["refused"]:
        yield "torquelog refused   lists the attempts that were refused"
    else:
        yield f"torquelog {LOOK[name]}"


def _said(given: Mapping[str, Any]) -> str:
    """The options that say something of the rows, as they were given."""
    flags = [f" --{option.replace('_', '-')}" for option in ("decimal_comma", "accept") if given.get(option)]
    return "".join(flags) + (f" --why {shlex.quote(given['why'])}" if given.get("why") else "")


def _data(name: str, given: Mapping[str, Any], tally: Tally, rejects: str) -> dict[str, Json]:
    return {
        "kind": name,
        "file": given["file"],
        "dry_run": given["dry_run"],
        "rows": str(tally.rows),
        "outcomes": {outcome: str(tally.outcomes[outcome]) for outcome in LABELS if tally.outcomes[outcome]},
        "first": tally.first or None,
        "last": tally.last or None,
        "errors": {code: str(count) for code, count in sorted(tally.wrong.items())},
        "shown": [_shown(placed) for placed in tally.shown],
        "rejected": str(tally.rejected),
        "rejects": rejects or None,
        "changed": [dict(each._asdict()) for each in tally.changed],
        "left": str(tally.left),
    }


def _shown(placed: Placed) -> dict[str, Json]:
    error = placed.wrong.error
    return {
        "line": placed.line,
        "column": placed.wrong.column or None,
        "code": error.code,
        "message": error.message,
    }


def _exit(tally: Tally) -> int:
    if tally.interrupted:
        return INTERRUPTED
    return worst(_exits(tally))


def _exits(tally: Tally) -> Iterable[int]:
    yield from tally.exits
    if tally.stopped is not None:
        yield tally.stopped.wrong.error.exit
    yield from (status for outcome, status in EXITS.items() if tally.outcomes[outcome])
