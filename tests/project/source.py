"""The project's own files, as the tests of its house rules read them."""

import ast
import subprocess
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = "torquelog"


@cache
def tracked() -> tuple[Path, ...]:
    """Every file under version control, relative to the root; all files where there is no repository."""
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout
    return tuple(Path(name) for name in listed.split("\0") if name and (ROOT / name).exists())


def modules() -> Iterator[tuple[str, Path]]:
    """Every module of the package: its dotted name and its file."""
    for path in sorted((ROOT / PACKAGE).rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        yield ".".join(parts[:-1] if parts[-1] == "__init__" else parts), path


@cache
def tree(path: Path) -> ast.Module:
    """A file's syntax tree."""
    return ast.parse(path.read_text(encoding="utf-8"))


def strings(module: ast.Module) -> Iterator[ast.Constant]:
    """Every string of a module but its docstrings, the plain parts of f-strings among them."""
    told = {id(node.value) for node in ast.walk(module) if isinstance(node, ast.Expr)}
    for node in ast.walk(module):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
            yield node


def imported(name: str, path: Path, known: set[str]) -> set[str]:
    """The modules of the package that a module imports, also inside functions."""
    found: set[str] = set()
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            if node.level:
                raise AssertionError(f"{name} line {node.lineno}: imports are written in full here")
            base = node.module or ""
            found |= {
                f"{base}.{alias.name}" if f"{base}.{alias.name}" in known else base for alias in node.names
            }
    return {module for module in found if module in known and module != name}
