"""The command lines that are killed: one for each command of the tree that writes, and those that only read."""

from typing import Final, NamedTuple

from tests.project.test_examples import EXAMPLES
from tests.project.world import PASSPHRASE

READING: Final = frozenset(
    (
        "adapter check", "adapter due", "adapter list", "adapter show", "aircraft list", "applied", "assembly list",
        "assembly show", "audit certificates", "audit intervals", "audit overdue", "audit people", "audit struck",
        "card check", "card list", "card show", "completion", "convert", "job list", "job rechecks", "job show",
        "job tools", "person list", "recall list", "recall show", "refused",
        "sequence", "setting", "station show", "tester due",
        "tester interval", "tester list", "tester show", "trace adapter", "trace aircraft", "trace assembly",
        "trace card", "trace fastener", "trace lot", "trace person", "trace shop", "trace wrench",
        "verify", "wrench check", "wrench due",
        "wrench interval", "wrench list", "wrench show",
    )
)  # fmt: skip
"""Commands that write nothing; all others are killed."""


class Line(NamedTuple):
    """A command line: whose it is, the words, what it reads on standard input, and what happens before it.

    ENTRY in the line stands for the entry that was named last before it, CODE for the one-time code.
    """

    name: str
    line: str
    stdin: str = ""
    before: "tuple[Line, ...]" = ()
    hours: int = 0


def _quietly(line: str, stdin: str = "", hours: int = 0) -> Line:
    return Line("", line, stdin, (), hours)


TINY: Final = """
[card]
id = "TINY"
title = "One nut"
document = "EX-MANUAL 32-41"
revision = "A"
date = 2026-11-02
kind = "wheel"
[[group]]
id = "nut"
on = "wheel"
count = 1
torque = "25..28 lbf·ft"
"""
"""A card that is worked through with one reading."""

DRY: Final = "--dry-run"
"""Marks an example that writes nothing."""

OWN: Final = (
    Line("restore", "torquelog --as TK restore copy.db --old-file-is-gone --why gone --replace --passphrase-stdin",
         PASSPHRASE),
    Line("person enrol", "torquelog person enrol IK --code CODE --passphrase-stdin", "seven pears in the shade\n",
         (_quietly("torquelog person code IK --passphrase-stdin", PASSPHRASE),)),
    Line("job close", "torquelog job close J-30", "", (
        _quietly("torquelog card load tiny.toml"),
        _quietly("torquelog card approve TINY --why 'nobody else' --passphrase-stdin", PASSPHRASE),
        _quietly("torquelog job open J-30 --card TINY --assembly WH-2240"),
        _quietly("torquelog record nut:1 26.5 ft-lb --job J-30 --wrench W-0417"),
    )),
    Line("recall close", "torquelog recall close R-1 --why 'all decided' --passphrase-stdin", PASSPHRASE, (
        _quietly("torquelog recall disposition R-1 1 --decision accepted --reference 'letter EX-7' --why 'it was said' "
                 "--passphrase-stdin", PASSPHRASE),
    )),
    Line("recall answer", "torquelog recall answer ENTRY --why 'no work was done with it' --passphrase-stdin", PASSPHRASE,
         (_quietly("torquelog wrench report W-0417 dropped --why 'from the stand'"),)),
    Line("clock release", "torquelog clock release --why 'the battery was empty' --passphrase-stdin", PASSPHRASE,
         (_quietly("torquelog --as TK station set late-minutes 90 --why later --clock-ok --passphrase-stdin",
                   PASSPHRASE, 60),)),
    Line("review", "torquelog review answer QHR-000014 --why 'copied from the worksheet' --passphrase-stdin", PASSPHRASE),
    Line("card load", "torquelog card load tiny.toml"),
    Line("record --lines", "torquelog record --lines", "".join(
        f'{{"fastener": "tie-bolt:{number}", "reading": "26.5 ft-lb", "job": "J-5", "wrench": "W-0417"}}\n'
        for number in (7, 8, 9)
    )),
)  # fmt: skip
"""Lines for commands whose examples write nothing when nobody is at the terminal, and for other ways into some."""


def lines() -> list[Line]:
    """The lines of each command that is not among those that read."""
    own = {line.name for line in OWN}
    found = [
        Line(name, example.line, example.stdin)
        for name, example in EXAMPLES
        if name
        and name not in READING
        and name not in own
        and example.exit in (0, 4)
        and DRY not in example.line
    ]
    first = {line.name: line for line in reversed(found)}
    return [*first.values(), *OWN]
