"""Values of a digital certificate: numbers with a power of ten, units in the notation of the D-SI model, dates.

A number keeps its digits: 2.00E1 is 20.0. Units are those of torque that this program knows; a prefix that it has no
unit for moves the point, so nothing is rounded.
"""

import re
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final, NamedTuple

from torquelog.errors import TorquelogError
from torquelog.torque.number import quoted
from torquelog.torque.units import CODED_UNITS, parse_unit

_NUMBER: Final = re.compile(r"([+-]?)([0-9]{1,12}(?:\.[0-9]{1,12})?)(?:[eE]([+-]?[0-9]{1,2}))?")
_WORD: Final = re.compile(r"\\([a-zA-Z]+)(?:\{([^{}]*)\})?")
_DATE: Final = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})(?:Z|[+-][0-9]{2}:[0-9]{2})?")

_PREFIXES: Final = {
    "mega": 6, "kilo": 3, "hecto": 2, "deca": 1, "deka": 1, "deci": -1, "centi": -2, "milli": -3, "micro": -6,
}  # fmt: skip
_FAMILIES: Final[dict[tuple[str, ...], tuple[str, dict[int, str]]]] = {
    ("metre", "newton"): ("N·m", {-2: "cN·m", 1: "daN·m"}),
}
_ALIASES: Final = {"meter": "metre", "metre": "metre", "newton": "newton"}
LARGEST_POWER: Final = 12


class Measure(NamedTuple):
    """A unit as a certificate names it.

    Attributes:
        symbol: the unit it is kept in, one of ours; "%" for a share.
        power: by which power of ten a value is multiplied to be in that unit.
    """

    symbol: str
    power: int


def unit(text: str) -> Measure:
    """Read a unit of torque, or a percentage.

    Args:
        text: `\\newton\\metre` and its forms with prefixes, a symbol of ours, or a code of UNECE
            Recommendation 20.

    Raises:
        TorquelogError: unit-unknown, and what `parse_unit` raises.
    """
    word = text.strip()
    if word in ("\\percent", "%"):
        return Measure("%", 0)
    if word == "\\one":
        return Measure("%", 2)
    if not word.startswith("\\"):
        return Measure(CODED_UNITS[word].symbol if word in CODED_UNITS else parse_unit(word).symbol, 0)
    found = _si(word)
    if found is None:
        raise TorquelogError(
            "unit-unknown",
            f"{quoted(word)} is no unit of torque.",
            hint="It is \\newton\\metre, or a form of it.",
        )
    return found


def _si(text: str) -> Measure | None:
    """A product of SI units with prefixes; nothing where it is no torque."""
    power, names, prefix = 0, [], 0
    words = list(_WORD.finditer(text))
    if "".join(word[0] for word in words) != "".join(text.split()):
        return None
    for word in words:
        name, braces = word[1], word[2]
        if name in _PREFIXES and braces is None:
            prefix += _PREFIXES[name]
        elif name in _ALIASES and braces is None:
            names.append(_ALIASES[name])
            power, prefix = power + prefix, 0
        elif not (name == "tothe" and names and (braces or "").strip() in ("1", "+1")):
            return None
    family = _FAMILIES.get((*sorted(names),))
    if family is None or prefix:
        return None
    base, known = family
    return Measure(known[power], 0) if power in known else Measure(base, power)


def number(text: str, power: int = 0) -> str:
    """A number above zero as plain digits, its zeros kept: 2.00E1 is 20.0.

    Args:
        text: as the certificate writes it.
        power: by which power of ten it is multiplied.

    Raises:
        TorquelogError: number-form.
    """
    match = _NUMBER.fullmatch(text.strip())
    shift = int(match[3] or 0) + power if match else 0
    if match is None or abs(shift) > LARGEST_POWER:
        raise TorquelogError("number-form", f"{quoted(text)} is not a number that can be read here.")
    plain = f"{Decimal(match[2]).scaleb(shift):f}"
    return ("-" if match[1] == "-" else "") + plain


def day(text: str) -> date:
    """A date as XML writes it; an offset behind it is passed over, for a day is meant.

    Raises:
        TorquelogError: date-form.
    """
    match = _DATE.fullmatch(text.strip())
    try:
        if match is None:
            raise ValueError(text)
        return date.fromisoformat(match[1])
    except ValueError:
        raise TorquelogError(
            "date-form", f"{quoted(text)} is not a date.", hint="It is written like 2026-11-20."
        ) from None


def share(text: str) -> Fraction:
    """A percentage as a share: 0.5 is 1/200; raises number-form."""
    return Fraction(number(text)) / 100
