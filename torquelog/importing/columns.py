"""The columns of each file that is brought in: what they are called and what they hold."""

from collections import Counter
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from typing import Final, NamedTuple

from torquelog.errors import TorquelogError
from torquelog.torque.number import quoted

REASON: Final = "reason"
"""The column that a file of rejects has besides; where a file has it, it is passed over."""


class Column(NamedTuple):
    """One column of a file.

    Attributes:
        name: in the header, or the name of a member in a line of JSON.
        meaning: what it holds.
        needed: whether each row has it.
        number: whether it holds numbers, which may be written with a decimal comma where that was said.
        several: whether it may hold several values: with semicolons between, in JSON as a list.
        flag: whether it holds yes or no, in JSON true or false.
    """

    name: str
    meaning: str
    needed: bool = False
    number: bool = False
    several: bool = False
    flag: bool = False


UNITS: Final = "a symbol, or a code of UNECE Recommendation 20"

READINGS: Final = (
    Column("fastener", "group and number, `tie-bolt:7`", needed=True),
    Column(
        "reading", "what was set or read, `26.5 lbf·ft`, or the number where `unit` has its unit", True, True
    ),
    Column("unit", f"the unit of `reading`: {UNITS}"),
    Column("job", "the job", needed=True),
    Column("wrench", "the wrench", needed=True),
    Column("adapter", "the adapters, from the wrench outwards", several=True),
    Column("step", "the card's step"),
    Column("pass", "the card's pass; the first open one if not given"),
    Column("run_on", "the run-on torque, with its unit or with `run_on_unit`", number=True),
    Column("run_on_unit", f"the unit of `run_on`: {UNITS}"),
    Column("run_on_wrench", "the wrench that measured it; needed beside `run_on`"),
    Column("run_on_adapter", "the adapters it was measured through", several=True),
    Column("loosened", "yes where the fastener was loosened first", flag=True),
    Column("act", "`tighten` or `check`"),
    Column("by", "who did it; whoever signs if not given"),
    Column("at", "when it was done", needed=True),
    Column("why", "the reason, where one is demanded; `--why` gives it to all rows that have none"),
    Column("lot", "lots of the hardware fitted", several=True),
    Column("id", "32 hex digits, where the reading has an id of its own, as in `record --lines`"),
)

WRENCHES: Final = (
    Column("number", "its number, as on its label", needed=True),
    Column("type", "`setting` (it clicks), `indicating` or `preset`", needed=True),
    Column("range", "its range, `20..100 lbf·ft`, or the numbers where `unit` has its unit", True, True),
    Column("unit", f"the unit of `range` and `graduation`: {UNITS}"),
    Column("graduation", "its smallest graduation", number=True),
    Column("scale", "further scales, `27..136 N·m by 1`", number=True, several=True),
    Column("lever", "centre of the square to where the hand pulls, `12 in`", number=True),
    Column("accuracy", "the largest deviation its papers allow, `4 %`", number=True),
    Column("every", "calibrated every, `12 months`"),
    Column("cycles", "and after this many uses"),
    Column("maker", "who made it"),
    Column("serial", "the maker's serial number"),
    Column("owner", "`company`, `personal` or `loan`; `company` if not given"),
    Column("place", "where it is kept in the crib"),
    Column("use", "`before-use` or `indication-only`, where it is one"),
)

CALIBRATIONS: Final = (
    Column("number", "the tool's number", needed=True),
    Column("certificate", "the certificate's number", needed=True),
    Column("on", "the day of the calibration; in the first row of a certificate"),
    Column("due", "the due date on it"),
    Column("laboratory", "who issued it"),
    Column("standard", "what it was measured with; a tester of yours by its number"),
    Column("found_on", "the day of the results as found, where it was another one"),
    Column("edition", "the edition of the standard that the laboratory followed"),
    Column("state", "of a result: `as-found`, `as-left` or `unchanged`"),
    Column("direction", "`cw` or `ccw`"),
    Column("indicated", "what the tool indicated", number=True),
    Column("reference", "what the standard measured", number=True),
    Column("unit", f"the unit of both: {UNITS}"),
    Column("repeat", "which repetition of this indication; left out, they are counted as they stand"),
    Column("uncertainty", "of the reference, in the same unit or in percent", number=True),
    Column("k", "its coverage factor", number=True),
    Column("length", "of an adapter, its length as measured", number=True),
    Column("multiplier", "of a multiplier, its ratio as measured", number=True),
)

ASSEMBLIES: Final = (
    Column("serial", "its serial number", needed=True),
    Column("part", "its part number", needed=True),
    Column("kind", "what it is: `wheel`, `brake`, …", needed=True),
)

COLUMNS: Final[Mapping[str, tuple[Column, ...]]] = {
    "readings": READINGS,
    "wrenches": WRENCHES,
    "calibrations": CALIBRATIONS,
    "assemblies": ASSEMBLIES,
}
"""The columns by the kind of file."""


def spelled(name: str) -> str:
    """The name of a column as it is looked for: small letters, with an underscore for blanks and hyphens."""
    return "_".join(name.strip().lower().replace("-", " ").replace("_", " ").split())


def check_header(kind: str, names: Sequence[str]) -> None:
    """Raise where a header, spelled as it is looked for, cannot be that of such a file."""
    known = {column.name for column in COLUMNS[kind]} | {REASON}
    for name in names:
        if name not in known:
            raise unknown(kind, name)
    for name, count in Counter(names).items():
        if count > 1:
            raise TorquelogError(
                "field-twice",
                f"The header has the column {quoted(name)} twice.",
                hint="Leave one of them out.",
            )
    for column in COLUMNS[kind]:
        if column.needed and column.name not in names:
            raise TorquelogError(
                "field-missing",
                f"The header has no column {quoted(column.name)}.",
                why=f"Each row needs {column.meaning}.",
                hint=_all(kind),
            )


def unknown(kind: str, name: str) -> TorquelogError:
    """The error for a column that such a file does not have, with the one that was probably meant."""
    close = get_close_matches(spelled(name), [column.name for column in COLUMNS[kind]], 1)
    return TorquelogError(
        "field-unknown",
        f"There is no column {quoted(name)} in a file of {kind}.",
        hint=f'Did you mean "{close[0]}"?' if close else _all(kind),
    )


def _all(kind: str) -> str:
    return f"Its columns: {', '.join(column.name for column in COLUMNS[kind])}."
