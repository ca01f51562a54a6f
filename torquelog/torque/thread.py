"""Unified inch threads: their size, and handbook torques that only question an implausible number.

Nothing here says what a fastener shall be tightened to; that stands in its approved data.
"""

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Final, NamedTuple, TypeVar

from torquelog.errors import TorquelogError
from torquelog.torque.limits import Limits
from torquelog.torque.number import display, quoted
from torquelog.torque.units import Torque, in_unit

__all__ = [
    "HANDBOOK",
    "NUT_FACTORS",
    "PRELOAD_SCATTER",
    "REUSE_MINIMUM",
    "Handbook",
    "Thread",
    "check_form",
    "parse_thread",
    "preload",
    "question_for",
    "reuse_minimum",
    "stress_area",
]

_Row = TypeVar("_Row")


class Thread(NamedTuple):
    """An inch thread.

    Attributes:
        name: its short designation, such as `1/2-20`; numbered sizes by their number, `10-32`.
        diameter: the major diameter, inches.
        pitch: threads per inch.
    """

    name: str
    diameter: Fraction
    pitch: Fraction


class Handbook(NamedTuple):
    """A row of the handbook's table, lbf·in, for oil-free cadmium-plated threads.

    Attributes:
        tension: recommended for tension type nuts, low and high.
        shear: recommended for shear type nuts, low and high.
        most_tension: the most allowed for tension type nuts.
        most_shear: the most allowed for shear type nuts.
    """

    tension: tuple[int, int]
    shear: tuple[int, int]
    most_tension: int
    most_shear: int


# FAA AC 43.13-1B (1998), table 7-1; the fine series first, then the coarse.
_TABLE_7_1: Final = """
8-36      12-15       7-9         20     12
10-32     20-25       12-15       40     25
1/4-28    50-70       30-40       100    60
5/16-24   100-140     60-85       225    140
3/8-24    160-190     95-110      390    240
7/16-20   450-500     270-300     840    500
1/2-20    480-690     290-410     1100   660
9/16-18   800-1000    480-600     1600   960
5/8-18    1100-1300   600-780     2400   1400
3/4-16    2300-2500   1300-1500   5000   3000
7/8-14    2500-3000   1500-1800   7000   4200
1-14      3700-5500   2200-3300   10000  6000
1-1/8-12  5000-7000   3000-4200   15000  9000
1-1/4-12  9000-11000  5400-6600   25000  15000
8-32      12-15       7-9         20     12
10-24     20-25       12-15       35     21
1/4-20    40-50       25-30       75     45
5/16-18   80-90       48-55       160    100
3/8-16    160-185     95-100      275    170
7/16-14   235-255     140-155     475    280
1/2-13    400-480     240-290     880    520
9/16-12   500-700     300-420     1100   650
5/8-11    700-900     420-540     1500   900
3/4-10    1150-1600   700-950     2500   1500
7/8-9     2200-3000   1300-1800   4600   2700
"""

REUSE_MINIMUM: Final[dict[str, int]] = {
    "7/16-20": 8,
    "1/2-20": 10,
    "9/16-18": 13,
    "5/8-18": 18,
    "3/4-16": 27,
    "7/8-14": 40,
    "1-14": 55,
    "1-1/8-12": 73,
    "1-1/4-12": 94,
    "7/16-14": 8,
    "1/2-13": 10,
    "9/16-12": 14,
    "5/8-11": 20,
    "3/4-10": 27,
    "7/8-9": 40,
    "1-8": 51,
    "1-1/8-8": 68,
    "1-1/4-8": 88,
}
"""Least run-on torque of a reused self-locking nut, lbf·in; FAA AC 43.13-1B (1998), table 7-2."""

NUT_FACTORS: Final[dict[str, Fraction]] = {
    "black": Fraction(30, 100),
    "zinc": Fraction(20, 100),
    "lubricated": Fraction(18, 100),
    "cadmium": Fraction(16, 100),
}
"""Shigley, Mechanical Engineering Design, table 8-15: K in T = K·F·D by the surface of the bolt."""

PRELOAD_SCATTER: Final[dict[str, Fraction]] = {"lubricated": Fraction(25, 100), "dry": Fraction(35, 100)}
"""How far the preload may be off at a given torque, either way; NSTS 08307A."""


def _row(line: str) -> tuple[str, Handbook]:
    """One line of the table."""
    name, tension, shear, most_tension, most_shear = line.split()
    (a, b), (c, d) = (map(int, pair.split("-")) for pair in (tension, shear))
    return name, Handbook((a, b), (c, d), int(most_tension), int(most_shear))


HANDBOOK: Final[dict[str, Handbook]] = dict(_row(line) for line in _TABLE_7_1.strip().splitlines())

SOURCE: Final = "FAA AC 43.13-1B, table 7-1"

# 1/2-20, 10-32, #10-32, 1-1/8-12, .190-32, each with or without its series and class: 1/2-20 UNF-3A.
_DESIGNATION: Final = (
    r"(?P<size>[^-].*?)\s*-\s*(?P<pitch>[1-9][0-9]?)(?:\s*-?\s*UN[A-Z]{0,3}(?:-[1-3][AB])?)?"
)
_FRACTION: Final = r"(?:(?P<whole>[1-9])[\s-]\s*)?(?P<over>[1-9][0-9]?)/(?P<under>2|4|8|16|32|64)"
_COARSEST_NUMBERED: Final = 24


def parse_thread(text: str) -> Thread:
    """Read an inch thread's designation, such as `1/2-20`, `10-32`, `1-1/8-12` or `.190-32 UNJF-3A`.

    A whole number is a numbered size where there are 24 threads to the inch or more, else inches: `1-14`.

    Raises:
        TorquelogError: thread-unknown.
    """
    match = re.fullmatch(_DESIGNATION, text.strip().upper())
    pitch = Fraction(match["pitch"]) if match else Fraction(0)
    diameter = _diameter(match["size"], pitch) if match else None
    if diameter is None:
        raise TorquelogError(
            "thread-unknown",
            f"{quoted(text)} is not an inch thread as it is written here.",
            why="A thread is its size and its threads per inch.",
            hint="Type it like 1/2-20, 10-32 or 1-1/8-12",
        )
    return Thread(f"{_size(diameter, pitch)}-{pitch}", diameter, pitch)


# M10, M10x1.25, MJ6x1, each with or without its tolerance class: M10x1.25-6H.
_METRIC: Final = (
    r"MJ?[1-9][0-9]?(?:\.[0-9])?(?:\s*X\s*[0-9](?:\.[0-9]{1,2})?)?(?:\s*-?\s*[4-9][EGHJ](?:[4-9][GH])?)?"
)


def check_form(text: str) -> str:
    """Give a thread's designation as it was typed, where it has a form that is known: inch, or metric such as M10x1.5.

    Raises:
        TorquelogError: thread-unknown, with what may have been meant.
    """
    if re.fullmatch(_METRIC, text.strip().upper()):
        return text
    try:
        parse_thread(text)
    except TorquelogError as error:
        near = _near(text)
        hint = f"Did you mean {near}?" if near else "Type it like 1/2-20, 10-32, 1-1/8-12 or M10x1.5"
        raise TorquelogError(
            error.code, f"{quoted(text)} is no thread as it is written here.", why=error.why, hint=hint
        ) from None
    return text


def _near(text: str) -> str:
    """What a designation of another form probably means, or "" where it means nothing."""
    plain = " ".join(text.upper().replace("\N{MULTIPLICATION SIGN}", "X").translate(_DASHES).split())
    plain = plain.replace('"', "").replace("IN ", " ").removesuffix(" TPI")
    metric = re.fullmatch(r"(MJ?[1-9][0-9]?)\s*[-X*/ ]\s*([0-9](?:\.[0-9]{1,2})?)", plain)
    if metric:
        return f"{metric[1]}x{metric[2]}"
    for parted in (r"\s*[X*]\s*", r" (?=[0-9]+$)", r"/(?=[0-9]+$)"):
        try:
            name = parse_thread(re.sub(parted, "-", plain)).name
        except TorquelogError:
            continue
        if name in HANDBOOK or "/(" not in parted:
            return name
    if re.fullmatch(r"[#0-9./-]+-[0-9]+", plain):
        from difflib import get_close_matches

        close = get_close_matches(plain, [*HANDBOOK, *REUSE_MINIMUM], 1, 0.7)
        return close[0] if close else ""
    return ""


_DASHES: Final = str.maketrans(dict.fromkeys("\N{EN DASH}\N{EM DASH}\N{MINUS SIGN}\N{HYPHEN}", "-"))


def stress_area(thread: Thread) -> Fraction:
    """Give the tensile stress area, square inches: 0.7854 (D − 0.9743/n)², FED-STD-H28/2B table II.B.1."""
    return Fraction("0.7854") * (thread.diameter - Fraction("0.9743") / thread.pitch) ** 2


def preload(torque: Torque, nut_factor: Fraction, thread: Thread) -> Fraction:
    """Give the tension that a torque brings about, pounds-force: F = T/(K·D).

    It is an estimate and no more: see `PRELOAD_SCATTER`.
    """
    return torque.in_unit("lbf·in") / (nut_factor * thread.diameter)


def question_for(thread: str, limits: Limits) -> str | None:
    """Give the question to ask where limits lie about twelve times off the handbook's range, else None.

    Args:
        thread: its designation; one that is not in the handbook is never questioned.
        limits: as specified, N·m.
    """
    row = _row_of(HANDBOOK, thread)
    values = [in_unit(end, "lbf·in") for end in limits if end is not None]
    if row is None or not values:
        return None
    name, entry = row
    value = sum(values) / len(values)
    lowest, highest = entry.shear[0], entry.most_tension
    if lowest <= value <= highest:
        return None
    if lowest <= value * 12 <= highest:
        off = "about a twelfth of"
    elif lowest <= value / 12 <= highest:
        off = "about twelve times"
    else:
        return None
    usual = f"{lowest} to {highest} lbf·in for a {name} thread ({SOURCE})"
    return f"{limits.words('lbf·in', 4)} is {off} the usual {usual}. In-lb or ft-lb?"


def reuse_minimum(thread: str) -> Torque | None:
    """Give the least run-on torque at which a self-locking nut may be used again, or None where none is known.

    The table is for running, not for breakaway torque; military tables give the latter, about twice as high
    (TM 1-1500-204-23-6 table 2-8).
    """
    row = _row_of(REUSE_MINIMUM, thread)
    return None if row is None else Torque(str(row[1]), "lbf·in")


def _row_of(table: Mapping[str, _Row], thread: str) -> tuple[str, _Row] | None:
    """The row of a table for a thread, with the thread's name in it."""
    try:
        name = parse_thread(thread).name
    except TorquelogError:
        return None
    return (name, table[name]) if name in table else None


def _diameter(size: str, pitch: Fraction) -> Fraction | None:
    """The major diameter of a size, inches; numbered ones are 0.060 in and 0.013 in for each number."""
    numbered = re.fullmatch(r"(#?)\s*(1?[0-9])", size)
    if numbered and (numbered[1] or pitch >= _COARSEST_NUMBERED):
        number = int(numbered[2])
        return Fraction(60 + 13 * number, 1000) if number <= 12 else None
    fraction = re.fullmatch(_FRACTION, size)
    if fraction:
        part = Fraction(int(fraction["over"]), int(fraction["under"]))
        return int(fraction["whole"] or 0) + part if part < 1 else None
    if re.fullmatch(r"[1-9]|[0-9]?\.[0-9]{2,4}", size):
        return Fraction(size) or None
    return None


def _size(diameter: Fraction, pitch: Fraction) -> str:
    """The short name of a size."""
    number = (diameter * 1000 - 60) / 13
    if pitch >= _COARSEST_NUMBERED and number.denominator == 1 and 0 <= number <= 12:
        return str(number)
    whole, part = divmod(diameter, 1)
    if part.denominator > 64:
        return display(diameter)
    return "-".join(str(word) for word in (whole, part) if word)
