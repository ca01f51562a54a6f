"""Bringing in a file: every row is judged first, on a private copy of the record; then it is written, row by row.

The writing goes in transactions of bounded time, with pauses between them in which the next rows are read, so that no
other writer waits long. Each row is judged again inside its transaction: what somebody wrote meanwhile counts, and where
a row comes out otherwise, it is told.
"""

from array import array
from collections import deque
from collections.abc import Callable, Iterator
from time import monotonic, sleep
from typing import Final, NamedTuple

from torquelog.book.met import Met
from torquelog.book.opening import Book
from torquelog.book.rehearsal import demand_authority, rehearsal
from torquelog.book.signer import Signer
from torquelog.book.writing import Writing, writing
from torquelog.errors import TorquelogError
from torquelog.importing.rejects import Rejects
from torquelog.importing.setting import Setting
from torquelog.importing.sheet import Sheet, Wrong
from torquelog.importing.spool import Spool
from torquelog.importing.tally import SHOWN, Placed, Tally
from torquelog.importing.unit import OUTCOMES, Done, Kind, Unit
from torquelog.importing.units import units
from torquelog.ledger.form import reference

HOLD: Final = 0.15
"""Seconds that one transaction takes, its commit included; a writer that waits gets its turn after it."""

LEAST: Final = 0.02
"""Seconds for which it goes on taking rows however long the last commit took."""

PAUSE: Final = 0.055
"""Seconds between two transactions. A writer that waits looks again after 50 ms at the latest for its first 228 ms,
then every 100 ms: so it finds the pause after the transaction that it met, as long as that took no longer than meant.
"""

FIRST: Final = 100
"""Units that are read before the first transaction."""

STRIDE: Final = 50
"""Units after which progress is told."""

FORGETTING: Final = 500
"""Units after which nothing is kept any more of what was found on record: rows of one job stand together."""

ENDING: Final = frozenset({"clock-ahead", "clock-behind", "key-ended", "key-level", "key-owner"})
"""Errors that say nothing of a row: the whole file stops there."""


class Ways(NamedTuple):
    """How a file is brought in, and to whom what is told.

    Attributes:
        setting: what is said of the whole file.
        keep_going: whether rows are written although others cannot be.
        dry_run: whether it ends with the judging.
        rejects: takes the rows that are not brought in, or nothing.
        tell: told of each unit what became of it, once it is on record, or what is wrong with it.
        judging: told again and again while rows are judged.
        written: told how many units are written, and of how many.
        seconds, pause: the time that passes, and how to let some pass.
    """

    setting: Setting
    keep_going: bool = False
    dry_run: bool = False
    rejects: Rejects | None = None
    tell: Callable[[Unit, Done | list[Placed]], None] = lambda unit, result: None
    judging: Callable[[], None] = lambda: None
    written: Callable[[int, int], None] = lambda done, total: None
    seconds: Callable[[], float] = monotonic
    pause: Callable[[float], None] = sleep


def bring_in(book: Book, signer: Signer, kind: Kind, sheet: Sheet, ways: Ways) -> Tally:
    """Bring in the rows of a file.

    Args:
        book: the record, open for writing.
        signer: who signs.
        kind: what the rows are.
        sheet: the file.
        ways: how, and to whom what is told.

    Returns:
        What became of it. Where rows are wrong and it was not said to keep going, nothing was written; where somebody
        pressed Ctrl-C, what is counted is on record, and the same call goes on from there.

    Raises:
        TorquelogError: what says something of the whole file, of the signer or of the storage.
    """
    tally = Tally()
    with Met() as met, Spool() as spool:
        run = _Run(book, signer, kind, ways, tally, spool)
        try:
            run.judge(sheet, met)
            if not ways.dry_run and (ways.keep_going or not tally.errors):
                run.write(sheet)
        except KeyboardInterrupt:
            tally.interrupted = True
    return tally


class _Stopped(Exception):  # noqa: N818  it is told, not raised on
    """A row that could be brought in when it was judged, and cannot be any more."""

    def __init__(self, unit: Unit, error: TorquelogError) -> None:
        super().__init__()
        self.unit, self.error = unit, error


class _Run:
    """One file on its way."""

    def __init__(
        self, book: Book, signer: Signer, kind: Kind, ways: Ways, tally: Tally, spool: Spool
    ) -> None:
        self._book, self._signer, self._kind, self._ways = book, signer, kind, ways
        self._tally, self._spool = tally, spool
        self._judged = array("B")
        self._over = 0.0  # seconds that transactions took lately beyond the taking of rows

    def judge(self, sheet: Sheet, met: Met) -> None:
        """Read and judge every row; what can be written is kept aside."""
        with rehearsal(self._book) as (copy, w):
            demand_authority(copy, w, self._signer, self._kind.entry)
            for number, unit in enumerate(units(self._kind, sheet.rows(), self._ways.setting, met)):
                self._tally.rows += len(unit.rows)
                self._try_out(copy, w, unit)
                if number % STRIDE == 0:
                    self._ways.judging()
                if number % FORGETTING == 0:
                    w.forget()

    def _try_out(self, copy: Book, w: Writing, unit: Unit) -> None:
        if unit.wrong:
            self._reject(unit, [Placed(row.raw.line, wrong) for row, wrong in unit.wrong])
            return
        if unit.before and len(self._tally.doubled) < SHOWN:
            self._tally.doubled.append(unit.line)
        if unit.twin:
            self._settle(unit, Done("", "same-row"))
            return
        try:
            done = self._done(copy, w, unit)
        except TorquelogError as error:
            self._reject(unit, self._placed(unit, error))
            return
        if done.outcome == "on-record" or self._ways.dry_run:
            self._settle(unit, done)
            return
        self._judged.append(OUTCOMES.index(done.outcome))
        self._tally.left += 1
        self._spool.add(unit)

    def _settle(self, unit: Unit, done: Done) -> None:
        """Nothing has to be written for a unit."""
        self._tally.outcomes[done.outcome] += 1
        self._ways.tell(unit, done if not self._ways.dry_run else done._replace(entry=""))

    def _done(self, book: Book, w: Writing, unit: Unit) -> Done:
        """Carry out the act of a unit, or find that it is on record; raises what ends the whole run as it is."""
        given = bool(unit.rows[0].cells.get("id"))
        earlier = None if given else w.repeated(unit.id)
        if earlier is not None:
            return Done(reference(earlier.station, earlier.number), "on-record")
        return self._kind.act(w, book, self._signer, self._ways.setting, unit.item, unit.id)

    def _placed(self, unit: Unit, error: TorquelogError) -> list[Placed]:
        if error.exit in (1, 5, 6) or error.code in ENDING:
            raise error
        return [Placed(unit.line, Wrong(self._kind.column_of(error, unit.rows[0].cells), error))]

    def _reject(self, unit: Unit, wrong: list[Placed]) -> None:
        self._tally.reject(len(unit.rows), wrong)
        if self._ways.rejects is not None:
            self._ways.rejects.add(unit, [(each.line, each.wrong) for each in wrong])
        self._ways.tell(unit, wrong)

    def write(self, sheet: Sheet) -> None:
        """Write what was judged, in transactions of bounded time."""
        waiting = self._spool.units(self._kind, sheet, self._ways.setting)
        ready = deque(_some(waiting, FIRST))
        done, total = 0, len(self._judged)
        while ready:
            try:
                settled = self._together(ready)
            except _Stopped as stopped:
                (self._tally.stopped,) = self._placed(stopped.unit, stopped.error)
                return
            for place, (unit, result) in enumerate(settled, start=done):
                self._tell(unit, result, OUTCOMES[self._judged[place]])
            if done // FORGETTING < (done + len(settled)) // FORGETTING:
                self._book.recent.forget()
            done += len(settled)
            self._ways.written(done, total)
            self._let_others(ready, waiting, 2 * len(settled))

    def _together(self, ready: deque[Unit]) -> list[tuple[Unit, Done | list[Placed]]]:
        """Write units in one transaction until its time is over; they are taken away from those that wait."""
        settled: list[tuple[Unit, Done | list[Placed]]] = []
        with writing(self._book) as w:
            end = self._ways.seconds() + max(LEAST, HOLD - self._over)
            for unit in ready:
                try:
                    settled.append((unit, self._done(self._book, w, unit)))
                except TorquelogError as error:
                    placed = self._placed(unit, error)
                    if not self._ways.keep_going:
                        raise _Stopped(unit, error) from error
                    settled.append((unit, placed))
                if self._ways.seconds() >= end:
                    break
        self._over = max(self._ways.seconds() - end, self._over / 2)
        for _ in settled:
            ready.popleft()
        return settled

    def _tell(self, unit: Unit, result: Done | list[Placed], judged: str) -> None:
        if isinstance(result, list):
            self._tally.left -= 1
            self._tally.change(unit.line, judged, "")
            self._reject(unit, result)
            return
        self._tally.wrote(result.entry, result.outcome)
        if result.outcome not in (judged, "on-record"):
            self._tally.change(unit.line, judged, result.outcome)
        self._ways.tell(unit, result)

    def _let_others(self, ready: deque[Unit], waiting: Iterator[Unit], wanted: int) -> None:
        """Read what comes next while others may write; sleep only where there is nothing to read."""
        end = self._ways.seconds() + PAUSE
        while len(ready) < wanted:
            found = list(_some(waiting, STRIDE))
            ready.extend(found)
            if not found:
                break
        left = end - self._ways.seconds()
        if ready and left > 0:
            self._ways.pause(left)


def _some(source: Iterator[Unit], most: int) -> Iterator[Unit]:
    """At most so many of what comes next."""
    for _ in range(most):
        unit = next(source, None)
        if unit is None:
            return
        yield unit
