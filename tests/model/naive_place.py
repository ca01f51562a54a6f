"""Where assemblies are, told by plain loops over what was said of them."""

from collections.abc import Iterable

from tests.model.told import Told, standing
from torquelog.clock import Moment

MOVES = ("fit", "remove", "move", "take-apart")


def key(body: dict[str, str]) -> str:
    """Part and serial number."""
    return f"{body['part']} {body['serial']}"


def moves(everything: Iterable[Told], assembly: str, at: Moment, known: Moment) -> list[Told]:
    """Every move of an assembly, in order."""
    return [
        each for each in standing(everything, at, known)
        if each.kind == "placement" and key(each.body) == assembly and each.body["act"] in MOVES
    ]  # fmt: skip


def where(history: list[Told]) -> str:
    """Where an assembly is after its moves: "1001 main 2", or stores, shop, scrap, apart, not known, never fitted."""
    if not history:
        return "never fitted"
    last = history[-1].body
    if last["act"] == "fit":
        return f"{last['aircraft']} {last['position']}"
    return "apart" if last["act"] == "take-apart" else last.get("to", "not known")


class Change:
    """Something that ended what was tight for an owner: the entry, whose assembly, and whether it came or left."""

    def __init__(self, told: Told, assembly: str, came: bool) -> None:
        self.told = told
        self.assembly = assembly
        self.came = came


def changes(
    everything: list[Told], owner: str, sorts: dict[str, str], holds: str, at: Moment, known: Moment
) -> list[Change]:
    """What came to or left a position, or took an assembly apart, in order.

    Args:
        everything: all entries.
        owner: `assembly PART SERIAL` or `aircraft MSN POSITION`.
        sorts: what sort of thing each assembly is.
        holds: for a position, the sort that its fasteners hold.
        at, known: as of when.
    """
    kind, _, name = owner.partition(" ")
    found = []
    if kind == "assembly":
        for each in moves(everything, name, at, known):
            if each.body["act"] == "take-apart" or each.body.get("to") == "scrap":
                found.append(Change(each, name, came=False))
        return found
    for assembly in (each for each, sort in sorts.items() if sort == holds):
        history = moves(everything, assembly, at, known)
        for place, each in enumerate(history):
            came = where(history[: place + 1]) == name
            if came or where(history[:place]) == name:
                found.append(Change(each, assembly, came))
    return sorted(found, key=lambda change: change.told.order)


def matters(change: Change, named: set[str]) -> bool:
    """Whether a change undoes the work of a job that names these assemblies, or none.

    The fitting of what the job names is part of that work; the departure of something else came before it.
    """
    if not named:
        return True
    return (change.assembly not in named) if change.came else (change.assembly in named)
