"""Put a changed module into a running process, in place of the one that everybody has imported."""

import re
import sys
from collections.abc import Iterator
from types import CodeType, FunctionType, ModuleType
from typing import Any

from tests.mutation.mutants import Mutant, mutated


class GoneError(Exception):
    """The changed module cannot even be imported."""


def swap(module: ModuleType, source: str, mutant: Mutant) -> None:
    """Change a module that is imported already; who holds its functions runs the changed ones from now on."""
    code = compile(mutated(source, mutant.place), module.__file__ or "", "exec")
    changed = _executed(module, code)
    forget(module)
    for old, new in _functions(module.__name__, vars(module), vars(changed)):
        if old.__code__.co_filename == module.__file__:
            old.__code__, old.__kwdefaults__ = new.__code__, new.__kwdefaults__
        old.__defaults__ = new.__defaults__
    _values(module, vars(changed))


def _executed(module: ModuleType, code: CodeType) -> ModuleType:
    changed = ModuleType(module.__name__)
    changed.__file__ = module.__file__
    try:
        exec(code, vars(changed))
    except Exception as error:
        raise GoneError from error
    return changed


def _functions(name: str, old: Any, new: Any) -> Iterator[tuple[FunctionType, FunctionType]]:
    """Each function that both have, those of classes too, without what is wrapped around it."""
    for key, value in list(new.items()):
        before, after = _bare(old.get(key)), _bare(value)
        if getattr(after, "__module__", None) != name and key != "__new__":
            continue
        if isinstance(after, FunctionType) and isinstance(before, FunctionType):
            yield before, after
        elif isinstance(after, type) and isinstance(before, type):
            yield from _functions(name, vars(before), vars(after))


def _bare(value: Any) -> Any:
    if isinstance(value, property):
        return value.fget
    if isinstance(value, staticmethod | classmethod):
        return value.__func__
    return getattr(value, "__wrapped__", value)


def forget(module: ModuleType) -> None:
    """Clear the answers that its functions keep."""
    for value in vars(module).values():
        if hasattr(value, "cache_clear"):
            value.cache_clear()
        elif hasattr(value, "__wrapped__"):
            for cell in value.__closure__ or ():
                if isinstance(cell.cell_contents, dict):
                    cell.cell_contents.clear()


def _values(module: ModuleType, new: dict[str, Any]) -> None:
    """Bind what else is different, here and wherever it was imported by its name."""
    for name, value in new.items():
        old = vars(module).get(name)
        if name.startswith("__") or isinstance(value, FunctionType | ModuleType):
            continue
        if isinstance(value, type):
            _members(module.__name__, old, value)
        elif not _same(old, value):
            for other in list(sys.modules.values()):
                ours = getattr(other, "__name__", "").startswith(("torquelog", "tests"))
                if ours and vars(other).get(name) is old:
                    setattr(other, name, value)


def _members(name: str, old: Any, new: type) -> None:
    if new.__module__ != name or not isinstance(old, type):
        return
    for key, value in vars(new).items():
        plain = not key.startswith("__") and isinstance(value, str | int | float | frozenset | tuple)
        if plain and vars(old).get(key) != value:
            setattr(old, key, value)


def _same(old: Any, new: Any) -> bool:
    """Whether two values are one as far as their text tells; functions and classes in them bear names only."""
    return type(old) is type(new) and (old == new or _told(old) == _told(new))


def _told(value: Any) -> str:
    return re.sub(r" at 0x[0-9a-f]+", "", repr(value))
