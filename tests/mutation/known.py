"""The changes that no test can find, each with the reason, in `equivalent.txt`."""

from collections.abc import Iterator
from pathlib import Path
from typing import Final

from tests.mutation.mutants import Mutant

FILE: Final = Path(__file__).with_name("equivalent.txt")


def key(module: str, mutant: Mutant) -> str:
    """What names a change for as long as its code stays, wherever it stands."""
    return f"{module.removeprefix('torquelog.')} {mutant.within or '-'}: {mutant.before} => {mutant.after}"


def equivalent() -> dict[str, str]:
    """The key of each change that no test can find, with the reason."""
    return dict(_read())


def _read() -> Iterator[tuple[str, str]]:
    reason = ""
    for line in FILE.read_text(encoding="utf-8").splitlines():
        if line.startswith("# "):
            reason = line[2:]
        elif line:
            yield line, reason
