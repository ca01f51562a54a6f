"""Facts about the bare ledger under faults, and the proof that the harness finds writers that are wrong."""

import random
import sys
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

import pytest

from tests.faults import writers
from tests.faults.disk import Disk, Fault, Operation
from tests.faults.harness import (
    Kills,
    acknowledged_hold,
    chain_holds,
    fail_at_every_point,
    kill_loop,
    power_loss,
)
from tests.faults.images import survivors
from tests.ledger import small
from tests.support.measure import measured
from torquelog.ledger import database

Record = Callable[[str, object], None]


def killing(path: Path, kind: str) -> Callable[[int], Sequence[str]]:
    """The command of a writer that goes on for much longer than it will live."""
    return lambda _: [sys.executable, "-m", "tests.faults.writers", str(path), kind, "100000"]


def kills(path: Path, kind: str, rounds: int, seed: int = 5) -> Kills:
    """Kill a writer so often; what each round acknowledged is asked for at once, the whole chain at the end."""
    writers.prepare(path)
    check = partial(acknowledged_hold, path)
    result = kill_loop(killing(path, kind), check, rounds=rounds, seed=seed, span=0.03)
    chain_holds(path, result.acknowledged)
    return result


class TestTheLedger:
    def test_nothing_acknowledged_is_lost_by_a_kill(self, tmp_path: Path, record_property: Record):
        """Killed at any moment, a writer leaves a sound file with everything it acknowledged."""
        result = kills(tmp_path / "ledger.db", "honest", rounds=12)
        record_property("count", str(result))
        assert result.killed == 12
        assert len(result.acknowledged) > 12

    @pytest.mark.parametrize("lasting", [False, True])
    def test_nothing_acknowledged_is_lost_by_an_error(
        self, tmp_path: Path, record_property: Record, lasting: bool
    ):
        """At whichever operation the disk errs, once or for good, the work ends with words of ours."""
        result = fail_at_every_point(
            tmp_path, writers.honest, chain_holds, prepare=writers.prepare, lasting=lasting
        )
        record_property("count", str(result))
        assert {"commit-unclear", "disk-full", "storage"} >= set(result.codes)
        assert "commit-unclear" in result.codes

    def test_a_writer_that_goes_on_loses_nothing(self, tmp_path: Path, record_property: Record):
        """After an error the same connection can be used further; later entries are as safe as earlier."""
        result = fail_at_every_point(tmp_path, writers.patient, chain_holds, prepare=writers.prepare)
        record_property("count", str(result))
        assert result.codes == ()

    def test_nothing_acknowledged_is_lost_with_the_power(self, tmp_path: Path, record_property: Record):
        """Whatever part of the unsynced writes is gone, the acknowledged entries are there."""
        result = power_loss(tmp_path, writers.honest, chain_holds, prepare=writers.prepare, seed=11)
        record_property("count", str(result))
        assert result.states > 100

    def test_a_creation_is_whole_or_absent(self, tmp_path: Path, record_property: Record):
        """At whichever operation making a ledger goes wrong, there is no half ledger and no rest of one."""

        def create(path: Path, acknowledge: Callable[[str], None]) -> None:
            database.close(small.make(path, 1))
            acknowledge(small.identifier(1))

        def whole_or_absent(path: Path, told: Sequence[str]) -> None:
            assert path.exists() or (not told and list(path.parent.iterdir()) == [])
            if path.exists():
                chain_holds(path, told)

        result = fail_at_every_point(tmp_path, create, whole_or_absent, prepare=lambda _: None)
        record_property("count", str(result))


@pytest.mark.long
class TestTheLedgerAtLength:
    def test_two_thousand_kills(self, tmp_path: Path, record_property: Record):
        """As above, two thousand times on one file."""
        result = kills(tmp_path / "ledger.db", "honest", rounds=measured(2000), seed=2000)
        record_property("count", str(result))
        assert result.killed == measured(2000)

    def test_the_power_goes_at_every_point_many_times(self, tmp_path: Path, record_property: Record):
        """As above, with more entries and twenty draws for each way that leaves a choice."""

        def work(path: Path, acknowledge: Callable[[str], None]) -> None:
            writers.honest(path, acknowledge, 20)

        result = power_loss(tmp_path, work, chain_holds, prepare=writers.prepare, seed=12, draws=measured(20))
        record_property("count", str(result))


class TestTheHarness:
    """Planted writers must be found, each by every procedure that can."""

    def test_a_kill_finds_the_early_writer(self, tmp_path: Path):
        """Acknowledging before the commit does not survive being killed."""
        with pytest.raises(AssertionError, match="acknowledged and lost"):
            kills(tmp_path / "ledger.db", "early", rounds=200)

    def test_an_error_finds_the_early_writer(self, tmp_path: Path):
        """Acknowledging before the commit does not survive an error in the commit."""
        with pytest.raises(AssertionError, match="acknowledged and lost"):
            fail_at_every_point(tmp_path, writers.early, chain_holds, prepare=writers.prepare)

    def test_a_power_loss_finds_the_early_writer(self, tmp_path: Path):
        """Acknowledging before the commit does not survive a power loss."""
        with pytest.raises(AssertionError, match="acknowledged and lost"):
            power_loss(tmp_path, writers.early, chain_holds, prepare=writers.prepare, seed=1)

    def test_a_power_loss_finds_the_unsynced_writer(self, tmp_path: Path):
        """Without synchronising nothing acknowledged is safe."""
        with pytest.raises(AssertionError, match="acknowledged and lost"):
            power_loss(tmp_path, writers.unsynced, chain_holds, prepare=writers.prepare, seed=1)

    def test_the_check_finds_a_cut_tail_and_a_gap(self, tmp_path: Path):
        """A file that lost its last entry, or one in the middle, does not pass."""
        for removed, words in ((3, "acknowledged and lost"), (2, "a gap in QHR")):
            path = tmp_path / f"{removed}.db"
            writers.prepare(path)
            with database.sqlite3.connect(path) as connection:
                connection.execute("DROP TRIGGER entry_no_delete")
                connection.execute("DELETE FROM entry WHERE number = ?", (removed,))
            connection.close()
            with pytest.raises(AssertionError, match=words):
                chain_holds(path, [small.identifier(3)])

    def test_an_exception_that_is_not_ours_ends_the_procedure(self, tmp_path: Path):
        """A traceback under a fault is a defect, not an answer."""

        def careless(path: Path, _: Callable[[str], None]) -> None:
            connection = database.connect(path, "write")
            try:
                connection.execute("BEGIN IMMEDIATE")
                small.put(connection, 4)
                connection.execute("COMMIT")
            finally:
                connection.close()

        with pytest.raises(database.sqlite3.OperationalError):
            fail_at_every_point(tmp_path, careless, chain_holds, prepare=writers.prepare)

    def test_a_command_that_ends_badly_ends_the_loop_with_its_words(self):
        """What the command said on standard error is not lost with it."""
        with pytest.raises(AssertionError, match=r"round 0: the command ended with 1: alas"):
            kill_loop(
                lambda _: [sys.executable, "-c", "raise SystemExit('alas')"],
                lambda _: None,
                rounds=1,
                seed=1,
                span=30,
                warm=False,
            )


class TestTheDisk:
    def test_every_commit_is_synced_before_its_acknowledgement(self, tmp_path: Path):
        """Between the last write of a commit and the word "saved" lies a sync of the same file."""
        writers.prepare(tmp_path / "ledger.db")
        disk = Disk()
        with disk.installed():
            writers.honest(tmp_path / "ledger.db", disk.acknowledge)
        kinds = [operation.kind for operation in disk.log]
        places = [index for index, kind in enumerate(kinds) if kind == "acknowledge"]
        assert len(places) == 6
        assert all(kinds[place - 1] == "sync" for place in places)

    def test_a_torn_write_leaves_its_first_half(self, tmp_path: Path):
        """The log holds what reached the disk, and the file the same."""
        writers.prepare(tmp_path / "ledger.db")
        disk = Disk(Fault(3, "torn", lasting=True))
        with disk.installed(), pytest.raises(Exception, match="disk"):
            writers.honest(tmp_path / "ledger.db", disk.acknowledge)
        assert [len(operation.data) for operation in disk.log if operation.kind == "write"][:2] == [32, 12]

    def test_what_is_synced_survives_and_the_rest_may_not(self):
        """Synced bytes are there in every way; unsynced ones come sector by sector."""
        log = [
            Operation("write", "f", 0, b"a" * 1024),
            Operation("sync", "f"),
            Operation("write", "f", 512, b"b" * 1024),
        ]
        chance = random.Random(3)
        found = {survivors({}, log, "some sectors", chance)["f"] for _ in range(40)}
        assert found == {
            b"a" * 1024,
            b"a" * 512 + b"b" * 512,
            b"a" * 1024 + b"b" * 512,
            b"a" * 512 + b"b" * 1024,
        }
        assert survivors({}, log, "nothing", chance) == {"f": b"a" * 1024}
        assert survivors({}, log[:1], "nothing", chance) == {}

    def test_an_unsynced_deletion_may_come_back(self):
        """A file deleted without flushing its folder is there or not."""
        log = [Operation("delete", "f", 0)]
        chance = random.Random(3)
        assert survivors({"f": b"x"}, log, "nothing", chance) == {"f": b"x"}
        assert survivors({"f": b"x"}, log, "everything", chance) == {}
        assert survivors({"f": b"x"}, [Operation("delete", "f", 1)], "nothing", chance) == {}
