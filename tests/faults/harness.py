"""The fault harness: three ways to hurt a writer, and one question afterwards.

- `kill_loop` (from `killing`): SIGKILL at random moments, on the real disk.
- `fail_at_every_point`: the N-th write, sync, cut or deletion errs, finds the disk full, or is torn; every N.
- `power_loss`: the power goes after the N-th operation, and of what was not synced any part is lost; every N.

The last two take the work to be hurt and a check. The work is called with the database's path and a function to
call when it tells somebody "saved"; it opens its connections through the program as always, and may end with a
`TorquelogError` and with nothing else. The check is called with the path and all that was acknowledged, on the
real disk; it raises AssertionError where something is missing. All return counts, to be put on record by the
test: `record_property("count", str(result))`.
"""

import random
import shutil
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

from tests.faults.disk import Disk, Fault, How
from tests.faults.images import WAYS, read_folder, survivors, write_folder
from tests.faults.killing import Kills, kill_loop
from torquelog.errors import TorquelogError
from torquelog.ledger import database, store

__all__ = [
    "Counts",
    "Kills",
    "acknowledged_hold",
    "chain_holds",
    "fail_at_every_point",
    "kill_loop",
    "power_loss",
]

NAME = "ledger.db"

Acknowledge = Callable[[str], None]
Work = Callable[[Path, Acknowledge], None]
Check = Callable[[Path, Sequence[str]], None]
Prepare = Callable[[Path], None]


class Counts(NamedTuple):
    """What a procedure went through.

    Attributes:
        points: the places at which the disk failed or the power went.
        states: how many times the check was asked.
        acknowledged: acknowledgements that it was asked about, in all.
        codes: the errors that the work ended with.
    """

    points: int
    states: int
    acknowledged: int
    codes: tuple[str, ...] = ()

    def __str__(self) -> str:
        codes = f", ended with {', '.join(self.codes)}" if self.codes else ""
        return (
            f"{self.points} points, {self.states} states, {self.acknowledged} acknowledged, none lost{codes}"
        )


def fail_at_every_point(
    folder: Path,
    work: Work,
    check: Check,
    *,
    prepare: Prepare,
    ways: Sequence[How] = ("error", "full", "torn"),
    lasting: bool = False,
    every: int = 1,
) -> Counts:
    """Do the work once for each operation it takes, with the disk failing at that operation.

    Args:
        folder: an empty place to work in.
        work: what is to be hurt.
        check: asked on the real disk after each.
        prepare: makes the file that the work finds, at a path it is given, and closes it.
        ways: how the disk fails.
        lasting: whether it goes on failing, as a full or dead disk does.
        every: fail at every so-manyth operation only.
    """
    base = _base(folder, prepare)
    kinds = [operation.kind for operation in _rehearse(folder, base, work).log if operation.can_fail]
    points = range(1, len(kinds) + 1, every)
    acknowledged, states, codes = 0, 0, set()
    for point in points:
        for way in (way for way in ways if way == "error" or kinds[point - 1] == "write"):
            disk = Disk(Fault(point, way, lasting))
            place = folder / f"{point}-{way}"
            write_folder(place, base)
            code = _hurt(disk, place, work)
            codes |= {code} if code else set()
            _ask(check, place / NAME, disk.acknowledged, f"{way} at operation {point} of {len(kinds)}")
            acknowledged, states = acknowledged + len(disk.acknowledged), states + 1
            shutil.rmtree(place)
    return Counts(len(points), states, acknowledged, tuple(sorted(codes)))


def power_loss(
    folder: Path,
    work: Work,
    check: Check,
    *,
    prepare: Prepare,
    seed: int,
    draws: int = 1,
    every: int = 1,
) -> Counts:
    """Do the work once, then look at the disk as a power loss after each operation could have left it.

    Args:
        folder, work, check, prepare: as in `fail_at_every_point`.
        seed: what survives is drawn from it.
        draws: how often it is drawn for each way that leaves a choice.
        every: lose the power at every so-manyth operation only.
    """
    base = _base(folder, prepare)
    log = _rehearse(folder, base, work).log
    chance = random.Random(seed)
    points = range(0, len(log) + 1, every)
    acknowledged = states = 0
    for point in points:
        told = [operation.file for operation in log[:point] if operation.kind == "acknowledge"]
        for number, way in enumerate((*WAYS[:2], *WAYS[2:] * draws)):
            place = folder / f"{point}-{number}"
            write_folder(place, survivors(base, log[:point], way, chance))
            _ask(
                check,
                place / NAME,
                told,
                f"{way} survives after operation {point} of {len(log)}, seed {seed}",
            )
            acknowledged, states = acknowledged + len(told), states + 1
            shutil.rmtree(place)
    return Counts(len(points), states, acknowledged)


def chain_holds(path: Path, acknowledged: Sequence[str]) -> None:
    """Check the file as such: sound, no gap in any chain, every acknowledged id on record."""
    with closing(database.connect(path, "write")) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        for station in store.stations(connection):
            numbers = [entry.number for entry in store.entries(connection, station)]
            assert numbers == list(range(1, len(numbers) + 1)), f"a gap in {station}"
    acknowledged_hold(path, acknowledged)


def acknowledged_hold(path: Path, acknowledged: Sequence[str]) -> None:
    """Check only that every acknowledged id is on record: quick, for a long loop on one growing file."""
    with closing(database.connect(path, "write")) as connection:
        lost = [told for told in acknowledged if not _on_record(connection, told)]
        assert not lost, f"acknowledged and lost: {lost}"


def _on_record(connection: "database.sqlite3.Connection", told: str) -> bool:
    return any(store.entry_by_id(connection, station, told) for station in store.stations(connection))


def _base(folder: Path, prepare: Prepare) -> dict[str, bytes]:
    place = folder / "base"
    place.mkdir()
    prepare(place / NAME)
    files = read_folder(place)
    shutil.rmtree(place)
    return files


def _rehearse(folder: Path, base: dict[str, bytes], work: Work) -> Disk:
    """Do the work on a sound disk, to know its operations."""
    place = folder / "rehearsal"
    write_folder(place, base)
    disk = Disk()
    with disk.installed():
        work(place / NAME, disk.acknowledge)
    shutil.rmtree(place)
    return disk


def _hurt(disk: Disk, place: Path, work: Work) -> str | None:
    """Do the work on a disk with a fault; the code of the error that it ended with."""
    with disk.installed():
        try:
            work(place / NAME, disk.acknowledge)
        except TorquelogError as error:
            return error.code
    return None


def _ask(check: Check, path: Path, told: Sequence[str], when: str) -> None:
    try:
        check(path, told)
    except (AssertionError, TorquelogError) as trouble:
        raise AssertionError(f"{when}: {trouble}") from trouble
