"""Which module holds which kind of entry. A module is imported when its kind is first met."""

import sqlite3
from collections.abc import Iterator
from functools import cache
from importlib import import_module
from types import ModuleType
from typing import Final

from torquelog.errors import TorquelogError
from torquelog.facts.kinds import Body, Kind, check_body
from torquelog.facts.rows import Mark

MODULES: Final[dict[str, tuple[str, ...]]] = {
    "stations": ("station", "rule", "clock", "resumed", "station-accepted", "taken-in", "checkpoint"),
    "people": ("person", "code", "key", "role", "sign-in", "sign-out"),
    "readings": ("reading",),
    "acts": ("act", "step", "part"),
    "inspections": ("inspection", "re-inspection"),
    "handing": ("left-out", "hand-over", "take-over"),
    "strikes": ("strike", "confirmation"),
    "aircraft": ("aircraft", "registration"),
    "assemblies": ("assembly", "placement"),
    "cards": ("card", "card-approval"),
    "jobs": ("job", "job-closed"),
    "tools": ("tool",),
    "limits_told": ("tool-limits",),
    "calibrations": ("calibration", "acceptance", "withdrawal"),
    "custody": ("custody",),
    "conditions": ("report", "quarantine", "quarantine-release", "restriction"),
    "uses": (),
    "tested": ("tested",),
    "review": ("review-answer",),
    "recalls": ("recall", "disposition", "recall-closed", "recall-answer"),
}

_MODULE_OF: Final = {kind: module for module, kinds in MODULES.items() for kind in kinds}


@cache
def module_of(kind: str) -> ModuleType:
    """The module of facts/ that holds a kind; raises `newer-entry` for a kind this program does not know."""
    try:
        name = _MODULE_OF[kind]
    except KeyError:
        raise TorquelogError(
            "newer-entry",
            f"The record holds an entry of a kind this program does not know: {kind}.",
            hint="A newer torquelog wrote it; use that one.",
        ) from None
    return import_module(f"torquelog.facts.{name}")


@cache
def kind_of(name: str) -> Kind:
    """The declaration of a kind of entry."""
    kinds: tuple[Kind, ...] = module_of(name).KINDS
    return next(kind for kind in kinds if kind.name == name)


def check(name: str, body: Body) -> None:
    """Raise where a body does not keep to its kind."""
    check_body(kind_of(name), body)


def add_rows(connection: sqlite3.Connection, kind: str, mark: Mark, body: Body) -> None:
    """Write the rows that an entry stands for."""
    module_of(kind).ROWS[kind](connection, mark, body)


def all_kinds() -> Iterator[Kind]:
    """Every kind, in the order of the modules."""
    for module, names in MODULES.items():
        declared = {kind.name: kind for kind in import_module(f"torquelog.facts.{module}").KINDS}
        yield from (declared[name] for name in names)


def schema() -> str:
    """The SQL of every fact table, in the order of the modules."""
    return "\n".join(import_module(f"torquelog.facts.{module}").TABLES for module in MODULES)
