"""Tools, certificates and moments as tests need them, with values that each test may replace."""

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

from torquelog.clock import Moment, Period, parse_moment
from torquelog.facts.calibrations import Calibration, Point
from torquelog.facts.conditions import Condition
from torquelog.facts.custody import Whereabouts
from torquelog.facts.stations import DEFAULTS, Rules
from torquelog.facts.tools import Scale, Tool
from torquelog.rules.fitness import Case, Fitness, Use, judge
from torquelog.torque.units import Torque, parse_torque

LISBON = ZoneInfo("Europe/Lisbon")
KIRITIMATI = ZoneInfo("Pacific/Kiritimati")


def moment(text: str, zone: ZoneInfo = LISBON) -> Moment:
    """A moment by its local time."""
    return parse_moment(text if "T" in text or " " in text else f"{text}T12:00", zone)


def scale(low: str, high: str, unit: str, graduation: str | None = "0.5") -> Scale:
    """A scale."""
    return Scale(
        unit, Torque(low, unit), Torque(high, unit), Torque(graduation, unit) if graduation else None
    )


def wrench(number: str = "W-0402", **changes: Any) -> Tool:
    """A setting wrench, 20 to 100 lbf·ft, 4 %, 12 months, 5,000 cycles."""
    tool = Tool(
        tool=number, sort="wrench", type="setting", scales=(scale("20", "100", "lbf·ft"),), lever=None,
        length=None, angle=None, multiplier=None, accuracy=Fraction(1, 25), every=Period(12, "month"),
        cycles=5000, maker="", serial="", owner="company", place="", use="", reference="QHR-000002",
    )  # fmt: skip
    return tool._replace(**changes)


def points(
    *values: str, state: str = "as-left", direction: str = "cw", unit: str = "lbf·ft"
) -> tuple[Point, ...]:
    """Results: `20 20.1` is indicated and reference."""
    found = []
    for value in values:
        indicated, reference = value.split()
        found.append(Point(state, direction, Torque(indicated, unit), Torque(reference, unit)))
    return tuple(found)


GOOD = points("20 20.1", "60 60.2", "100 100.9")


def certificate(
    on: str = "2026-01-12",
    accepted: str | None = "2026-01-14T09:00",
    recorded: str | None = None,
    number: int = 10,
    **changes: Any,
) -> Calibration:
    """A certificate with good results, accepted two days after its day."""
    told = recorded or accepted or f"{on}T15:00"
    calibration = Calibration(
        station="QHR", number=number, tool="W-0402", certificate=f"C-{number}", laboratory="Lab",
        on=date.fromisoformat(on), due=None, points=GOOD,
        recorded=moment(told), accepted=moment(accepted) if accepted else None,
    )  # fmt: skip
    return calibration._replace(**changes)


def old() -> Calibration:
    """A first certificate of long ago, so that another one is not the first."""
    return certificate("2024-01-10", "2024-01-10T10:00", number=3)


def rules(**values: str) -> Rules:
    """A station's rules; `due_through="month"` for due-through."""
    named = {name.replace("_", "-"): value for name, value in values.items()}
    every = {**DEFAULTS, **named}
    return Rules(1, every["due-through"], every)


def case(
    tool: Tool | None = None,
    calibrations: Sequence[Calibration] | None = None,
    conditions: Sequence[Condition] = (),
    *,
    whereabouts: Whereabouts | None = None,
    uses: int = 0,
    zone: ZoneInfo = LISBON,
    checked: Moment | None = None,
    **rule: str,
) -> Case:
    """What is known of a tool; by default one good certificate of January, counting from the 14th."""
    return Case(
        tool or wrench(), tuple((old(), certificate()) if calibrations is None else calibrations),
        tuple(conditions), whereabouts or Whereabouts("person", "TK"), uses, rules(**rule), zone, checked,
    )  # fmt: skip


def condition(what: str, at: str, **changes: Any) -> Condition:
    """A fact about a tool's condition, recorded when it happened."""
    return Condition(what, moment(at), moment(at))._replace(**changes)


def judged(known: Case, at: str = "2026-06-01T10:00", torque: str | None = None, **use: Any) -> Fitness:
    """The judgement on a use at a local time."""
    when = moment(at, known.zone)
    indicated = parse_torque(torque) if torque else None
    return judge(known, Use(at=when, now=use.pop("now", when), indicated=indicated, **use))


def grounds(fitness: Fitness) -> list[str]:
    """The codes of the grounds."""
    return [ground.code for ground in fitness.grounds]


def remarks(fitness: Fitness) -> list[str]:
    """The codes of the remarks."""
    return [remark.code for remark in fitness.remarks]
