"""What a command gives back: data only. `render` alone turns it into lines or into the envelope.

Every string is one line of plain text; a line break inside one is shown, not obeyed, as it came from a
person. Numbers in `data` are strings with a unit beside them, so no Fraction, Decimal or float stands there.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple, TypeAlias

from torquelog.errors import TorquelogError

Json: TypeAlias = "str | int | bool | Sequence[Json] | Mapping[str, Json] | None"


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


class Table(NamedTuple):
    """Rows for people, and beside them the same rows for programs.

    Attributes:
        columns: titles and how each column gives way.
        rows: the cells as they are printed, one tuple a row.
        records: what `--csv` writes, one mapping a row with the same keys in each; a mapping inside one
            becomes columns of its own ("limits_low"). Without records the printed cells are written.
        fields: the heading of that CSV, for lists that may be empty; else the first record's keys.
        title: a line above the table; may be empty.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    records: tuple[Mapping[str, Json], ...] = ()
    fields: tuple[str, ...] = ()
    title: str = ""


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


def from_error(error: TorquelogError) -> Answer:
    """The answer that tells of an error and holds nothing else."""
    return Answer(problems=(Problem(error.code, error.message, error.hint),), exit=error.exit)
