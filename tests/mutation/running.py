"""Try each change of some modules against the tests that run through it, each in a process of its own.

The tests are collected once. A change is made in a fork, in the functions that everybody has imported already; so
a change costs as much as the tests that see it, and no start. What a fork may take of time and memory is limited.
"""

import os
import pickle
import resource
import shutil
import signal
import tempfile
import time
import warnings
from collections.abc import Callable, Iterable, Iterator, Sequence
from importlib import import_module
from pathlib import Path
from typing import Any, Final, NamedTuple

import pytest
from _pytest.runner import runtestprotocol
from coverage import Coverage

from tests.mutation.mutants import Mutant, mutants
from tests.mutation.swap import GoneError, forget, swap

MOST: Final = 4.0  # seconds of tests, as long as they took unchanged, that one change is tried with
MEMORY: Final = 3 * 2**30


class Subject(NamedTuple):
    """A module to change: its name, file and source."""

    name: str
    path: str
    source: str


class Tried(NamedTuple):
    """A change and what became of it: `killed`, `stopped`, `survived` or `unseen`, and by which test."""

    module: str
    mutant: Mutant
    outcome: str
    by: str


class Seen(NamedTuple):
    """What a test does unchanged: the time it takes and the lines it runs through."""

    seconds: float
    lines: dict[str, frozenset[int]]


class Mutating:
    """The plugin that takes the place of pytest's own loop."""

    def __init__(
        self,
        names: Sequence[str],
        chosen: Callable[[str, Mutant], bool],
        jobs: int,
        tell: Callable[[Tried], None],
    ) -> None:
        self.names, self.chosen, self.jobs, self.tell = names, chosen, jobs, tell
        self.tried: list[Tried] = []
        self.place = Path(tempfile.mkdtemp(prefix="mutation-"))

    def pytest_collection(self) -> None:
        """Let property tests be the same each time, and find rather than shrink."""
        from hypothesis import Phase, settings  # its own plugin must be there before it

        settings.register_profile(
            "mutation", settings.default, max_examples=40, phases=(Phase.explicit, Phase.generate),
            derandomize=True, database=None,
        )  # fmt: skip
        settings.load_profile("mutation")

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Run the tests unchanged, then with each change those that see it."""
        session.config.option.tbstyle = "no"
        subjects = [subject(name) for name in self.names]
        try:
            seen = pickle.loads(self._in_fork(lambda: unchanged(session.items, subjects), 3600).result())
            self._try_all(session.items, subjects, seen)
        finally:
            shutil.rmtree(self.place, ignore_errors=True)
        return True

    def _try_all(
        self, items: Sequence[pytest.Item], subjects: Iterable[Subject], seen: dict[str, Seen]
    ) -> None:
        running: list[tuple[Subject, Mutant, _Fork]] = []
        for each in subjects:
            module = import_module(each.name)
            for mutant in mutants(each.source):
                if not self.chosen(each.name, mutant):
                    continue
                tests = _nearest(each, mutant, items, seen)
                if not tests:
                    self._told(each, mutant, b"unseen ")
                    continue
                took = sum(seen[item.nodeid].seconds for item in tests)
                if len(running) >= self.jobs:
                    self._finish(running)
                fork = self._in_fork(lambda m=module, e=each, c=mutant, t=tests: _changed(m, e, c, t), took)
                running.append((each, mutant, fork))
        while running:
            self._finish(running)

    def _finish(self, running: list[tuple[Subject, Mutant, "_Fork"]]) -> None:
        place = 0
        while True:
            for place, (_, _, fork) in enumerate(running):
                if fork.ended():
                    each, mutant, fork = running.pop(place)
                    self._told(each, mutant, fork.result() or b"stopped ")
                    return
            time.sleep(0.005)

    def _told(self, each: Subject, mutant: Mutant, said: bytes) -> None:
        outcome, _, by = said.decode().partition(" ")
        self.tried.append(Tried(each.name, mutant, outcome, by))
        self.tell(self.tried[-1])

    def _in_fork(self, work: Callable[[], bytes], took: float) -> "_Fork":
        return _Fork(work, took, Path(tempfile.mkdtemp(dir=self.place)))


class _Fork:
    """One piece of work in a process of its own, with limits; what it answers comes back in a file."""

    def __init__(self, work: Callable[[], bytes], took: float, folder: Path) -> None:
        self.folder, self.answer, self.gone = folder, folder / "answer", False
        self.process = os.fork()
        if self.process == 0:
            self._work(work, took)

    def _work(self, work: Callable[[], bytes], took: float) -> None:
        try:
            seconds = int(3 * took + 10)
            resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
            resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
            signal.signal(signal.SIGALRM, signal.SIG_DFL)
            signal.alarm(20 * seconds)
            os.environ["PYTEST_DEBUG_TEMPROOT"] = str(self.folder)
            answer = work()
            (self.folder / "writing").write_bytes(answer)
            (self.folder / "writing").rename(self.answer)
        finally:
            os._exit(0)

    def ended(self) -> bool:
        """Whether it has ended."""
        self.gone = self.gone or os.waitpid(self.process, os.WNOHANG) != (0, 0)
        return self.gone

    def result(self) -> bytes:
        """What it answered once it has ended; nothing where it was stopped."""
        if not self.gone:
            os.waitpid(self.process, 0)
        said = self.answer.read_bytes() if self.answer.exists() else b""
        shutil.rmtree(self.folder, ignore_errors=True)
        return said


def subject(name: str) -> Subject:
    """A module by its name."""
    path = import_module(name).__file__ or ""
    return Subject(name, path, Path(path).read_text(encoding="utf-8"))


def unchanged(items: Sequence[pytest.Item], subjects: Sequence[Subject]) -> bytes:
    """What each test does as things are; those that are not green are left out."""
    found: dict[str, Seen] = {}
    watch = Coverage(data_file=None, config_file=False, include=[each.path for each in subjects])
    watch.start()
    for item, after in _with_next(items):
        for each in subjects:
            forget(import_module(each.name))
        watch.switch_context(item.nodeid)
        began = time.process_time()
        if not _fails(item, after):
            found[item.nodeid] = Seen(time.process_time() - began, {})
    watch.stop()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a module that is run at its import alone
        data = watch.get_data()
    for each in subjects:
        lines: dict[str, set[int]] = {}
        for line, contexts in data.contexts_by_lineno(each.path).items():
            for context in contexts:
                lines.setdefault(context, set()).add(line)
        for context, numbers in lines.items():
            if context in found:
                found[context].lines[each.name] = frozenset(numbers)
    return pickle.dumps(found)


def _changed(module: Any, each: Subject, mutant: Mutant, tests: Sequence[pytest.Item]) -> bytes:
    try:
        swap(module, each.source, mutant)
    except GoneError:
        return b"killed import"
    for item, after in _with_next(tests):
        if _fails(item, after):
            return f"killed {item.nodeid}".encode()
    return b"survived "


def _fails(item: pytest.Item, after: pytest.Item | None) -> bool:
    return any(report.failed for report in runtestprotocol(item, log=False, nextitem=after))


def _with_next(items: Sequence[pytest.Item]) -> Iterator[tuple[pytest.Item, pytest.Item | None]]:
    return zip(items, [*items[1:], None], strict=True)


def _nearest(
    each: Subject, mutant: Mutant, items: Sequence[pytest.Item], seen: dict[str, Seen]
) -> list[pytest.Item]:
    """The tests that run through the statement, the module's own first, then its floor's, then the quickest."""
    floor, module = each.name.split(".")[-2:]
    inside = set(range(mutant.first, mutant.last + 1))

    def order(item: pytest.Item) -> tuple[int, float]:
        nearness = (f"tests/{floor}/" not in item.nodeid) + (f"/test_{module}.py" not in item.nodeid)
        return nearness, seen[item.nodeid].seconds

    def sees(item: pytest.Item) -> bool:
        if item.nodeid not in seen:
            return False
        lines = seen[item.nodeid].lines.get(each.name, frozenset())
        if mutant.early:
            return bool(lines) or f"tests/{floor}/test_{module}.py" in item.nodeid
        return bool(lines & inside)

    if not mutant.early and not any(map(sees, items)):
        return _nearest(
            each, mutant._replace(early=True), items, seen
        )  # it runs while its module is imported

    chosen, left = [], MOST
    for item in sorted(filter(sees, items), key=order):
        left -= seen[item.nodeid].seconds
        if left < 0 and chosen:
            break
        chosen.append(item)
    return chosen
