"""Facts about a station's readings under faults: the program as it is, from the act down to the disk.

What remains is verified in full: chain, signatures, authority, judgements and registers.
"""

from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path

import pytest

from tests.faults.harness import acknowledged_hold, fail_at_every_point, power_loss
from tests.generator.station import Size, Station
from tests.support.measure import one_in
from torquelog.book.asked import Asked
from torquelog.book.opening import Book, open_book
from torquelog.book.verification import verify_file
from torquelog.book.writing import writing
from torquelog.clock import SetClock
from torquelog.errors import TorquelogError
from torquelog.ledger import database
from torquelog.torque.units import Torque
from torquelog.work.record import look_up, record

Record = Callable[[str, object], None]
COUNT = 3


class Bench:
    """A station with one open job, its signers, and the work of tightening the first bolts."""

    def __init__(self) -> None:
        self.station: Station

    def prepare(self, path: Path) -> None:
        """Make the record with its job; closed."""
        self.station = Station(path, Size(readings=0, wrenches=1, aircraft=1), seed=1)
        card = self.station.card
        body = {"job": "J-1", "card": card.card, "revision": card.revision, "digest": card.digest}
        with writing(self.station.book) as w:
            w.append(self.station.signer, "job", {**body, "assemblies": {"wheel": "EX-4410 WH-0000"}})
        self.station.book.close()

    def tighten(self, path: Path, acknowledge: Callable[[str], None]) -> None:
        """Record some readings; each is acknowledged when it is on record, as a client would be told."""
        with closing(open_book(path, "write", SetClock(self.station.clock.moment), clock_ok=True)) as book:
            for number in range(1, COUNT + 1):
                asked = Asked("J-1", "tie-bolt", number, Torque("36.0", "N·m"), "W-0000", (), "AA")
                self._record(book, asked, f"{number:032x}")
                acknowledge(f"{number:032x}")

    def _record(self, book: Book, asked: Asked, entry_id: str) -> None:
        try:
            record(book, self.station.signer, asked, entry_id=entry_id)
        except TorquelogError as error:
            if error.code != "commit-unclear" or look_up(book, entry_id) is None:
                raise


def verifies(path: Path, acknowledged: Sequence[str]) -> None:
    """Everything acknowledged is there, and the whole record verifies."""
    acknowledged_hold(path, acknowledged)
    report, _, _ = verify_file(str(path))
    assert report.findings == ()
    assert report.compared


def hurt(folder: Path, how: str, every: int) -> object:
    """Hurt the bench at every so-manyth point."""
    bench = Bench()
    if how == "power":
        return power_loss(folder, bench.tighten, verifies, prepare=bench.prepare, seed=7, every=every)
    return fail_at_every_point(
        folder, bench.tighten, verifies, prepare=bench.prepare, lasting=how == "dead", every=every
    )


@pytest.mark.parametrize("how", ["once", "dead", "power"])
def test_readings_survive(tmp_path: Path, record_property: Record, how: str):
    """At some points of the work: an error once, an error for good, a power loss."""
    record_property("count", str(hurt(tmp_path, how, every=13)))


@pytest.mark.parametrize("how", ["once", "power"])
def test_a_program_that_says_saved_too_early_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, how: str
):
    """The whole program, but with the acknowledgement before the commit, goes red."""
    commit = database._commit
    tighten = Bench.tighten

    def hasty(bench: Bench, path: Path, acknowledge: Callable[[str], None]) -> None:
        ids = (f"{number:032x}" for number in range(1, COUNT + 1))

        def acknowledge_and_commit(connection: database.sqlite3.Connection) -> None:
            acknowledge(next(ids))
            commit(connection)

        monkeypatch.setattr(database, "_commit", acknowledge_and_commit)
        try:
            tighten(bench, path, lambda _: None)
        finally:
            monkeypatch.setattr(database, "_commit", commit)

    monkeypatch.setattr(Bench, "tighten", hasty)
    with pytest.raises(AssertionError, match="acknowledged and lost"):
        hurt(tmp_path, how, every=5)


def test_a_program_that_does_not_synchronise_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """The whole program, but with synchronising off, goes red."""

    def careless(connection: database.sqlite3.Connection, *_: str) -> None:
        connection.execute("PRAGMA synchronous = OFF")
        connection.execute("PRAGMA journal_mode = WAL")

    def hurt_carelessly(bench: Bench, path: Path, acknowledge: Callable[[str], None]) -> None:
        with monkeypatch.context() as patch:
            patch.setattr(database, "_make_durable", careless)
            tighten(bench, path, acknowledge)

    tighten = Bench.tighten
    monkeypatch.setattr(Bench, "tighten", hurt_carelessly)
    with pytest.raises(AssertionError, match="acknowledged and lost"):
        hurt(tmp_path, "power", every=5)


@pytest.mark.long
@pytest.mark.parametrize("how", ["once", "dead", "power"])
def test_readings_survive_at_every_point(tmp_path: Path, record_property: Record, how: str):
    """The same at every point."""
    record_property("count", str(hurt(tmp_path, how, every=one_in())))
