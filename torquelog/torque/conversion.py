"""Conversion of a torque into another unit, including rarer units that no reading is taken in.

The rarer ones are converted by pint, which never sees what somebody typed: it gets expressions of ours.
"""

from fractions import Fraction
from typing import Any, Final, NamedTuple

from torquelog.errors import TorquelogError
from torquelog.torque.number import display, is_exact, parse_number, quoted
from torquelog.torque.units import TORQUE_UNITS, parse_torque, parse_unit, split_amount

__all__ = ["Amount", "Conversion", "convert"]


class Amount(NamedTuple):
    """A torque as text: a value and the printed symbol of its unit, which may be a rarer one."""

    value: str
    unit: str

    def __str__(self) -> str:
        return f"{self.value} {self.unit}"


class Conversion(NamedTuple):
    """A torque in two units.

    Attributes:
        from_: as it was read, its zeros kept.
        to: in the other unit, up to 16 significant digits, half to even.
        exact: whether those digits are the value itself.
    """

    from_: Amount
    to: Amount
    exact: bool


_EXPRESSIONS: Final = {
    "mN·m": "millinewton * meter",
    "kN·m": "kilonewton * meter",
    "gf·cm": "force_gram * centimeter",
    "dyn·cm": "dyne * centimeter",
    "ozf·ft": "force_ounce * foot",
}
_FORMS: Final = {
    form: symbol
    for symbol, forms in {
        "mN·m": "mN·m mN.m mN-m mNm",
        "kN·m": "kN·m kN.m kN-m kNm",
        "gf·cm": "gf·cm gf.cm gf-cm",
        "dyn·cm": "dyn·cm dyn.cm dyn-cm",
        "ozf·ft": "ozf·ft ozf.ft ozf-ft oz-ft ft-oz",
    }.items()
    for form in forms.split()
}


def convert(text: str, unit_text: str) -> Conversion:
    """Convert a torque such as `300 lbf·in` into another unit, exactly, and round it once.

    Raises:
        TorquelogError: number-form, unit-missing, unit-ambiguous, unit-unknown.
    """
    number, source_text = split_amount(text)
    source = _rarer(source_text)
    if source is None:
        read = parse_torque(text)
        number, source = read.value, read.unit
    target = _rarer(unit_text) or parse_unit(unit_text).symbol
    value = parse_number(number, source) * _factor(source) / _factor(target)
    return Conversion(Amount(number, source), Amount(display(value), target), is_exact(value))


def _rarer(text: str) -> str | None:
    """The symbol of a unit that only a conversion takes, or None.

    Ounces are read in any case, the others in their own.
    """
    word = text.strip()
    symbol = _FORMS.get(word)
    if symbol is None and _FORMS.get(word.casefold()) == "ozf·ft":
        return "ozf·ft"
    meant = {_letters(form): meant for form, meant in _FORMS.items()}.get(_letters(word))
    if symbol is None and meant:
        raise TorquelogError(
            "unit-unknown",
            f"{quoted(word)} is not a unit of torque known here.",
            why="Units have fixed spellings, SI units also a fixed case.",
            hint=f"{meant} is typed {meant.replace('·', '-')}",
        )
    return symbol


def _letters(word: str) -> str:
    """The letters alone, for telling what was meant."""
    return "".join(mark for mark in word.casefold() if mark.isalpha())


def _factor(symbol: str) -> Fraction:
    """How many N·m a unit is, exactly."""
    if symbol in TORQUE_UNITS:
        return TORQUE_UNITS[symbol].newton_metres
    # Imported here because pint with its registry takes a quarter of a second, and few conversions need it.
    import pint

    registry: Any = pint.UnitRegistry(non_int_type=Fraction)
    return Fraction(registry.Quantity(Fraction(1), _EXPRESSIONS[symbol]).to("newton * meter").magnitude)
