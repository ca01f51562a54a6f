"""Registering wrenches, adapters and testers. A number is never used twice, nor a maker's serial number."""

from collections.abc import Callable
from typing import Any, NamedTuple

from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.toolbox import ARTICLES
from torquelog.book.writing import Writing, writing
from torquelog.clock import Period
from torquelog.errors import TorquelogError
from torquelog.facts import tools
from torquelog.facts.members import quantity
from torquelog.facts.tools import OWNERS, TYPES, USES, Scale, Tool
from torquelog.torque.number import parse_number, parse_signed
from torquelog.torque.units import Length


class NewTool(NamedTuple):
    """A tool as told by the crib.

    Attributes:
        tool: its number.
        sort: wrench, adapter or tester.
        type: of a wrench: setting, indicating or preset.
        scales: its scales, the first one the main one.
        lever: of a wrench that takes adapters.
        length, angle: of an adapter; the angle in degrees as text, "" for none.
        multiplier: a multiplier's ratio as text, "" for none.
        accuracy: largest deviation in percent as text without its sign, "" where not told.
        every, cycles: when it has to be calibrated again, whichever comes first.
        maker, serial, owner, place, use: as told, "" where not.
    """

    tool: str
    sort: str
    type: str = ""
    scales: tuple[Scale, ...] = ()
    lever: Length | None = None
    length: Length | None = None
    angle: str = ""
    multiplier: str = ""
    accuracy: str = ""
    every: Period | None = None
    cycles: int | None = None
    maker: str = ""
    serial: str = ""
    owner: str = ""
    place: str = ""
    use: str = ""


class Registered(NamedTuple):
    """A tool put on record, and its entry."""

    tool: Tool
    reference: str


def register(book: Book, signer: Signer, new: NewTool) -> Registered:
    """Register a tool.

    Raises:
        TorquelogError: `exists`, `tool-facts`.
    """
    with writing(book) as w:
        return register_in(w, signer, new)


def register_in(w: Writing, signer: Signer, new: NewTool, *, entry_id: str | None = None) -> Registered:
    """Register a tool inside a transaction that is open, under an id where one is given; see `register`."""
    check(new)
    _demand_new(w, new)
    entry = w.append(signer, "tool", _body(new), id=entry_id)
    found = tools.tool(w.connection, new.tool)
    assert found is not None  # noqa: S101  its rows were just written
    return Registered(found, entry.reference)


def check(new: NewTool) -> None:
    """Raise `tool-facts` where what is told of a tool cannot be."""
    _CHECKS[new.sort](new)
    for member, words in (("type", TYPES), ("owner", OWNERS), ("use", USES)):
        word = getattr(new, member)
        if word and word not in words:
            raise _facts(new, f"{member} cannot be {word}.", f"It is {' or '.join(words)}.")
    units = [scale.unit for scale in new.scales]
    if len(set(units)) < len(units):
        raise _facts(new, "two of its scales are in the same unit.", "Give each unit once.")
    if new.accuracy and not 0 < parse_number(new.accuracy) < 100:
        raise _facts(new, f"its accuracy cannot be {new.accuracy} %.", "Type it like 4 %")
    if new.cycles is not None and new.cycles < 1:
        raise _facts(
            new, "a limit of no cycles lets nobody use it.", "Leave --cycles out where there is none."
        )


def _check_wrench(new: NewTool) -> None:
    if not new.type:
        raise _facts(new, "it is not said whether it clicks or indicates.", f"--type {'|'.join(TYPES)}")
    if not new.scales:
        raise _facts(new, "its range is missing.", 'Add it like --range "20..100 ft-lb"')
    for scale in new.scales:
        if new.type != "preset" and scale.low == scale.high:
            raise _facts(
                new, f"its range is one torque, {scale.low}.", "Only a preset wrench has one torque."
            )
        if new.type != "preset" and scale.graduation is None:
            raise _facts(new, "its graduation is missing.", 'Add it like --graduation "0.5 ft-lb"')
    if new.length or new.angle or new.multiplier:
        raise _facts(new, "a wrench has a lever, no length of its own.", "torquelog adapter add")
    if new.lever and new.lever.metres <= 0:
        raise _facts(new, "its lever has no length.", 'Type it like --lever "12 in"')


def _check_adapter(new: NewTool) -> None:
    if bool(new.length) == bool(new.multiplier):
        raise _facts(
            new,
            "it has either a length or a ratio.",
            'Add --length "2 in" for an adapter, or --multiplier 3.8 for a multiplier.',
        )
    if new.length and new.length.metres == 0:
        raise _facts(new, "its length is zero.", "An adapter that adds no length need not be registered.")
    if new.angle and not new.length:
        raise _facts(new, "a multiplier has no angle.", "Leave --angle out.")
    if new.angle:
        parse_signed(new.angle)
    if new.multiplier and parse_number(new.multiplier) == 0:
        raise _facts(new, "its ratio is zero.", "Type the torque it gives for each torque it gets, like 3.8")
    if new.scales or new.lever or new.type:
        raise _facts(new, "an adapter has no scale and no lever.", "torquelog wrench add")


def _check_tester(new: NewTool) -> None:
    if new.type or new.lever or new.length or new.multiplier:
        raise _facts(
            new, "a tester has a range and an accuracy, nothing else.", "torquelog tester add --help"
        )


_CHECKS: dict[str, Callable[[NewTool], None]] = {
    "wrench": _check_wrench,
    "adapter": _check_adapter,
    "tester": _check_tester,
}


def _facts(new: NewTool, why: str, hint: str) -> TorquelogError:
    return TorquelogError("tool-facts", f"{new.tool} was not registered: {why}", hint=hint)


def _demand_new(w: Writing, new: NewTool) -> None:
    known = tools.tool(w.connection, new.tool)
    if known is not None:
        raise TorquelogError(
            "exists",
            f"{new.tool} is registered already; it is {ARTICLES[known.sort]}.",
            why="A number is never used twice, not even after a tool is retired.",
            hint=f"torquelog {known.sort} show {new.tool}",
        )
    twin = tools.by_serial(w.connection, new.maker, new.serial) if new.maker and new.serial else None
    if twin is not None:
        raise TorquelogError(
            "exists",
            f"{new.maker} {new.serial} is registered already, as {twin}.",
            why="Maker and serial number name one tool.",
            hint="Read the maker's plate again.",
        )


def _body(new: NewTool) -> dict[str, Any]:
    body: dict[str, Any] = {"tool": new.tool, "sort": new.sort}
    if new.scales:
        body["scales"] = [_scale(scale) for scale in new.scales]
    for member in ("lever", "length"):
        length: Length | None = getattr(new, member)
        if length is not None:
            body[member] = quantity(length)
    if new.accuracy:
        body["accuracy"] = {"value": new.accuracy, "unit": "%"}
    if new.every is not None:
        body["every"] = str(new.every)
    if new.cycles is not None:
        body["cycles"] = str(new.cycles)
    words = ("type", "angle", "multiplier", "maker", "serial", "owner", "place", "use")
    return body | {member: getattr(new, member) for member in words if getattr(new, member)}


def _scale(scale: Scale) -> dict[str, Any]:
    body = {"low": quantity(scale.low), "high": quantity(scale.high)}
    return body | ({"graduation": quantity(scale.graduation)} if scale.graduation else {})
