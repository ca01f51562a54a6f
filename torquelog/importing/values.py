"""Reading the cells of one row: each through the parser of its kind, and everything that is wrong gathered."""

import re
from collections.abc import Callable, Mapping
from typing import Final, TypeVar
from zoneinfo import ZoneInfo

from torquelog.clock import Moment, parse_moment
from torquelog.errors import TorquelogError
from torquelog.importing.sheet import Wrong
from torquelog.ledger.text import gate_identifier, gate_text
from torquelog.torque.number import quoted
from torquelog.torque.units import CODED_UNITS, Torque, parse_torque, parse_unit, split_amount

Value = TypeVar("Value")

CODE: Final = re.compile(r"(?<![A-Za-z0-9])(" + "|".join(CODED_UNITS) + r")(?![A-Za-z0-9])")
YES: Final = frozenset({"yes", "y", "true", "1", "x"})
NO: Final = frozenset({"no", "n", "false", "0"})


class Cells:
    """The cells of a row, on their way to become values.

    Attributes:
        wrong: what was found wrong so far.
    """

    def __init__(self, cells: Mapping[str, str]) -> None:
        self._cells = cells
        self.wrong: list[Wrong] = []

    def missing(self, name: str, what: str) -> None:
        """Note that a cell is empty which another one demands."""
        self.wrong.append(Wrong(name, TorquelogError("field-missing", what)))

    def text(self, name: str) -> str:
        """What stands in a cell; "" for nothing."""
        return self._cells.get(name, "")

    def read(self, name: str, parse: Callable[[str], Value]) -> Value | None:
        """The value of a cell; nothing where it is empty or cannot be read."""
        text = self._cells.get(name)
        if text is None:
            return None
        try:
            return parse(text)
        except TorquelogError as error:
            self.wrong.append(Wrong(name, error))
            return None

    def identifier(self, name: str) -> str:
        """An identifier, or ""."""
        return self.read(name, lambda text: gate_identifier(text, name)) or ""

    def identifiers(self, name: str) -> tuple[str, ...]:
        """Several identifiers."""
        return self.read(name, lambda text: tuple(gate_identifier(each, name) for each in parts(text))) or ()

    def words(self, name: str, *, reason: bool = False) -> str:
        """A text, or ""."""
        return self.read(name, lambda text: gate_text(text, name, reason=reason)) or ""

    def yes(self, name: str) -> bool:
        """Whether a cell says yes."""
        return self.read(name, parse_yes) or False

    def torque(self, name: str, unit: str) -> Torque | None:
        """A torque whose unit may stand in a column of its own."""
        return self.read(name, lambda text: torque_with(text, self.text(unit)))

    def moment(self, name: str, zone: ZoneInfo) -> Moment | None:
        """A time; without an offset in the station's zone."""
        return self.read(name, lambda text: parse_moment(text, zone))


def parts(text: str) -> list[str]:
    """The values of a cell that holds several."""
    return [each.strip() for each in text.split(";")]


def parse_yes(text: str) -> bool:
    """Whether a cell says yes; raises `field-form` where it says neither yes nor no."""
    word = text.lower()
    if word in YES or word in NO:
        return word in YES
    raise TorquelogError(
        "field-form", f"{quoted(text)} is neither yes nor no.", hint="Write yes, or nothing."
    )


def decoded(text: str) -> str:
    """A quantity with the symbol of its unit where its code stands there."""
    return CODE.sub(lambda found: CODED_UNITS[found[1]].symbol, text)


def torque_with(text: str, unit: str) -> Torque:
    """A torque from its cell, and the cell of its unit where there is one.

    Raises:
        TorquelogError: what `parse_torque` and `parse_unit` raise; field-form for two units.
    """
    number, own = split_amount(text)
    if own and unit and unit_symbol(own) != unit_symbol(unit):
        raise TorquelogError(
            "field-form",
            f"{quoted(text)} has a unit of its own, and the column of units says {quoted(unit)}.",
        )
    return parse_torque(decoded(f"{number} {own or unit}"))


def unit_symbol(text: str) -> str:
    """The printed symbol of a unit given by symbol or by code."""
    return CODED_UNITS[text].symbol if text in CODED_UNITS else parse_unit(text).symbol
