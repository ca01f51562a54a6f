"""How a tool is said on paper: what it is, where it is, why it may not be used; with dates that stay true."""

import re
from collections.abc import Iterable, Iterator
from typing import Final
from zoneinfo import ZoneInfo

from torquelog.clock import local_date
from torquelog.facts.conditions import Condition
from torquelog.facts.custody import Whereabouts
from torquelog.facts.tools import Tool
from torquelog.rules import validity
from torquelog.rules.fitness import Fitness
from torquelog.rules.sayings import range_text
from torquelog.sheets.wording import sentence, short_day
from torquelog.torque.number import display

_RELATIVE: Final = re.compile(r", (?:the same day|the day before|[\d,]+ days? (?:before|after))\b")


def nature(tool: Tool) -> str:
    """What it is: "20 to 100 lbf·ft", "3 in long at 90°", "multiplier, ratio 3.8"."""
    if tool.multiplier is not None:
        return f"multiplier, ratio {display(tool.multiplier)}"
    if tool.length is not None:
        angle = f" at {display(tool.angle)}°" if tool.angle else ""
        return f"{tool.length} long{angle}"
    return " and ".join(range_text(scale.low, scale.high) for scale in tool.scales)


def where_words(tool: Tool, where: Whereabouts) -> str:
    """Where it is: "crib, B1", "with TK for J-118", "at stand 4", "away, at the laboratory"."""
    if where.kind == "crib":
        place = where.place or tool.place
        return f"crib, {place}" if place else "crib"
    said = {"person": f"with {where.person}", "place": f"at {where.place}", "away": "away"}.get(
        where.kind, where.kind
    )
    said += f", at {where.place}" if where.kind == "away" and where.place else ""
    return f"{said} for {where.job}" if where.job else said


def since_words(where: Whereabouts, zone: ZoneInfo) -> str:
    """Since when it is there: "since 20 Nov 2026"; nothing for the crib."""
    if where.since is None or where.kind == "crib":
        return ""
    return f"since {short_day(local_date(where.since, zone))}"


def why_not(tool: Tool, fitness: Fitness) -> str:
    """Every ground against it, without its own name and without how long ago."""
    told = (ground.message.removeprefix(f"{tool.tool} ") for ground in fitness.grounds)
    return " ".join(sentence(_RELATIVE.sub("", message)) for message in told)


def cycles_left(tool: Tool, fitness: Fitness) -> str:
    """Its cycles: "4,188 of 5,000"; nothing without a limit."""
    if tool.cycles is None or fitness.cycles_left is None or fitness.calibration is None:
        return ""
    return f"{fitness.cycles_left:,} of {tool.cycles:,}"


def restrictions(tool: Tool, fitness: Fitness, facts: Iterable[Condition]) -> Iterator[tuple[str, str]]:
    """What restricts a tool: the word, and its detail or "".

    The words are metrology's usual ones (common practice): unserviceable, indication only, calibrate before use,
    limited use.
    """
    lasting = [ground for ground in fitness.grounds if ground.code not in PASSING]
    if lasting:
        yield "Unserviceable", ""
    if tool.use == "indication-only":
        yield "Indication only", ""
    if tool.use == "before-use":
        yield "Calibrate before use", "checked on a tester each day of use"
    for each in validity.standing(tuple(facts), "restricted", "unrestricted"):
        yield "Limited use", each.detail


PASSING: Final = frozenset({"indication-only", "needs-check"})
"""Grounds that have a word of their own on a label, and do not make a tool unserviceable."""
