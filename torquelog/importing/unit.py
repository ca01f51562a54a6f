"""What is brought in at once: the rows that make one entry, what they say, and what became of them."""

from collections.abc import Callable
from typing import Any, Final, NamedTuple

from torquelog.book.opening import Book
from torquelog.book.rehearsal import Foreseen, Rehearsal
from torquelog.book.signer import Signer
from torquelog.book.writing import Writing
from torquelog.errors import TorquelogError
from torquelog.importing.setting import Setting
from torquelog.importing.sheet import Row, Wrong
from torquelog.importing.values import Cells

OUTCOMES: Final = (
    "", "on-record", "same-row", "within", "below", "above", "refused", "registered", "added", "accepted", "waiting",
)  # fmt: skip
"""What became of rows; nothing yet, and nothing where something is wrong with them.

`on-record`: brought in before. `same-row`: the file says it twice. `waiting`: a certificate on record that nobody
accepted yet.
"""


class Done(NamedTuple):
    """What became of one unit: its entry, as `QHR-000123`, and one of `OUTCOMES`."""

    entry: str
    outcome: str


class Unit(NamedTuple):
    """The rows that make one entry.

    Attributes:
        rows: one; of a certificate all its results.
        id: of the entry, 32 hex digits.
        before: how often the file has said the same before.
        twin: whether it is said once, and was said before.
        item: what the rows say, as the act takes it; nothing where something is wrong.
        wrong: what is wrong, with the row it is about.
    """

    rows: tuple[Row, ...]
    id: str
    before: int
    twin: bool
    item: Any
    wrong: tuple[tuple[Row, Wrong], ...] = ()

    @property
    def line(self) -> int:
        """The line where it begins."""
        return self.rows[0].raw.line


class Kind(NamedTuple):
    """One kind of file.

    Attributes:
        name: readings, wrenches, calibrations or assemblies.
        entry: the kind of entry that its rows become.
        key: what rows of one unit have in common and what a file names once; nothing where each row stands alone.
        read: makes the item of a unit's cells.
        act: puts an item on record, under an id.
        column_of: the column that an error of the act is about.
        repeats: whether the same row twice means that it happened twice.
        foresee: rehearses an item under an id; gives the entry as it would be, and its outcome. Nothing where an item
            is more than one entry, or is judged again in any case.
    """

    name: str
    entry: str
    key: Callable[[Row], tuple[str, ...]] | None
    read: Callable[[list[Cells], Setting], Any]
    act: Callable[[Writing, Book, Signer, Setting, Any, str], Done]
    column_of: Callable[[TorquelogError, dict[str, str]], str]
    repeats: bool = False
    foresee: Callable[[Rehearsal, Book, Signer, Any, str], tuple[Foreseen, str]] | None = None
