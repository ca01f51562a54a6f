"""What a command gives back: data only. `render` alone turns it into lines or into the envelope.

Every string is one line of plain text; a line break inside one is shown, not obeyed, as it came from a
person. Numbers in `data` are strings with a unit beside them, so no Fraction, Decimal or float stands there.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from typing import Any, Generic, NamedTuple, TypeAlias, TypeVar

from torquelog.errors import TorquelogError

Thing_co = TypeVar("Thing_co", covariant=True)

Json: TypeAlias = "str | int | bool | Sequence[Json] | Mapping[str, Json] | Each[Json] | None"


class Each(Generic[Thing_co]):
    """Things that are made of others only when they are shown, and one by one where there are too many to hold."""

    def __init__(self, source: Collection[Any], make: Callable[[Iterable[Any]], Iterable[Thing_co]]) -> None:
        """Make nothing yet.

        Args:
            source: what they are made of: a tuple, or something that is too much for one.
            make: the things for those of the source.
        """
        self._source = source
        self._make = make

    def __iter__(self) -> Iterator[Thing_co]:
        return iter(self._make(self._source))

    def __bool__(self) -> bool:
        return bool(self._source)

    @property
    def few(self) -> bool:
        """Whether they can be held at once."""
        return isinstance(self._source, tuple)

    def held(self) -> "tuple[Thing_co, ...] | Each[Thing_co]":
        """All of them where they are few, so that none is made twice; else themselves."""
        return tuple(self) if self.few else self

    def further(self, make: Callable[[Any], Any]) -> "Each[Any]":
        """Other things made of each of these."""
        return Each(self._source, lambda source: map(make, self._make(source)))


class Problem(NamedTuple):
    """Why something was not done, or was done but lies outside what is allowed.

    Attributes:
        code: the stable name; a code of `torquelog.errors.CODES`, or the ground of a refusal.
        message: what happened and why, in one or two sentences.
        hint: what to do next: a sentence, or a command that begins with "torquelog ", or nothing.
    """

    code: str
    message: str
    hint: str = ""


class Remark(NamedTuple):
    """Something to know about what was done. A remark never changes the exit status."""

    code: str
    message: str


class Column(NamedTuple):
    """One column of a table.

    Attributes:
        title: what stands above it, in lower case; may be empty.
        right: whether its cells stand to the right, as numbers do.
        fold: whether its cells may be broken into several lines where the terminal is narrow.
    """

    title: str
    right: bool = False
    fold: bool = False


class Stack(NamedTuple):
    """One row of a stacked table.

    Attributes:
        over: what it has in common with the rows beside it; stands once above them, where it changes. May be empty.
        cells: its cells in columns.
        below: what did not find room in a column; stands below the row. May be empty.
    """

    over: str
    cells: tuple[str, ...]
    below: str


class Stacked(NamedTuple):
    """A table laid out for a terminal that its columns do not fit: fewer of them, the rest above and below its rows.

    Attributes:
        columns: titles and how each column gives way.
        rows: as many as the table tells of, none of their words lost.
        title: a line above it; may be empty.
    """

    columns: tuple[Column, ...]
    rows: tuple[Stack, ...] | Each[Stack]
    title: str = ""


class Table(NamedTuple):
    """Rows for people, and beside them the same rows for programs.

    Attributes:
        columns: titles and how each column gives way.
        rows: the cells as they are printed, one tuple a row.
        records: what `--csv` writes, one mapping a row with the same keys in each; a mapping inside one
            becomes columns of its own ("limits_low"). Without records the printed cells are written.
        fields: the heading of that CSV, for lists that may be empty; else the first record's keys.
        title: a line above the table; may be empty.
        stacked: the same for a terminal on which its columns find no room side by side, or nothing.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...] | Each[tuple[str, ...]]
    records: tuple[Mapping[str, Json], ...] | Each[Mapping[str, Json]] = ()
    fields: tuple[str, ...] = ()
    title: str = ""
    stacked: Stacked | None = None


class Answer(NamedTuple):
    """The outcome of a command.

    Attributes:
        headline: the answer as a sentence, in the user's words.
        facts: label and value; an empty label continues the value above.
        body: further lines; an empty one is a blank line, leading blanks are kept.
        table: a list of things, or nothing.
        next: commands that work if pasted; two blanks and more part a command from a note about it.
        data: the envelope's data; without it, null.
        problems: what was refused or went wrong.
        remarks: what else there is to know.
        exit: the exit status, 0 for done.
        written: whether it has been shown already, line by line or as a dialogue; only its exit counts then.
        envelope: the envelope as text, where it was made already; only that and the exit count then.
    """

    headline: str = ""
    facts: tuple[tuple[str, str], ...] = ()
    body: tuple[str, ...] = ()
    table: Table | None = None
    next: tuple[str, ...] = ()
    data: Mapping[str, Json] | None = None
    problems: tuple[Problem, ...] = ()
    remarks: tuple[Remark, ...] = ()
    exit: int = 0
    written: bool = False
    envelope: str = ""


def from_error(error: TorquelogError) -> Answer:
    """The answer that tells of an error and holds nothing else."""
    return Answer(problems=(Problem(error.code, error.message, error.hint),), exit=error.exit)
