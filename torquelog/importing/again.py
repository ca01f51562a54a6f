"""The second pass, where the first one's judgements may hold no longer: each unit is judged again as it is written."""

from collections import deque
from collections.abc import Iterator
from itertools import islice
from typing import Final

from torquelog.book.writing import writing
from torquelog.errors import TorquelogError
from torquelog.importing.acts import Acts
from torquelog.importing.judging import FORGETTING
from torquelog.importing.sheet import Sheet
from torquelog.importing.spool import Kept
from torquelog.importing.tally import Placed
from torquelog.importing.turns import Turns
from torquelog.importing.unit import Done, Unit
from torquelog.importing.units import unit_again

FIRST: Final = 100
"""Units that are read before the first transaction."""


class _Stopped(Exception):  # noqa: N818  it is told, not raised on
    """A row that could be brought in when it was judged, and cannot be any more."""

    def __init__(self, unit: Unit, error: TorquelogError) -> None:
        super().__init__()
        self.unit, self.error = unit, error


class Again:
    """The writing of units, each judged again inside its transaction."""

    def __init__(self, acts: Acts, sheet: Sheet, judged: Iterator[Kept], turns: Turns, total: int) -> None:
        """Begin.

        Args:
            acts: the acts of the file.
            sheet: the file, which knows its columns.
            judged: the units in order.
            turns: how long a transaction goes on.
            total: how many units the file has to be written, with those that are.
        """
        self._acts, self._sheet, self._judged, self._turns, self._total = acts, sheet, judged, turns, total
        self._ready: deque[tuple[Unit, str]] = deque()
        self._wanted = FIRST

    def write(self) -> None:
        """Write them in transactions of bounded time; between two of them the next ones are read."""
        acts, since = self._acts, 0
        while self._read():
            self._turns.let_others()
            try:
                settled = self._together()
            except _Stopped as stopped:
                (acts.tally.stopped,) = acts.placed(stopped.unit, stopped.error)
                return
            for result in settled:
                unit, judged = self._ready.popleft()
                acts.tell(unit, result, judged)
            since += len(settled)
            if since >= FORGETTING:
                acts.book.recent.forget()
                since = 0
            self._wanted = 2 * len(settled)
            acts.ways.written(self._total - acts.tally.left, self._total)

    def _read(self) -> bool:
        """Read what comes next; whether anything is left to be written."""
        for kept in islice(self._judged, max(0, self._wanted - len(self._ready))):
            rows = tuple(map(self._sheet.row, kept.rows))
            unit = unit_again(self._acts.kind, rows, kept.id, self._acts.ways.setting)
            self._ready.append((unit, kept.outcome))
        return bool(self._ready)

    def _together(self) -> list[Done | list[Placed]]:
        """Write units in one transaction until its time is over."""
        acts = self._acts
        settled: list[Done | list[Placed]] = []
        with writing(acts.book) as w:
            self._turns.begin()
            for unit, _ in self._ready:
                try:
                    settled.append(acts.done(acts.book, w, unit))
                except TorquelogError as error:
                    placed = acts.placed(unit, error)
                    if not acts.ways.keep_going:
                        raise _Stopped(unit, error) from error
                    settled.append(placed)
                if self._turns.over():
                    break
        self._turns.end()
        return settled
