"""`job rechecks`: what closed jobs left to be looked at again."""

from typing import TYPE_CHECKING

from torquelog.cli import words
from torquelog.cli.answer import Answer, Column, Json, Table
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.places import bears
from torquelog.cli.signing import open_for
from torquelog.clock import offset_text
from torquelog.rules.names import fasteners_name

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.book.rechecks import Recheck

FIELDS = ("group", "items", "assembly", "aircraft", "position", "when", "job", "since")


@command(
    "rechecks",
    short="List what closed jobs left to be checked again.",
    examples=(Example("torquelog job rechecks"),),
    csv=True,
)
def rechecks(context: Context) -> Answer:
    """Opened by the closing of a job whose card asks for it, they go with the wheel or brake. A card whose step is
    named recheck takes the torque checks that answer them.
    """
    from torquelog.book.rechecks import rechecks as open_ones

    with open_for(context, "read") as book:
        found = open_ones(book.connection)
        records = [record(book, each) for each in found]
        rows = tuple((words.sentence(name(each)), whose(book, each), each.when, each.job) for each in found)
        columns = (Column("fasteners"), Column("of", fold=True), Column("when", fold=True), Column("job"))
        return Answer(
            headline=f"{words.count(len(found), 'open recheck')}.",
            table=Table(columns, rows, tuple(records), fields=FIELDS),
            next=("torquelog job open JOB --card CARD",) if found else ("torquelog job list",),
            data={"rechecks": [dict(each) for each in records]},
        )


def name(each: "Recheck") -> str:
    """The fasteners that wait."""
    return fasteners_name(each.group, each.items)


def whose(book: "Book", each: "Recheck") -> str:
    """Whose fasteners they are: an assembly with where it is now, or a position."""
    from torquelog.cli.places import place_text
    from torquelog.facts import assemblies

    kind, _, rest = each.owner.partition(" ")
    if kind == "aircraft":
        msn, _, position = rest.partition(" ")
        return f"{bears(book.connection, msn)} {position}"
    serial = rest.partition(" ")[2]
    return f"{serial}, {place_text(book.connection, assemblies.place(book.connection, rest))}"


def record(book: "Book", each: "Recheck") -> dict[str, Json]:
    """A recheck for programs."""
    kind, _, rest = each.owner.partition(" ")
    msn, _, position = rest.partition(" ")
    on_aircraft = kind == "aircraft"
    return {
        "group": each.group,
        "items": words.numbers(each.items),
        "assembly": None if on_aircraft else rest,
        "aircraft": msn if on_aircraft else None,
        "position": position if on_aircraft else None,
        "when": each.when,
        "job": each.job,
        "since": offset_text(each.since, book.zone),
    }


def lines(book: "Book", owners: list[str]) -> list[str]:
    """A sentence for each open recheck of what a job is about."""
    from torquelog.book.rechecks import rechecks as open_ones

    found = [each for owner in dict.fromkeys(owners) for each in open_ones(book.connection, owner=owner)]
    return [
        f"Recheck open: {name(each)}, {each.when}, since {each.job} was closed {since(book, each)}."
        for each in found
    ]


def since(book: "Book", each: "Recheck") -> str:
    """The day of the closing."""
    return words.day(words.local(each.since, book.zone).date())
