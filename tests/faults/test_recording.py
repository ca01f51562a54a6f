"""A program that records through `record --lines` is killed: every reading that it was told of is on record."""

import json
import sys
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path

import pytest

from tests.faults import recorder
from tests.faults.killing import Kills, kill_loop
from tests.support.measure import measured
from torquelog.book.verification import verify_file
from torquelog.errors import TorquelogError
from torquelog.ledger import database, store

Record = Callable[[str, object], None]


class Held:
    """What a record holds from round to round."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.head = 0
        self.told = 0

    def check(self, lines: Sequence[str]) -> None:
        """Demand every entry that a round was told of, and that nothing went back; says all there is on trouble."""
        try:
            self._check([json.loads(line) for line in lines])
        except (AssertionError, TorquelogError, ValueError) as trouble:
            files = {each.name: each.stat().st_size for each in sorted(self.path.parent.iterdir())}
            raise AssertionError(
                f"{trouble!r}; head before {self.head}, told {self.told} before; files {files}; lines {lines}"
            ) from trouble

    def _check(self, envelopes: Sequence[dict[str, object]]) -> None:
        with closing(database.connect(self.path, "write")) as connection:
            head = store.head(connection, "QHR")
            assert head is not None
            assert head.number >= self.head, f"the head went back to {head.number}"
            for envelope in envelopes:
                assert envelope["ok"], envelope
                data = envelope["data"]
                assert isinstance(data, dict)
                number = int(str(data["entry"]).rpartition("-")[2])
                assert self.head < number <= head.number, (
                    f"answered and lost: {data['entry']}, head {head.number}"
                )
                assert store.entry_at(connection, "QHR", number) is not None
            self.head = head.number
        self.told += len(envelopes)


def kills(folder: Path, rounds: int, seed: int) -> Kills:
    """Kill the program so often; the whole record is verified at the end."""
    recorder.prepare(folder)
    held = Held(folder / "qhr.db")
    result = kill_loop(
        lambda _: [sys.executable, "-m", "tests.faults.recorder", str(folder)],
        held.check, rounds=rounds, seed=seed, span=0.05,
    )  # fmt: skip
    report, _, _ = verify_file(str(folder / "qhr.db"))
    assert report.findings == ()
    assert held.told == len(result.acknowledged) > 0
    return result


def test_nothing_answered_is_lost_when_a_recorder_is_killed(tmp_path: Path, record_property: Record) -> None:
    """A few times, at random moments."""
    result = kills(tmp_path, 6, seed=6)
    record_property("count", str(result))
    assert result.killed == 6


def test_an_answer_that_is_not_on_record_is_found(tmp_path: Path) -> None:
    """The check goes red by what a record lacks, and tells what lies there."""
    recorder.prepare(tmp_path)
    with pytest.raises(
        AssertionError, match=r"answered and lost: QHR-000999, head \d+.*head before 0.*qhr\.db"
    ):
        Held(tmp_path / "qhr.db").check(['{"ok": true, "data": {"entry": "QHR-000999"}}'])


@pytest.mark.long
@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_nothing_answered_is_lost_in_two_thousand_kills(
    tmp_path: Path, record_property: Record, seed: int
) -> None:
    """Five hundred times on each of four records; each of them verifies in full."""
    rounds = measured(500)
    result = kills(tmp_path, rounds, seed)
    record_property("count", str(result))
    assert result.killed == rounds
