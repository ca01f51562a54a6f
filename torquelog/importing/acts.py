"""Carrying out the act of one unit, and counting and telling what became of it: the same for judging and for writing."""

from typing import Final, NamedTuple

from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import Writing
from torquelog.errors import TorquelogError
from torquelog.importing.sheet import Wrong
from torquelog.importing.tally import Placed, Tally
from torquelog.importing.unit import Done, Kind, Unit
from torquelog.importing.ways import Ways
from torquelog.ledger.form import reference

ENDING: Final = frozenset({"clock-ahead", "clock-behind", "key-ended", "key-level", "key-owner"})
"""Errors that say nothing of a row: the whole file stops there."""


class Acts(NamedTuple):
    """The acts of a file's units.

    Attributes:
        book: the record, open for writing.
        signer: who signs.
        kind: what the rows are.
        ways: how they are brought in, and to whom what is told.
        tally: what became of them so far.
    """

    book: Book
    signer: Signer
    kind: Kind
    ways: Ways
    tally: Tally

    def on_record(self, w: Writing, unit: Unit) -> Done | None:
        """What is said of a unit that was brought in before; nothing of one that was not, or has an id of its own."""
        if unit.rows[0].cells.get("id"):
            return None
        earlier = w.repeated(unit.id)
        return Done(reference(earlier.station, earlier.number), "on-record") if earlier else None

    def done(self, book: Book, w: Writing, unit: Unit) -> Done:
        """Carry out the act of a unit, or find that it is on record; raises what ends the whole file as it is."""
        return self.on_record(w, unit) or self.kind.act(
            w, book, self.signer, self.ways.setting, unit.item, unit.id
        )

    def placed(self, unit: Unit, error: TorquelogError) -> list[Placed]:
        """An error with its place; raised on where it says nothing of the unit."""
        if error.exit in (1, 5, 6) or error.code in ENDING:
            raise error
        return [Placed(unit.line, Wrong(self.kind.column_of(error, unit.rows[0].cells), error))]

    def reject(self, unit: Unit, wrong: list[Placed]) -> None:
        """A unit is not brought in."""
        self.tally.reject(len(unit.rows), wrong)
        if self.ways.rejects is not None:
            self.ways.rejects.add(unit, [(each.line, each.wrong) for each in wrong])
        self.ways.tell(unit, wrong)

    def settle(self, unit: Unit, done: Done) -> None:
        """Nothing has to be written for a unit."""
        self.tally.outcomes[done.outcome] += 1
        self.ways.tell(unit, done._replace(entry="") if self.ways.dry_run else done)

    def tell(self, unit: Unit, result: Done | list[Placed], judged: str) -> None:
        """A unit is on record, or could not be brought in any more; `judged` is its outcome as it was judged."""
        if isinstance(result, list):
            self.tally.left -= 1
            self.tally.change(unit.line, judged, "")
            self.reject(unit, result)
            return
        self.tally.wrote(result.entry, result.outcome)
        if result.outcome not in (judged, "on-record"):
            self.tally.change(unit.line, judged, result.outcome)
        self.ways.tell(unit, result)
