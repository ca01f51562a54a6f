"""The first pass: every row is read and judged on a copy of the record, and what can be written is kept aside."""

from collections.abc import Iterable, Iterator
from itertools import chain, islice
from typing import Final

from torquelog.book.met import Met
from torquelog.book.opening import Book
from torquelog.book.rehearsal import Foreseen, Rehearsal
from torquelog.errors import TorquelogError
from torquelog.importing.acts import Acts
from torquelog.importing.beside import beside
from torquelog.importing.sheet import Sheet
from torquelog.importing.spool import Spool
from torquelog.importing.tally import SHOWN, Placed
from torquelog.importing.unit import Done, Unit
from torquelog.importing.units import units

STRIDE: Final = 50
"""Units after which progress is told."""

TOGETHER: Final = 100
"""Units that are read together."""

FORGETTING: Final = 500
"""Units after which nothing is kept any more of what was found on record: rows of one job stand together."""


class Judging:
    """The judging of one file."""

    def __init__(self, acts: Acts, copy: Book, w: Rehearsal, spool: Spool) -> None:
        """Begin.

        Args:
            acts: the acts of the file.
            copy, w: the copy of the record, and the right to try out acts on it.
            spool: takes what can be written.
        """
        self._acts, self._copy, self._w, self._spool = acts, copy, w, spool

    def judge(self, sheet: Sheet) -> None:
        """Judge every row of a file."""
        acts = self._acts
        with beside(lambda: _read(acts, sheet), worth=acts.ways.large) as read:
            self._judge(chain.from_iterable(read))

    def _judge(self, read: Iterable[Unit]) -> None:
        acts = self._acts
        for number, unit in enumerate(read):
            acts.tally.rows += len(unit.rows)
            self._try_out(unit)
            if number % STRIDE == 0:
                acts.ways.judging()
            if number % FORGETTING == 0:
                self._w.forget()

    def _try_out(self, unit: Unit) -> None:
        acts = self._acts
        if unit.wrong:
            acts.reject(unit, [Placed(row.raw.line, wrong) for row, wrong in unit.wrong])
            return
        if unit.before and len(acts.tally.doubled) < SHOWN:
            acts.tally.doubled.append(unit.line)
        if unit.twin:
            acts.settle(unit, Done("", "same-row"))
            return
        try:
            done, foreseen = self._done(unit)
        except TorquelogError as error:
            acts.reject(unit, acts.placed(unit, error))
            return
        if done.outcome == "on-record" or acts.ways.dry_run:
            acts.settle(unit, done)
            return
        acts.tally.left += 1
        self._spool.add(unit, done.outcome, foreseen)

    def _done(self, unit: Unit) -> tuple[Done, Foreseen | None]:
        acts = self._acts
        if acts.kind.foresee is None:
            return acts.done(self._copy, self._w, unit), None
        earlier = self._w.repeated(unit.id)
        if earlier is not None:  # which may say the same, or may not
            return acts.done(self._copy, self._w, unit), None
        foreseen, outcome = acts.kind.foresee(self._w, self._copy, acts.signer, unit.item, unit.id)
        return Done("", outcome), foreseen


def _read(acts: Acts, sheet: Sheet) -> Iterator[list[Unit]]:
    """The units of a file, some together."""
    with Met() as met:
        source = units(acts.kind, sheet.rows(), acts.ways.setting, met)
        while together := list(islice(source, TOGETHER)):
            yield together
