"""Reading what many kinds have in common in their bodies: when it was so, words, quantities, objects."""

from fractions import Fraction
from typing import Any

from torquelog.clock import Moment, from_offset_text
from torquelog.errors import TorquelogError
from torquelog.facts.kinds import Body, Kind, Member, check_body
from torquelog.facts.rows import Mark
from torquelog.torque.number import parse_signed
from torquelog.torque.units import LENGTH_UNITS, TORQUE_UNITS, Length, Torque


def when(mark: Mark, body: Body, member: str = "at") -> Moment:
    """When it was so: what the body says, else when it was recorded."""
    return from_offset_text(body[member]) if member in body else mark.recorded


def chosen(kind: str, body: Body, member: str, choices: tuple[str, ...]) -> str:
    """A member that is one of several words.

    Raises:
        TorquelogError: body-newer for a word this program does not know.
    """
    word: str = body[member]
    if word not in choices:
        raise _newer(kind, f"{member} {word}")
    return word


def objects(kind: str, body: Body, member: str, members: tuple[Member, ...]) -> list[dict[str, Any]]:
    """The objects of a list, each checked for its members; nothing where the member is absent.

    Raises:
        TorquelogError: body-form, body-newer.
    """
    declared = Kind(f"{kind}, {member}", members)
    found: list[dict[str, Any]] = body.get(member, [])
    for item in found:
        check_body(declared, item)
    return found


def torque_of(kind: str, quantity: Body) -> Torque:
    """A torque from its quantity.

    Raises:
        TorquelogError: body-newer for a unit this program does not know.
    """
    if quantity["unit"] not in TORQUE_UNITS:
        raise _newer(kind, f"unit {quantity['unit']}")
    return Torque(quantity["value"], quantity["unit"])


def torques_of(kind: str, body: Body, members: tuple[str, ...]) -> list[Torque | None]:
    """Several torques of one unit, nothing for each that is absent.

    Raises:
        TorquelogError: body-form where their units differ, body-newer for an unknown one.
    """
    found = [torque_of(kind, body[member]) if member in body else None for member in members]
    if len({torque.unit for torque in found if torque}) > 1:
        raise TorquelogError("body-form", f"An entry of kind {kind} cannot be taken: its units differ.")
    return found


def length_of(kind: str, quantity: Body) -> Length:
    """A length from its quantity.

    Raises:
        TorquelogError: body-newer for a unit this program does not know.
    """
    if quantity["unit"] not in LENGTH_UNITS:
        raise _newer(kind, f"unit {quantity['unit']}")
    return Length(quantity["value"], quantity["unit"])


def percent_of(kind: str, quantity: Body) -> Fraction:
    """A share from its quantity in percent: 4 % is 1/25.

    Raises:
        TorquelogError: body-newer for another unit.
    """
    if quantity["unit"] != "%":
        raise _newer(kind, f"unit {quantity['unit']}")
    return parse_signed(quantity["value"]) / 100


def quantity(measure: Torque | Length) -> dict[str, str]:
    """A torque or a length as a body holds it, the value as it was read."""
    return {"value": measure.value, "unit": measure.unit}


def target(reference: str) -> tuple[str, int]:
    """Station and number of the entry that a body names as QHR-000123."""
    station, _, number = reference.rpartition("-")
    return station, int(number)


def _newer(kind: str, what: str) -> TorquelogError:
    return TorquelogError(
        "body-newer",
        f"An entry of kind {kind} holds something this program does not know: {what}.",
        hint="A newer torquelog wrote it; use that one.",
    )
