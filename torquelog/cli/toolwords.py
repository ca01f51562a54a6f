"""How a tool is said: what it is, where it is, when it is due, why it may not be used; and the same for programs."""

import re
from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING, Final
from zoneinfo import ZoneInfo

from torquelog.cli import words
from torquelog.cli.answer import Json, Problem, Remark
from torquelog.cli.text import columns, padded
from torquelog.clock import Moment, local_date, offset_text
from torquelog.facts.custody import Whereabouts
from torquelog.facts.tools import Scale, Tool
from torquelog.rules.fitness import Fitness
from torquelog.rules.grounds import Ground
from torquelog.rules.sayings import ROUND, percent, range_text
from torquelog.torque.number import display
from torquelog.torque.units import Length, Torque, torque

if TYPE_CHECKING:
    import sqlite3

    from torquelog.book.opening import Book
    from torquelog.crib.alternatives import Alternative

TYPES: Final = {"setting": "clicks", "indicating": "indicates", "preset": "preset"}

_NEAR: Final = (
    (re.compile(r", the same day\b"), ", today"),
    (re.compile(r", the day before\b"), ", yesterday"),
    (re.compile(r", ([\d,]+) days before\b"), r", \1 days ago"),
)


_BRIEF: Final = (
    (re.compile(r", and (was not calibrated since|is not received back)$"), ""),
    (re.compile(r"^has been in quarantine (since [^:]*):.*$", re.DOTALL), r"in quarantine \1"),
    (re.compile(r"^Certificate (.*), was not accepted here yet$"), r"certificate \1 not accepted"),
    (re.compile(r"^Certificate (.* outside its [^:]*):.*$"), r"certificate \1"),
    (re.compile(r"^was due .* and could be used through "), "usable through "),
    (re.compile(r"^was "), ""),
)


def seen_now(message: str) -> str:
    """The sentence of a judgement made now: its "2 days before" the use are "2 days ago"."""
    for pattern, near in _NEAR:
        message = pattern.sub(near, message)
    return message


def problems(fitness: Fitness) -> tuple[Problem, ...]:
    """Every ground against a tool, as judged now."""
    return tuple(Problem(ground.code, seen_now(ground.message)) for ground in fitness.grounds)


def remarks(fitness: Fitness) -> tuple[Remark, ...]:
    """The remarks on a tool, as judged now."""
    return tuple(Remark(remark.code, seen_now(remark.message)) for remark in fitness.remarks)


def briefly(tool: Tool, ground: Ground) -> str:
    """A ground without the tool's name, for a list: "due Mon 23 Nov 2026, 2 days ago"."""
    if ground.code == "cycles-used" and tool.cycles is not None:
        return f"{words.number(tool.cycles)} of {words.number(tool.cycles)} cycles"
    if ground.code == "not-calibrated":
        return "no calibration"
    said = seen_now(ground.message).removesuffix(".").removeprefix(f"{tool.tool} ")
    for pattern, brief in _BRIEF:
        said = pattern.sub(brief, said)
    return said.replace(f" leaves {tool.tool} outside", " outside").replace(f" of {tool.tool}, ", " of ")


def range_words(tool: Tool) -> str:
    """Its scales: "20 to 100 lbf·ft", several with "and"."""
    return " and ".join(range_text(scale.low, scale.high) for scale in tool.scales)


def also_in_newton_metres(low: Torque, high: Torque) -> str:
    """The same range in the other system, for reading back: "27.1 to 135.6 N·m"."""
    unit = "lbf·ft" if low.unit == "N·m" else "N·m"
    ends = [_one_decimal(end.in_unit(unit)) for end in (low, high)]
    return f"{ends[0]} {unit}" if low == high else f"{ends[0]} to {ends[1]} {unit}"


def _one_decimal(value: Fraction) -> str:
    return display(Fraction(round(value * 10), 10)) if value >= 1 else display(value, 3)


def nature(tool: Tool) -> str:
    """What it is: "20 to 100 lbf·ft, clicks", "3 in", "multiplier, ratio 3.8"."""
    if tool.multiplier is not None:
        return f"multiplier, ratio {display(tool.multiplier)}"
    if tool.length is not None:
        angle = f" at {display(tool.angle)}°" if tool.angle else ""
        return f"{tool.length} long{angle}"
    return ", ".join(part for part in (range_words(tool), TYPES.get(tool.type, "")) if part)


def where_words(tool: Tool, where: Whereabouts, now: Moment, zone: ZoneInfo) -> str:
    """Where it is: "with TK for J-118 since 13:58", "crib, B1", "away, at the laboratory since 20 Nov", "retired"."""
    if where.kind == "crib":
        place = where.place or tool.place
        return f"crib, {place}" if place else "crib"
    if where.kind == "retired":
        return "retired"
    said = {"person": f"with {where.person}", "place": f"at {where.place}", "away": "away"}[where.kind]
    said += f", at {where.place}" if where.kind == "away" and where.place else ""
    said += f" for {where.job}" if where.job else ""
    return said if where.since is None else f"{said} since {since_words(where.since, now, zone)}"


def since_words(since: Moment, now: Moment, zone: ZoneInfo) -> str:
    """A beginning: "13:10" on the same day, "20 Nov" in the same year, else with its year."""
    day, today = local_date(since, zone), local_date(now, zone)
    if day == today:
        return words.time(since, zone)
    month = f"{day.day} {words.MONTHS[day.month - 1]}"
    return month if day.year == today.year else f"{month} {day.year}"


def due_words(due: date | None, today: date) -> str:
    """When it is due: "due Tue 9 Nov 2027, in 349 days"."""
    return f"due {words.day_and_distance(due, today)}" if due else "no due date"


def cycles_words(tool: Tool, fitness: Fitness) -> str:
    """Its cycles: "812 of 5,000 cycles", or nothing without a limit."""
    if tool.cycles is None or fitness.cycles_left is None or fitness.calibration is None:
        return ""
    return f"{words.number(tool.cycles - fitness.cycles_left)} of {words.number(tool.cycles)} cycles"


def covered_words(fitness: Fitness) -> str:
    """What its certificate covers: "clockwise, 20 to 100 lbf·ft", several directions with "and"."""
    from torquelog.rules.coverage import coverage

    if fitness.calibration is None:
        return ""
    spans = coverage(fitness.calibration.points, None).spans
    return " and ".join(f"{ROUND[span.direction]}, {range_text(span.first, span.last)}" for span in spans)


def may_be_used(tool: Tool, fitness: Fitness, today: date) -> str:
    """The sentence for a fit tool: "W-0417 may be used clockwise, 20 to 100 lbf·ft, through Tue 9 Nov 2027, …"."""
    covered = covered_words(fitness)
    until = ""
    if fitness.due is not None:
        days = (fitness.due - today).days
        until = f" through {words.day(fitness.due)}, {words.count(days, 'day')} from now"
    parts = [f" {covered}" if covered else "", f",{until}" if covered and until else until]
    return f"{tool.tool} may be used{''.join(parts)}."


def alternative_lines(able: "Sequence[Alternative]", now: Moment, zone: ZoneInfo) -> list[str]:
    """Tools that could be used, one a line: number, where it is, when it is due."""
    if not able:
        return []
    today = local_date(now, zone)
    rows = [
        (each.tool.tool, where_words(each.tool, each.where, now, zone), due_words(each.fitness.due, today))
        for each in able
    ]
    widths = [max(columns(row[place]) for row in rows) for place in range(2)]
    return [
        "Tools that reach it",
        *(f"  {padded(one, widths[0])}   {padded(two, widths[1])}   {three}" for one, two, three in rows),
    ]


def tool_data(tool: Tool) -> dict[str, Json]:
    """A tool for programs, as registered."""
    return {
        "tool": tool.tool,
        "sort": tool.sort,
        "type": tool.type or None,
        "scales": [_scale_data(scale) for scale in tool.scales],
        "lever": length_data(tool.lever),
        "length": length_data(tool.length),
        "angle": None if tool.angle is None else display(tool.angle),
        "multiplier": None if tool.multiplier is None else display(tool.multiplier),
        "accuracy": None if tool.accuracy is None else percent(tool.accuracy),
        "every": None if tool.every is None else str(tool.every),
        "cycles": None if tool.cycles is None else str(tool.cycles),
        "maker": tool.maker or None,
        "serial": tool.serial or None,
        "owner": tool.owner,
        "place": tool.place or None,
        "use": tool.use or None,
        "entry": tool.reference,
    }


def _scale_data(scale: Scale) -> dict[str, Json]:
    step = scale.graduation.value if scale.graduation else None
    return {"low": scale.low.value, "high": scale.high.value, "graduation": step, "unit": scale.unit}


def length_data(length: Length | None) -> Json:
    """A length for programs."""
    return None if length is None else {"value": length.value, "unit": length.unit}


def where_data(where: Whereabouts, zone: ZoneInfo) -> dict[str, Json]:
    """Where a tool is, for programs."""
    return {
        "kind": where.kind,
        "person": where.person or None,
        "place": where.place or None,
        "job": where.job or None,
        "since": None if where.since is None else offset_text(where.since, zone),
    }


def fitness_data(book: "Book", tool: Tool, fitness: Fitness) -> dict[str, Json]:
    """How fit a tool is, for programs."""
    found = fitness.calibration
    unit = tool.scales[0].unit if tool.scales else "N·m"
    span = fitness.calibrated
    return {
        "fit": not fitness.grounds,
        "grounds": [{"code": each.code, "message": seen_now(each.message)} for each in fitness.grounds],
        "certificate": found.certificate if found else None,
        "calibration": found.reference if found else None,
        "due": str(fitness.due) if fitness.due else None,
        "valid_until": None if fitness.valid_until is None else offset_text(fitness.valid_until, book.zone),
        "cycles_left": None if fitness.cycles_left is None else str(fitness.cycles_left),
        "calibrated": None if span is None else {
            "low": torque(span[0], unit).value, "high": torque(span[1], unit).value, "unit": unit,
        },
    }  # fmt: skip


def pending_recall(connection: "sqlite3.Connection", tool: Tool) -> tuple[str, ...]:
    """The command that opens the recall which a tool waits for; nothing where none is pending."""
    from torquelog.book.recall_causes import pending

    waits = tool.sort != "tester" and pending(connection, tool=tool.tool)
    return (f"torquelog recall open --{tool.sort} {tool.tool}",) if waits else ()


def look_at_its_work(tool: Tool) -> str:
    """The command that shows what a doubtful tool did; a tester tightened nothing, so a recall asks what it checked."""
    if tool.sort == "tester":
        return f"torquelog recall open --tester {tool.tool}"
    return f"torquelog trace {tool.sort} {tool.tool}"
