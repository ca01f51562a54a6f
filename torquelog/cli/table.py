"""Which commands there are, where each one stands, and its help in one line.

Only names and texts: `torquelog --help` reads this table and imports no command. A command's module is
imported when the command is asked for. The short help here and the command's own are compared by a test.
"""

from collections.abc import Iterator, Mapping
from typing import Final, NamedTuple


class Entry(NamedTuple):
    """Where a command stands.

    Attributes:
        module: the module below `torquelog.cli`.
        attribute: the command's name in that module.
        help: the short help, a sentence that begins with a verb.
    """

    module: str
    attribute: str
    help: str


class Branch(NamedTuple):
    """A word that needs another one after it, such as `wrench`."""

    help: str
    commands: Mapping[str, Entry]


SECTIONS: Final[tuple[tuple[str, Mapping[str, Entry | Branch]], ...]] = (
    (
        "Computing, without any record",
        {
            "convert": Entry("compute", "convert", "Convert a torque into another unit, exactly."),
            "setting": Entry("compute", "setting", "Compute what to set a wrench to."),
            "applied": Entry("compute", "applied", "Compute what a wrench gives the fastener."),
            "sequence": Entry("compute", "sequence", "Show the order in which to tighten a bolt circle."),
        },
    ),
    ("Setting up", {}),
    ("The crib", {}),
    ("Work", {}),
    ("Quality", {}),
    ("Sheets and labels", {}),
)
"""Headings as `torquelog --help` prints them, each with its commands in the order of use."""


def top() -> dict[str, Entry | Branch]:
    """Every first word, in the order of the help."""
    return {name: entry for _, commands in SECTIONS for name, entry in commands.items()}


def paths() -> Iterator[tuple[str, Entry]]:
    """Every command with its full name, such as "wrench add"."""
    for name, entry in top().items():
        if isinstance(entry, Entry):
            yield name, entry
        else:
            yield from ((f"{name} {word}", below) for word, below in entry.commands.items())
