"""Try changes: `python -m tests.mutation [--share PERCENT] [--jobs N] [--tests PATH]… MODULE…`.

A module may be a whole floor: `torquelog.rules`. Shown are the changes that no test found; then a table.
"""

import argparse
import pkgutil
import random
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from importlib import import_module

import pytest

from tests.mutation.known import equivalent, key
from tests.mutation.mutants import Mutant
from tests.mutation.running import Mutating, Tried

OUTCOMES = ("killed", "stopped", "survived", "unseen", "equivalent")


def main() -> int:
    """Try what the command line names; 1 where a change survived that is not known to be none."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("modules", nargs="+")
    parser.add_argument("--share", type=float, default=100.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--tests", action="append")
    given = parser.parse_args()
    tried = try_changes(
        list(names(given.modules)), given.tests or ["tests"], given.share, given.seed, given.jobs
    )
    table(tried)
    return int(any(each.outcome in {"survived", "unseen"} for each in tried))


def names(given: Sequence[str]) -> Iterator[str]:
    """The modules themselves of those given, and those of the packages given."""
    for each in given:
        found = import_module(each)
        if hasattr(found, "__path__"):
            yield from (f"{each}.{inner.name}" for inner in pkgutil.iter_modules(found.__path__))
        else:
            yield each


def try_changes(
    modules: Sequence[str], tests: Sequence[str], share: float, seed: int, jobs: int
) -> list[Tried]:
    """Try a share of the changes of some modules."""
    chance = random.Random(seed)
    known = equivalent()

    def chosen(name: str, mutant: Mutant) -> bool:
        return chance.random() * 100 < share and key(name, mutant) not in known

    plugin = Mutating(modules, chosen, jobs, _tell)
    ended = pytest.main(["-q", "-p", "no:cacheprovider", "--no-header", *tests], plugins=[plugin])
    if ended not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
        raise SystemExit(int(ended))
    return plugin.tried


def _tell(tried: Tried) -> None:
    if tried.outcome in {"survived", "unseen"}:
        print(
            f"{tried.outcome} line {tried.mutant.first}: {key(tried.module, tried.mutant)}",
            file=sys.__stderr__,
            flush=True,
        )


def table(tried: Sequence[Tried]) -> None:
    """How many changes of each module ended how."""
    for module in dict.fromkeys(each.module for each in tried):
        found = Counter(each.outcome for each in tried if each.module == module)
        print(
            f"{module}: {found.total()} changes, "
            + ", ".join(f"{found[o]} {o}" for o in OUTCOMES if found[o])
        )
    found = Counter(each.outcome for each in tried)
    print(f"together: {found.total()} changes, " + ", ".join(f"{found[o]} {o}" for o in OUTCOMES if found[o]))


if __name__ == "__main__":
    sys.exit(main())
