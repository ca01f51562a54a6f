"""The house: imports go down, never up and never round; SQL stays on its floors; modules stay small."""

import ast
import re
from graphlib import CycleError, TopologicalSorter

import pytest

from tests.project.source import PACKAGE, imported, modules, strings, tree

FLOORS = (
    ("errors", "clock", "counted", "kept"),
    ("torque",),
    ("ledger",),
    ("facts",),
    ("rules",),
    ("book",),
    ("crib", "work", "quality"),
    ("sheets", "demo", "importing"),
    ("cli", "api"),
    ("__main__",),
)
"""From the ground up. What stands on one floor may import what stands below it, and its own floor one way."""

SQL_FLOORS = {"facts", "book", "ledger"}

STATEMENT = re.compile(
    r"\s*(select\b.+\bfrom\b|insert\s+(or\s+\w+\s+)?into\b|update\s+\w+\s+set\b|delete\s+from\b|pragma\s+\w|"
    r"(create|drop|alter)\s+(table|index|trigger|view)\b|begin\s+(immediate|exclusive)|with\s+\w+\s+as\s*\()",
    re.IGNORECASE | re.DOTALL,
)
CALLS = {"execute", "executemany", "executescript"}
LARGEST = 400

KNOWN = dict(modules())


def floor(name: str) -> int:
    """The number of the floor a module stands on; the package itself holds a version and lies below all."""
    if name == PACKAGE:
        return -1
    room = name.split(".")[1]
    for number, rooms in enumerate(FLOORS):
        if room in rooms:
            return number
    raise AssertionError(f"{name} stands on no floor: add its room to FLOORS, where it belongs")


@pytest.mark.parametrize("name", KNOWN)
def test_a_module_imports_nothing_from_above(name: str) -> None:
    """Errors and clock at the bottom, the command line on top; also for imports inside functions."""
    upward = [
        other
        for other in imported(name, KNOWN[name], set(KNOWN))
        if other != PACKAGE and floor(other) > floor(name)
    ]
    assert not upward, f"{name} imports from above: {', '.join(upward)}"


def test_imports_never_go_round() -> None:
    """Each module can be understood with those below it alone."""
    graph = {name: imported(name, path, set(KNOWN)) for name, path in KNOWN.items()}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        raise AssertionError(f"imports go round: {' <- '.join(error.args[1])}") from None


@pytest.mark.parametrize("name", KNOWN)
def test_sql_stays_on_its_floors(name: str) -> None:
    """SQL stands in facts/, book/ and ledger/; nothing else speaks it."""
    if name.partition(".")[2].split(".")[0] in SQL_FLOORS:
        return
    module = tree(KNOWN[name])
    spoken = [node.lineno for node in strings(module) if STATEMENT.match(str(node.value))]
    called = [
        node.lineno
        for node in ast.walk(module)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in CALLS
    ]
    assert not spoken + called, f"{name} speaks SQL in lines {spoken + called}"


@pytest.mark.parametrize("name", KNOWN)
def test_no_module_grows_too_large(name: str) -> None:
    """One idea a module: 400 lines at the most."""
    assert len(KNOWN[name].read_text(encoding="utf-8").splitlines()) <= LARGEST


def test_the_record_path_defines_no_dataclass_or_enum() -> None:
    """Each definition costs at every start; results there are NamedTuples."""
    rooms = ("torque", "ledger", "facts", "rules", "book")
    guilty = [
        name
        for name, path in KNOWN.items()
        if name.split(".")[1:2]
        and name.split(".")[1] in rooms
        and {"dataclasses", "enum"} & top_imports(tree(path))
    ]
    assert not guilty, guilty


def top_imports(module: ast.Module) -> set[str]:
    """The packages that a module imports when it is itself imported."""
    found: set[str] = set()
    for node in module.body:
        if isinstance(node, ast.Import):
            found |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found.add((node.module or "").split(".")[0])
    return found
