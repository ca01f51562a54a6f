"""Every command that writes, killed before each thing it does to the disk, and asked afterwards what it kept.

As a command: `python -m tests.faults.commands FOLDER EACH SEED [NAME …] [--hasty]` sets up the station in which the
examples of the help are tried, then takes each command of the tree: it is carried out once to know its operations, and
again in a process that gets SIGKILL before one of them, at every EACH-th. What is counted are the operations on the
database and the system calls that open, name or remove files. For each command one line of JSON is printed.

What was answered before the kill must be on record; every record must verify in full; and the same command, given
again, must come to an end as an ordinary command does.
"""

import io
import json
import os
import random
import re
import shutil
import signal
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any, Final, NamedTuple

import pytest

from tests.faults.command_lines import READING, TINY, Line, lines
from tests.faults.disk import Disk, Operation
from tests.project.dialogue import DAY, lay_samples, own_home, parsed
from tests.project.test_examples import EXAMPLES
from tests.project.world import SET_UP
from torquelog.book.verification import verify_file
from torquelog.cli.run import run
from torquelog.clock import SetClock
from torquelog.errors import TorquelogError
from torquelog.ledger import database, keys, store

HASTY: Final = "--hasty"
LEDGER: Final = ".local/share/torquelog/ledger.db"
PUTTING_BACK: Final = frozenset({"restore", "rebuild"})
WHERE_NOTHING_IS: Final = frozenset({"init"})
RECORD: Final = re.compile(r".*\.db(\.kept-[0-9TZ]+)?")
"""Names of records; what is not finished ends otherwise."""

ENDINGS: Final = {".html": b"</html>", ".jsonl": b"}", ".json": b"}"}
"""How files end that were written whole."""

MOST: Final = 120
"""Kills of one command at most; only those that write whole records do more operations."""

HOUR: Final = 3_600_000
CODE: Final = re.compile(r"^ *Code +(\S+)$", re.MULTILINE)
REFERENCE: Final = re.compile(r"\b(QHR-[0-9]{6})\b")
ORDINARY: Final = frozenset({0, 2, 3, 4})
WRITING_CALLS: Final = frozenset(
    {"os.rename", "os.remove", "os.link", "os.mkdir", "os.rmdir", "os.truncate", "os.symlink", "os.chmod"}
)


class Ended(NamedTuple):
    """How a process ended: its status (negative for a signal), what it had answered, and the operations it did."""

    status: int
    answer: str
    operations: tuple[str, ...]


class Killed(NamedTuple):
    """What a command went through.

    Attributes:
        command: its name.
        operations: how many things it does to the disk.
        killed: how often it was killed.
        answered: how often it had answered before.
        entries: how many entries it makes.
    """

    command: str
    operations: int
    killed: int
    answered: int
    entries: int


class Ground:
    """A folder with a station that is set up, laid anew for each round.

    Attributes:
        home: where commands are carried out.
        put_back: records that the line at hand may exchange for another file, as long as they are kept.
    """

    def __init__(self, place: Path) -> None:
        self.home, self._kept, self._empty = place / "home", place / "kept", place / "empty"
        self._before = place / "before"
        self.put_back: set[str] = set()
        for folder in (self._kept, self._empty):
            folder.mkdir(parents=True)
            lay_samples(folder)
            (folder / "tiny.toml").write_text(TINY, encoding="utf-8")
        self._set_up()

    def _set_up(self) -> None:
        shutil.copytree(self._empty, self.home)
        os.chdir(self.home)
        for line, stdin in SET_UP:
            assert carried_out(Line("", line, stdin), io.StringIO()) in (0, 4), line
        os.chdir("/")
        shutil.rmtree(self._kept)
        self.home.rename(self._kept)

    def lay(self, line: Line) -> Line:
        """Lay everything as it is before a line; the line with what was named there."""
        self._lay(self._empty if line.name in WHERE_NOTHING_IS else self._kept)
        self.put_back = set(self.records()) & {LEDGER} if line.name in PUTTING_BACK else set()
        ready = prepared(line)
        os.chdir("/")
        shutil.rmtree(self._before, ignore_errors=True)
        shutil.copytree(self.home, self._before, symlinks=True)
        os.chdir(self.home)
        return ready

    def lay_again(self) -> None:
        """Lay everything as it was before the last line."""
        self._lay(self._before)

    def _lay(self, source: Path) -> None:
        os.chdir("/")
        shutil.rmtree(self.home, ignore_errors=True)
        shutil.copytree(source, self.home, symlinks=True)
        os.chdir(self.home)

    def changed(self) -> list[str]:
        """The records that are not to the byte what they were before the line, or have a log."""
        return [
            name
            for name, path in self.records().items()
            if not (self._before / name).exists()
            or (self._before / name).read_bytes() != path.read_bytes()
            or _size(f"{path}-wal")
        ]

    def records(self) -> dict[str, Path]:
        """Every file that bears the name of a record."""
        return {
            str(path.relative_to(self.home)): path
            for path in sorted(self.home.rglob("*.db*"))
            if RECORD.fullmatch(path.name)
        }


def carried_out(line: Line, stdout: Any) -> int:
    """Carry out a command line; its status."""
    words, source, _ = parsed(line.line)
    given = Path(source).read_text(encoding="utf-8") if source else line.stdin
    told_of = io.StringIO()
    clock = SetClock(DAY + line.hours * HOUR)
    status = run(words, clock=clock, stdin=io.StringIO(given), stdout=stdout, stderr=told_of)
    if status not in ORDINARY:
        print(f"{line.line}: {status}\n{told_of.getvalue()}", file=sys.stderr)
    return status


def prepared(line: Line) -> Line:
    """Let happen what happens before a line; the line with what was named there."""
    named: dict[str, str] = {}
    for each in line.before:
        ended = in_a_process(each)
        assert ended.status in (0, 4), f"{each.line} ended with {ended.status}: {ended.answer}"
        for name, form in (("ENTRY", REFERENCE), ("CODE", CODE)):
            for found in form.findall(ended.answer):
                named[name] = found
    text = line.line
    for name, value in named.items():
        text = text.replace(name, value)
    return line._replace(line=text)


class Counter(Disk):
    """Counts what is done to the disk, and ends the process before the operation that it was told."""

    def __init__(self, fatal: int = 0) -> None:
        super().__init__()
        self.fatal = fatal
        self.done: list[str] = []

    def count_one(self, what: str) -> None:
        """One thing is about to be done."""
        self.done.append(what)
        if len(self.done) == self.fatal:
            os.kill(os.getpid(), signal.SIGKILL)

    def do(self, operation: Operation, act: Callable[[Operation], None]) -> None:
        """Count an operation on the database, and do it."""
        self.count_one(f"{operation.kind} {operation.file} {operation.offset}")
        super().do(operation, act)

    def watch(self, event: str, given: tuple[Any, ...]) -> None:
        """Count a system call that writes, as the interpreter tells of it before it is done."""
        if event in WRITING_CALLS or (event == "open" and len(given) == 3 and _writes(given[1], given[2])):
            self.count_one(f"{event} {given[0]}")


def _writes(mode: str | None, flags: int) -> bool:
    return bool(flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)) or bool(set(mode or "") & set("wax+"))


def in_a_process(line: Line, fatal: int = 0) -> Ended:
    """Carry out a line in a process of its own, which may be killed before its so-manyth operation."""
    answers, operations = os.pipe(), os.pipe()
    child = os.fork()
    if child == 0:
        _live(line, fatal, answers[1], operations[1])
    os.close(answers[1])
    os.close(operations[1])
    answer, log = _all_of(answers[0]), _all_of(operations[0])
    _, status = os.waitpid(child, 0)
    return Ended(os.waitstatus_to_exitcode(status), answer, tuple(log.splitlines()))


def _live(line: Line, fatal: int, answers: int, operations: int) -> None:
    """Be the process: answers go down one pipe as they are given, the list of operations down another at the end."""
    status = 99
    try:
        counter = Counter(fatal)
        stdout = os.fdopen(answers, "w", encoding="utf-8")
        if HASTY in sys.argv:
            _make_hasty(stdout)
        with counter.installed():
            sys.addaudithook(counter.watch)
            status = carried_out(line, stdout)
            log = list(counter.done)
            counter.fatal = 0
        stdout.flush()
        os.write(operations, "\n".join(log).encode()[:60000])
    finally:
        os._exit(status)


def _make_hasty(stdout: Any) -> None:
    """Wrong, to be found: answer before the commit."""
    commit = database._commit

    def hasty(connection: Any) -> None:
        (number,) = connection.execute("SELECT max(number) FROM entry WHERE station = 'QHR'").fetchone()
        stdout.write(f"entry QHR-{number:06d}\n")
        stdout.flush()
        commit(connection)

    database._commit = hasty


def _all_of(pipe: int) -> str:
    with os.fdopen(pipe, "rb") as stream:
        return stream.read().decode()


def _size(path: str) -> int:
    try:
        return os.stat(path).st_size
    except FileNotFoundError:
        return 0


def heads(ground: Ground) -> dict[str, int]:
    """The number of entries of the own chain of each record."""
    found = {}
    for name, path in ground.records().items():
        with closing(database.connect(str(path), "read")) as connection:
            home = store.own_station(connection)
            head = store.head(connection, home) if home else None
            found[name] = head.number if head else 0
    return found


def demand_whole(ground: Ground, before: dict[str, int], most: dict[str, int], ended: Ended) -> None:
    """Demand that every record holds, that nothing half is in it, and that everything that was answered is there."""
    held = heads(ground)
    for name in ground.changed():
        report, _, _ = verify_file(str(ground.home / name))
        assert report.findings == (), (name, report.findings)
        least = 0 if name in ground.put_back else before.get(name, 0)
        assert least <= held[name] <= most.get(name, 0), (name, held[name])
    for name in ground.put_back & before.keys():
        assert before[name] in held.values(), f"{name} was put back, and what lay there is kept nowhere"
    named = {int(each[4:]) for each in REFERENCE.findall(ended.answer)}
    lost = {number for number in named if number > max(held.values(), default=0)}
    assert not lost, f"answered and lost: {sorted(lost)}"
    for path in ground.home.rglob("*"):
        ending = ENDINGS.get(path.suffix)
        if ending and path.is_file():
            assert path.read_bytes().rstrip().endswith(ending), f"{path.name} is half written"


def killed_at_points(ground: Ground, line: Line, each: int, chance: random.Random) -> Killed:
    """Kill a command before operations of it, and ask each time what it kept."""
    line = ground.lay(line)
    before = heads(ground)
    whole = in_a_process(line)
    assert whole.status in (0, 4), f"{line.name} ended with {whole.status}: {whole.answer}"
    after = heads(ground)
    demand_whole(ground, before, after, whole)
    count = len(whole.operations)
    assert count, f"{line.name} writes nothing: give it a line in OWN, or a place in READING"
    each = max(each, -(-count // MOST))
    points = range(1 + chance.randrange(min(each, count)), count + 1, each)
    killed = answered = 0
    for point in points:
        ground.lay_again()
        ended = in_a_process(line, point)
        when = f"{line.name}, killed before operation {point} of {count}: {whole.operations[point - 1]}"
        try:
            killed += ended.status == -signal.SIGKILL
            answered += bool(ended.answer)
            demand_whole(ground, before, after, ended)
            again = in_a_process(line)
            assert again.status in ORDINARY, f"asked again: {again.status} {again.answer}"
            demand_whole(ground, before, {name: 2 * head for name, head in heads(ground).items()}, again)
        except (AssertionError, TorquelogError) as trouble:
            raise AssertionError(f"{when}; answered {ended.answer!r}: {trouble}") from trouble
    entries = sum(after[name] - before.get(name, 0) for name in after)
    return Killed(line.name, count, killed, answered, entries)


def demand_reading(ground: Ground) -> int:
    """Demand that commands that read leave every record as it was, to the byte; how many there are."""
    reading = [Line(name, example.line) for name, example in EXAMPLES if name in READING]
    for line in reading:
        ground.lay(line)
        in_a_process(line)
        assert not ground.changed(), f"{line.line} writes: it belongs to those that are killed"
    return len(reading)


def main() -> None:
    """Kill every command, or those that are named."""
    place, each, seed, *names = (word for word in sys.argv[1:] if word != HASTY)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(keys, "LARGEST_N", keys.SMALLEST_N)
        own_home(patch, Path(place) / "home")
        ground = Ground(Path(place))
        for line in lines():
            if not names or line.name in names:
                result = killed_at_points(ground, line, int(each), random.Random(f"{seed} {line.name}"))
                print(json.dumps(result._asdict()), flush=True)
        if not names:
            demand_reading(ground)
        os.chdir("/")


if __name__ == "__main__":
    main()
