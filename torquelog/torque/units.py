"""Torques, lengths, angles and shares with their units, each kept as it was read.

The list of units is closed. Their factors come from defining constants and are exact: the inch is 0.0254 m,
the pound 0.453 592 37 kg, standard gravity 9.806 65 m/s². A torque is never energy, a bare pound no torque.
"""

import re
from fractions import Fraction
from functools import lru_cache
from typing import Final, NamedTuple

from torquelog.errors import TorquelogError
from torquelog.torque.number import display, parse_number, parse_signed, quoted

__all__ = [
    "CODED_UNITS",
    "LENGTH_UNITS",
    "TORQUE_UNITS",
    "Length",
    "Torque",
    "Unit",
    "either_unit",
    "in_unit",
    "parse_angle",
    "parse_fraction",
    "parse_length",
    "parse_percent",
    "parse_torque",
    "parse_unit",
    "shown",
    "split_amount",
    "torque",
]

INCH: Final = Fraction(254, 10_000)
FOOT: Final = 12 * INCH
POUND: Final = Fraction(45_359_237, 100_000_000)
GRAVITY: Final = Fraction(980_665, 100_000)
POUND_FORCE: Final = POUND * GRAVITY


class Unit(NamedTuple):
    """A unit of torque.

    Attributes:
        symbol: its printed form.
        newton_metres: how many N·m it is, exactly.
        code: its code in UNECE Recommendation 20, empty where this list names none.
    """

    symbol: str
    newton_metres: Fraction
    code: str


_UNITS: Final = (
    Unit("N·m", Fraction(1), "NU"),
    Unit("cN·m", Fraction(1, 100), ""),
    Unit("daN·m", Fraction(10), ""),
    Unit("lbf·in", POUND_FORCE * INCH, "F21"),
    Unit("lbf·ft", POUND_FORCE * FOOT, "M92"),
    Unit("ozf·in", POUND_FORCE / 16 * INCH, "L41"),
    Unit("kgf·m", GRAVITY, ""),
    Unit("kgf·cm", GRAVITY / 100, ""),
)
TORQUE_UNITS: Final[dict[str, Unit]] = {unit.symbol: unit for unit in _UNITS}
CODED_UNITS: Final[dict[str, Unit]] = {unit.code: unit for unit in _UNITS if unit.code}
LENGTH_UNITS: Final[dict[str, Fraction]] = {
    "mm": Fraction(1, 1000),
    "cm": Fraction(1, 100),
    "m": Fraction(1),
    "in": INCH,
    "ft": FOOT,
}

# Forms with a hyphen are also what a screen without the middle dot prints: what is shown can be typed.
_EXACT_CASE: Final = {
    "N·m": "N·m N.m N-m Nm",
    "cN·m": "cN·m cNm cN-m",
    "daN·m": "daN·m daNm daN-m",
    "kgf·m": "kgf·m kgf-m kg-m",
    "kgf·cm": "kgf·cm kgf-cm",
}
_ANY_CASE: Final = {
    "lbf·in": "lbf·in lbf.in lbf-in lb-in in-lb in-lbf lbs-in",
    "lbf·ft": "lbf·ft lbf.ft lbf-ft lb-ft ft-lb ft-lbf lbs-ft",
    "ozf·in": "ozf·in oz-in in-oz ozf-in",
}
_FORMS: Final = {
    form: symbol for symbol, forms in (_EXACT_CASE | _ANY_CASE).items() for form in forms.split()
}
_FOLDED: Final = {form: symbol for symbol, forms in _ANY_CASE.items() for form in forms.split()}
_TYPED: Final = {
    "N·m": "Nm",
    "cN·m": "cNm",
    "daN·m": "daNm",
    "lbf·in": "in-lb",
    "lbf·ft": "ft-lb",
    "ozf·in": "in-oz",
    "kgf·m": "kgf-m",
    "kgf·cm": "kgf·cm",
}
_AMBIGUOUS: Final = {"lb": ("lbf·in", "lbf·ft"), "kg": ("kgf·m", "kgf·cm")}
_FORCES: Final = {
    "lbs": "lb",
    "lbf": "lb",
    "pound": "lb",
    "pounds": "lb",
    "kgf": "kg",
    "kgs": "kg",
    "kp": "kg",
}
_SLIPS: Final = {
    "newtonmetre": "N·m",
    "newtonmeter": "N·m",
    "inlbs": "lbf·in",
    "inlbfs": "lbf·in",
    "inchpound": "lbf·in",
    "poundinch": "lbf·in",
    "ftlbs": "lbf·ft",
    "ftlbfs": "lbf·ft",
    "footpound": "lbf·ft",
    "poundfoot": "lbf·ft",
    "poundfeet": "lbf·ft",
    "inchounce": "ozf·in",
    "ounceinch": "ozf·in",
    "mkg": "kgf·m",
    "kgcm": "kgf·cm",
}
_LENGTH_SLIPS: Final = {'"': "in", "″": "in", "''": "in", "inch": "in", "inches": "in", "'": "ft", "′": "ft"}
_AMOUNT: Final = re.compile(
    r"""(?P<number> (?: (?![^\W\d_]) [^°%"'″′] | '(?=[0-9]{3}) )*   # up to a letter or the sign of a unit
        (?: (?<=[0-9.]) [eE] [+−-]? [0-9]+ (?![^\W\d_]) )? )         # a power of ten belongs to its number
        (?P<unit> .* )""",
    re.VERBOSE | re.DOTALL,
)


class Torque(NamedTuple):
    """A torque as it was read: the value as text with its zeros, the unit as its printed symbol."""

    value: str
    unit: str

    @property
    def newton_metres(self) -> Fraction:
        """The torque in N·m, exactly."""
        return _newton_metres(self.value, self.unit)

    def in_unit(self, symbol: str) -> Fraction:
        """The torque in another unit of the list, exactly."""
        return in_unit(self.newton_metres, symbol)

    def __str__(self) -> str:
        return f"{self.value} {self.unit}"


@lru_cache(maxsize=4096)
def _newton_metres(value: str, unit: str) -> Fraction:
    return parse_number(value) * TORQUE_UNITS[unit].newton_metres


class Length(NamedTuple):
    """A length as it was read, with a leading `-` where it is negative; the unit is one of `LENGTH_UNITS`."""

    value: str
    unit: str

    @property
    def metres(self) -> Fraction:
        """The length in metres, exactly."""
        return parse_signed(self.value) * LENGTH_UNITS[self.unit]

    def __str__(self) -> str:
        return f"{self.value} {self.unit}"


def in_unit(newton_metres: Fraction, symbol: str) -> Fraction:
    """A torque given in N·m, in the unit with this printed symbol, exactly."""
    return newton_metres / TORQUE_UNITS[symbol].newton_metres


def torque(newton_metres: Fraction, symbol: str, digits: int = 16) -> Torque:
    """A torque given in N·m, rounded once to so many significant digits for showing it in a unit."""
    return Torque(shown(newton_metres, symbol, digits), symbol)


def shown(newton_metres: Fraction, symbol: str, digits: int) -> str:
    """The number alone: a torque given in N·m, in a unit, rounded once to so many significant digits."""
    return _shown(newton_metres.numerator, newton_metres.denominator, symbol, digits)


@lru_cache(maxsize=4096)
def _shown(above: int, below: int, symbol: str, digits: int) -> str:
    # Kept by two whole numbers: hashing a fraction takes as long as dividing it.
    return display(in_unit(Fraction(above, below), symbol), digits)


def split_amount(text: str) -> tuple[str, str]:
    """Part `26.5 ft-lb` into its number and what stands behind it; either may be empty.

    The number goes as far as the first letter or sign of a unit; the letter of a power of ten stays with it.
    """
    match = _AMOUNT.fullmatch(text.strip())
    return (match["number"].strip(), match["unit"].strip()) if match else ("", text.strip())


def parse_unit(text: str) -> Unit:
    """Read a unit of torque in one of its listed forms.

    Pound and ounce units are read in any case, the others in their own: `NM` and `nm` are something else.

    Raises:
        TorquelogError: unit-ambiguous for a bare pound or kilogram, unit-unknown for anything else.
    """
    word = text.strip()
    symbol = _FORMS.get(word) or _FOLDED.get(word.casefold())
    if symbol is None:
        raise _ambiguous(word, None) or _unknown_unit(word)
    return TORQUE_UNITS[symbol]


def either_unit(text: str) -> tuple[str, ...]:
    """The units, as they are typed, that a force without its arm could stand for: `lb` is in-lb or ft-lb."""
    return tuple(_TYPED[symbol] for symbol in _either(text.strip()))


@lru_cache(maxsize=256)
def parse_torque(text: str) -> Torque:
    """Read a torque such as `26.5 lbf·ft` or `26.5ft-lb`, keeping the value as it is written.

    Raises:
        TorquelogError: number-form, unit-missing, unit-ambiguous (with both readings), unit-unknown.
    """
    number, unit_text = _amount(text, "Nm, in-lb or ft-lb, as the scale of the wrench says")
    value = parse_number(number, unit_text)
    ambiguous = _ambiguous(unit_text, value)
    if ambiguous:
        raise ambiguous
    return Torque(number, parse_unit(unit_text).symbol)


def parse_length(text: str, signed: bool = False) -> Length:
    """Read a length in mm, cm, m, in or ft; with `signed` it may be negative, as of an adapter turned back.

    Raises:
        TorquelogError: number-form, unit-missing, unit-unknown.
    """
    number, unit_text = _amount(text, "mm, cm, m, in or ft")
    value = parse_signed(number, unit_text) if signed else parse_number(number, unit_text)
    unit = unit_text if unit_text in LENGTH_UNITS else unit_text.casefold()
    if unit not in LENGTH_UNITS or (unit != unit_text and unit not in ("in", "ft")):
        raise TorquelogError(
            "unit-unknown",
            f"{quoted(unit_text)} is not a unit of length known here.",
            why="Lengths are in mm, cm, m, in or ft.",
            hint=f"Type it like {number} {_LENGTH_SLIPS.get(unit, unit if unit in LENGTH_UNITS else 'mm')}",
        )
    digits = number.lstrip("+-−").lstrip()
    return Length(f"-{digits}" if value < 0 else digits, unit)


def parse_angle(text: str) -> Fraction:
    """Read an angle in degrees, with or without `°` or `deg`.

    Raises:
        TorquelogError: number-form, angle-form.
    """
    number, unit_text = split_amount(text)
    if unit_text not in ("", "°", "deg"):
        raise TorquelogError(
            "angle-form",
            f"{quoted(text)} is not an angle in degrees.",
            why="Angles are in degrees, between the wrench and the adapter.",
            hint="Type it like 90, 90° or 90 deg",
        )
    return parse_signed(number, unit_text)


def parse_percent(text: str) -> Fraction:
    """Read a percentage, which bears its sign: `5 %` is 1/20.

    Raises:
        TorquelogError: number-form, percent-form.
    """
    number, unit_text = split_amount(text)
    if unit_text != "%":
        raise TorquelogError(
            "percent-form",
            f"{quoted(text)} is not a percentage.",
            why="A percentage is a number with its sign.",
            hint=f"Type it like {number or 5} %",
        )
    return parse_number(number, unit_text) / 100


def parse_fraction(text: str) -> Fraction:
    """Read a share, written `1/3` or `33 %`.

    Raises:
        TorquelogError: number-form, percent-form, fraction-form for a division by nothing.
    """
    over, slash, under = text.partition("/")
    if not slash:
        return parse_percent(text)
    divisor = parse_number(under)
    if divisor == 0:
        raise TorquelogError(
            "fraction-form",
            f"{quoted(text)} divides by zero.",
            why="A share has a whole.",
            hint="Type it like 1/3",
        )
    return parse_number(over) / divisor


def _amount(text: str, units: str) -> tuple[str, str]:
    """Number and unit of an amount, neither of them missing."""
    number, unit_text = split_amount(text)
    if not number:
        raise TorquelogError(
            "number-form",
            f"{quoted(text)} does not begin with a number." if text.strip() else "A number is missing.",
            why="A value is a number with its unit.",
            hint="Type it like 44.5 Nm",
        )
    if not unit_text:
        parse_number(number.lstrip("+-−"))
        raise TorquelogError(
            "unit-missing",
            f"{quoted(number)} has no unit.",
            why="A value without its unit could be anything.",
            hint=f"Type it with {units}",
        )
    return number, unit_text


def _either(word: str) -> tuple[str, ...]:
    """The symbols that a force without its arm could stand for; none for any other word."""
    force = word.casefold().rstrip(".")
    return _AMBIGUOUS.get(_FORCES.get(force, force), ())


def _ambiguous(word: str, value: Fraction | None) -> TorquelogError | None:
    """The error for a force named without its arm: both readings are shown, neither is preferred."""
    symbols = _either(word)
    if not symbols:
        return None
    arms = "inches or feet" if "lbf·in" in symbols else "metres or centimetres"
    readings = [] if value is None else [_reading(value, symbol) for symbol in symbols]
    amount = "" if value is None else f"{display(value)} "
    choices = " or ".join(f"{amount}{_TYPED[symbol]}" for symbol in symbols)
    return TorquelogError(
        "unit-ambiguous",
        f"{quoted(word)} does not say {arms}.",
        why=" ".join(readings),
        hint=f"Look at the scale of the wrench, then type {choices}",
    )


def _reading(value: Fraction, symbol: str) -> str:
    """What a number would be in N·m if it were in this unit."""
    return f"{display(value)} {symbol} is {display(value * TORQUE_UNITS[symbol].newton_metres, 4)} N·m."


def _unknown_unit(word: str) -> TorquelogError:
    """The error for a word that is no unit of torque, with the unit that was probably meant."""
    letters = "".join(mark for mark in word.casefold() if mark.isalpha())
    folded = {
        "".join(mark for mark in form.casefold() if mark.isalpha()): symbol for form, symbol in _FORMS.items()
    }
    meant = folded.get(letters) or _SLIPS.get(letters) or _SLIPS.get(letters.removesuffix("s"))
    if meant:
        why, hint = (
            "Units have fixed spellings, SI units also a fixed case.",
            f"{meant} is typed {_TYPED[meant]}",
        )
    elif letters in ("n", "cn", "dan", "kn", "mn"):
        why, hint = "That is a force; a torque is a force times its arm.", "Newton metres are typed Nm"
    elif letters in ("mnm", "knm", "gfcm", "dyncm", "ozfft", "ozft", "ftoz"):
        why, hint = "Only torquelog convert reads it.", f"Type one of {', '.join(_TYPED.values())}"
    elif letters in ("j", "mj", "kj", "joule", "joules"):
        why, hint = "That is an energy, and a torque is never energy.", "Newton metres are typed Nm"
    else:
        why, hint = "Its list of units is closed.", f"Type one of {', '.join(_TYPED.values())}"
    return TorquelogError(
        "unit-unknown", f"{quoted(word)} is not a unit of torque known here.", why=why, hint=hint
    )
