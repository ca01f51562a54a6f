"""Makes the page of the reference that tells the files: cards, results, lines, checkpoints, and where they lie."""

import re
from collections.abc import Mapping
from typing import Final

from tests.project.reference_dcc import dcc_parts
from tests.project.reference_entries import cell
from torquelog.cli import asked
from torquelog.crib import results
from torquelog.facts import calibrations
from torquelog.importing.columns import COLUMNS as IMPORTED
from torquelog.importing.lines import LONGEST
from torquelog.ledger.checkpoint import Checkpoint
from torquelog.torque.number import display
from torquelog.torque.units import _FORMS, LENGTH_UNITS, TORQUE_UNITS
from torquelog.work.card_keys import CARD, CHECK, GROUP, HARDWARE, STEP, Key

CARD_TABLES: Final[tuple[tuple[str, Mapping[str, Key]], ...]] = (
    ("`[card]`, once", CARD),
    ("`[[group]]`, fasteners that are tightened alike, one table a group", GROUP),
    ("`steps`, in a group", STEP),
    ("`hardware`, in a group", HARDWARE),
    ("`[[check]]`, an operational check that holds the closing", CHECK),
)

COLUMNS: Final = {
    "unit": "the unit of both values: a symbol of torquelog, or a code of UNECE Recommendation 20",
    "uncertainty": "expanded uncertainty of the reference, in the same unit or in percent of the reference",
    "repeat": "which repetition of this indication; left out, they are counted as they stand",
}
"""Meanings of columns that say more, or something else, than the member of the same name."""

ABOVE: Final = """\
`above` says what a torque above the limits asks for: `replace`, new hardware; `loosen`, loosening is enough;
`engineering`, or nothing said, a disposition that names its approved data. `on` says whose the fasteners are: those of
an assembly travel with it, those of the aircraft stay with its position. A group needs either `torque` or `steps` of
which at least one has a torque."""

LINE_FIELDS: Final = {
    "fastener": "group and number, `tie-bolt:7`; needed",
    "reading": "what was set or read, with its unit, `26.5 lbf·ft`; needed",
    "job": "the job; needed",
    "wrench": "the wrench; needed",
    "adapter": "an adapter, or a list of them from the wrench outwards",
    "step": "the card's step",
    "pass": "the card's pass, as text",
    "run_on": "the run-on torque, with its unit",
    "run_on_wrench": "the wrench that measured it; needed beside `run_on`",
    "run_on_adapter": "an adapter it was measured through, or a list of them",
    "loosened": "`true` where the fastener was loosened first",
    "act": "`tighten` or `check`",
    "by": "who did it, where it was not the signer",
    "at": "when it was done, where it was not now",
    "why": "the reason, where one is demanded",
    "lot": "a lot of the hardware fitted, or a list of them",
    "id": "32 hex digits of yours; the same line again gives the first answer",
}

VARIABLES: Final = (
    ("TORQUELOG_DB", "the file of the record; `--db` comes before it"),
    ("XDG_DATA_HOME", "the folder above the data folder, an absolute path; not on Windows"),
    (
        "XDG_RUNTIME_DIR",
        "the folder above that of sign-ins, if it is yours alone; else sign-ins lie in the data folder",
    ),
    ("LOCALAPPDATA", "on Windows, the folder above the data folder"),
    ("NO_COLOR", "set to anything: no colours"),
    ("TERM", "`dumb`: no colours"),
    ("COLUMNS", "how many columns the terminal has"),
)


def files_page(made: str) -> str:
    """The page of all files.

    Args:
        made: the line that says how the page is made.
    """
    parts = [
        "# Files",
        made,
        "All files are UTF-8 text, but for the record itself. A file is never written over without `--replace`.\n"
        "In CSV that torquelog writes, a text that a spreadsheet would compute has an apostrophe in front; its own\n"
        "reader takes it off.",
        *card_parts(),
        *result_parts(),
        *dcc_parts(),
        *unit_parts(),
        *line_parts(),
        *import_parts(),
        *ledger_parts(),
        *place_parts(),
    ]
    return "\n\n".join(parts) + "\n"


def table(*rows: tuple[str, ...]) -> str:
    """A table whose first row is its head."""
    lines = [" | ".join(map(cell, row)) for row in rows]
    lines.insert(1, " | ".join("---" for _ in rows[0]))
    return "\n".join(f"| {line} |" for line in lines)


def card_parts() -> list[str]:
    """What a card file holds."""
    parts = [
        "## A card",
        "A card is a TOML file of at most 1 MiB. Quantities stand in quotation marks, so that `44.10` keeps its\n"
        "zero. A key that is not in these tables is refused. `torquelog card new --template` writes a file with\n"
        "every key, and `torquelog card check` looks at one without loading it.",
    ]
    for title, keys in CARD_TABLES:
        rows = [
            (f"`{name}`", "yes" if key.needed else "", key.meaning, f"`{key.example}`")
            for name, key in keys.items()
        ]
        parts += [f"{title}:", table(("key", "needed", "what it says", "written like"), *rows)]
    return [*parts, ABOVE]


def result_parts() -> list[str]:
    """The columns of the results of a calibration."""
    meanings = {member.name: member.meaning for member in calibrations.POINT}
    rows = [
        (f"`{name}`", "yes" if name in results.NEEDED else "", COLUMNS.get(name) or meanings[name])
        for name in results.ALLOWED
    ]
    return [
        "## Results of a calibration",
        "CSV with a header, with commas or semicolons between, the columns in any order, numbers with a point;\n"
        f"{results.MOST} results at most. A value is never a percentage of deviation: a result is a pair. For\n"
        "`torquelog wrench calibrate --points`.",
        table(("column", "needed", "what it holds"), *rows),
    ]


def unit_parts() -> list[str]:
    """The closed list of units, with their factors and how they may be typed."""
    rows = [
        (
            f"`{unit.symbol}`",
            ", ".join(f"`{form}`" for form, symbol in _FORMS.items() if symbol == unit.symbol),
            unit.code,
            display(unit.newton_metres, 40),
        )
        for unit in TORQUE_UNITS.values()
    ]
    lengths = ", ".join(f"`{name}`" for name in LENGTH_UNITS)
    return [
        "## Units",
        "The pound and ounce units may be typed in capitals, too; the others as they stand here.",
        table(("unit", "typed as", "Rec. 20", "N·m, exactly"), *rows),
        f"Lengths are in {lengths}.",
    ]


def line_parts() -> list[str]:
    """The fields of a line of `record --lines`."""
    assert LINE_FIELDS.keys() == asked.FIELDS, "a field of a line is told wrongly, or not at all"
    return [
        "## Lines of readings",
        "`torquelog record --lines` reads one JSON object a line, at most 64 KiB, and answers each with one\n"
        "[envelope](codes.md#the-envelope) a line. Every value is text, where nothing else is said.",
        table(("field", "what it holds"), *((f"`{name}`", LINE_FIELDS[name]) for name in LINE_FIELDS)),
    ]


def import_parts() -> list[str]:
    """The columns of the files that are brought in."""
    parts = [
        "## Files that are brought in",
        "`torquelog import` reads CSV with a header, cells parted by commas, semicolons or tabs, or JSON Lines, where a\n"
        f"line is one object with these names; a line has at most {LONGEST >> 10} KiB. Names may be written with blanks\n"
        "or hyphens, in any order and in capitals. Several values in one cell are parted by semicolons; in JSON they\n"
        "are a list. A byte order mark is passed over, and an apostrophe before the beginning of a formula taken off.\n"
        "A column `reason` is passed over: a file of rejects has it in front.",
    ]
    for kind, columns in IMPORTED.items():
        rows = [(f"`{column.name}`", "yes" if column.needed else "", column.meaning) for column in columns]
        parts += [f"`torquelog import {kind}`:", table(("column", "needed", "what it holds"), *rows)]
    return parts


def ledger_parts() -> list[str]:
    """The lines of an export and of a checkpoint."""
    members = re.findall(r"^ {8}(\w+): (.+)$", Checkpoint.__doc__ or "", re.MULTILINE)
    assert [name for name, _ in members] == list(Checkpoint._fields)
    return [
        "## An export",
        "`torquelog export` writes one JSON object a line and an entry: `text`, the canonical text of the entry as a\n"
        "string, and `signature`, 128 hex digits. The lines of a chain stand in the order of their numbers, the\n"
        "file's own chain first. [The ledger's form](../ledger.md) says how they are checked.",
        "## A checkpoint",
        "`torquelog checkpoint` writes one line, a JSON object of `checkpoint`, a text, and `signature`, 128 hex\n"
        "digits. The text is a JSON object again, in its canonical form:",
        table(("member", "what it says"), *((f"`{name}`", meaning) for name, meaning in members)),
    ]


def place_parts() -> list[str]:
    """Where the record lies, and what of the surroundings is asked."""
    return [
        "## The record",
        "A plain SQLite file, in WAL mode: while it is open, `-wal` and `-shm` lie beside it and belong to it. Copy\n"
        "it with `torquelog backup`, not with a file manager. It lies where `--db` says, else where `TORQUELOG_DB`\n"
        "says, else as `ledger.db` in the data folder: `~/.local/share/torquelog`, on macOS\n"
        "`~/Library/Application Support/torquelog`, on Windows `%LOCALAPPDATA%\\torquelog`. The data folder also\n"
        "keeps, for each person, the last entry seen here: an older copy shows itself at the next sign-in. Sign-ins\n"
        "lie in the runtime folder, one private file a record and person.",
        "Readings one after another (`work`, `record --lines`) are written into a `-wal` of 4 to 5 MB, made at once\n"
        "where the disk has room for it: a file that does not grow needs one flush of the disk per reading instead\n"
        "of two. It goes when the record is closed.",
        "Other programs read it through its [views](views.md), or ask [`torquelog.api`](api.md).",
        "## Variables of the surroundings",
        "No variable sets the clock, a person, a limit or a rule.",
        table(("variable", "what it says"), *((f"`{name}`", meaning) for name, meaning in VARIABLES)),
    ]
