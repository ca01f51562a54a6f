"""`assembly …`: put on record, fitted, removed, moved, held, released, taken apart, shown."""

from shlex import quote
from typing import TYPE_CHECKING

import click

from torquelog.cli import words
from torquelog.cli.answer import Answer, Column, Json, Table
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.init import given
from torquelog.cli.placed import placed, placement_data, told
from torquelog.cli.places import assembly_data, assembly_text, place_data, place_since
from torquelog.cli.signing import open_for, signed_in

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.clock import Moment
    from torquelog.facts.assemblies import Assembly

AT = click.option("--at", metavar="TIME", help="When it was done, if not now.")
WHY = click.option("--why", metavar="TEXT", required=True, help="The reason.")


@command(
    "add",
    short="Put an assembly on record.",
    examples=(Example("torquelog assembly add WH-2250 --part EX-4410-1 --kind wheel"),),
)
@click.argument("serial", metavar="SERIAL", required=False)
@click.option("--part", metavar="PART", help="The part number.")
@click.option("--kind", metavar="KIND", help="What it is: wheel, brake, …")
def add(context: Context, serial: str | None, part: str | None, kind: str | None) -> Answer:
    """An assembly is known by its part and serial number together; the serial number alone does where it is
    the only one.
    """
    from torquelog.work import assemblies

    assembly = asked_assembly(context, serial, part, kind)
    with open_for(context, "write") as book:
        done = assemblies.add(book, signed_in(context, book), assembly)
        return Answer(
            headline=f"{words.sentence(assembly_text(assembly))} is on record, part {assembly.part}.",
            facts=(("Entry", done.reference),),
            next=(f"torquelog assembly show {assembly.serial}",),
            data={"entry": done.reference, **assembly_data(assembly)},
        )


def asked_assembly(context: Context, serial: str | None, part: str | None, kind: str | None) -> "Assembly":
    """An assembly from what was given, and on a terminal from what is asked for."""
    from torquelog.facts.assemblies import Assembly
    from torquelog.ledger.text import gate_identifier, gate_name

    number = given(
        context, serial, "Its serial number", "SERIAL", lambda text: gate_identifier(text, "a serial number")
    )
    sort = given(
        context, kind, "What is it? (wheel, brake, ...)", "--kind",
        lambda text: gate_name(text, "a kind of assembly"),
    )  # fmt: skip
    made = given(
        context, part, "Its part number", "--part", lambda text: gate_identifier(text, "a part number")
    )
    return Assembly(made, number, sort)


@command(
    "fit",
    short="Record that an assembly was fitted to an aircraft.",
    examples=(
        Example('torquelog assembly fit WH-2240 --aircraft QQ-MRA --position "main 2"'),
        Example(
            'torquelog assembly fit WH-2240 --aircraft QQ-HLB --position "main 1" --replacing',
            "what is there of its kind comes off",
        ),
    ),
)
@click.argument("serial", metavar="SERIAL")
@click.option("--aircraft", "on", metavar="REG", required=True, help="Registration or serial number.")
@click.option("--position", metavar="POS", required=True, help="Where on it, in your words: main 2.")
@click.option("--replacing", is_flag=True, help="What is there of the same kind comes off at that time.")
@AT
def fit(context: Context, serial: str, on: str, position: str, replacing: bool, at: str | None) -> Answer:
    """Fitting ends what was tight at that position. What was tightened on the assembly itself stays tight."""
    from torquelog.ledger.text import gate_text
    from torquelog.work import assemblies

    where = gate_text(position, "the position")
    with open_for(context, "write") as book:
        when, signer = read_time(book, at), signed_in(context, book)
        return placed(book, assemblies.fit(book, signer, serial, on, where, at=when, replacing=replacing))


@command(
    "remove",
    short="Record that an assembly was taken off its aircraft.",
    examples=(Example("torquelog assembly remove WH-2231 --to stores"),),
)
@click.argument("serial", metavar="SERIAL")
@click.option("--to", metavar="PLACE", help="Where it went: stores, shop, scrap, or another place.")
@AT
def remove(context: Context, serial: str, to: str | None, at: str | None) -> Answer:
    """Removing ends what was tight at the position. What was tightened on the assembly itself stays tight."""
    from torquelog.ledger.text import gate_text
    from torquelog.work import assemblies

    place = gate_text(to, "the place") if to is not None else None
    with open_for(context, "write") as book:
        when, signer = read_time(book, at), signed_in(context, book)
        return placed(book, assemblies.remove(book, signer, serial, at=when, to=place))


@command(
    "move",
    short="Record where an assembly is that is on no aircraft.",
    examples=(
        Example("torquelog assembly move WH-2240 --to stores"),
        Example('torquelog assembly move WH-2240 --to "Wheel house, Porto"', "another organisation"),
    ),
)
@click.argument("serial", metavar="SERIAL")
@click.option("--to", metavar="PLACE", required=True, help="stores, shop, scrap, or another place.")
@AT
def move(context: Context, serial: str, to: str, at: str | None) -> Answer:
    """What was tightened on it stays tight, also at another place. Scrap is the end: it is not fitted again."""
    from torquelog.ledger.text import gate_text
    from torquelog.work import assemblies

    place = gate_text(to, "the place")
    with open_for(context, "write") as book:
        when, signer = read_time(book, at), signed_in(context, book)
        return placed(book, assemblies.move(book, signer, serial, place, at=when))


@command(
    "hold",
    short="Hold an assembly back, so that it is not fitted.",
    examples=(Example('torquelog assembly hold WH-2240 --why "tie bolts under recall"'),),
)
@click.argument("serial", metavar="SERIAL")
@WHY
@AT
def hold(context: Context, serial: str, why: str, at: str | None) -> Answer:
    """Where it is already fitted it stays there; fitting it again is refused until somebody releases it."""
    from torquelog.work import assemblies

    reason = read_reason(why)
    with open_for(context, "write") as book:
        when, signer = read_time(book, at), signed_in(context, book)
        return placed(book, assemblies.hold(book, signer, serial, reason, at=when))


@command(
    "release",
    short="Release an assembly that was held back.",
    examples=(Example('torquelog assembly release BR-0907 --why "cracks not confirmed"'),),
)
@click.argument("serial", metavar="SERIAL")
@WHY
@AT
def release(context: Context, serial: str, why: str, at: str | None) -> Answer:
    """It may be fitted again. This is no release to service."""
    from torquelog.work import assemblies

    reason = read_reason(why)
    with open_for(context, "write") as book:
        when, signer = read_time(book, at), signed_in(context, book)
        return placed(book, assemblies.release(book, signer, serial, reason, at=when))


@command(
    "take-apart",
    short="Record that an assembly was taken apart.",
    examples=(Example('torquelog assembly take-apart WH-2240 --why "tyre change"'),),
)
@click.argument("serial", metavar="SERIAL")
@WHY
@AT
def take_apart(context: Context, serial: str, why: str, at: str | None) -> Answer:
    """Whatever was tightened on it ends with this. Deflate a wheel fully before a tie bolt is loosened."""
    from torquelog.work import assemblies

    reason = read_reason(why)
    with open_for(context, "write") as book:
        when, signer = read_time(book, at), signed_in(context, book)
        return placed(book, assemblies.take_apart(book, signer, serial, reason, at=when))


@command(
    "show",
    short="Show where an assembly is, and where it was.",
    examples=(Example("torquelog assembly show WH-2231"),),
)
@click.argument("serial", metavar="SERIAL")
def show(context: Context, serial: str) -> Answer:
    """Where it is today, everything on record about where it was, and the jobs that named it."""
    from torquelog.book.named import assembly_named
    from torquelog.facts import assemblies

    with open_for(context, "read") as book:
        found = assembly_named(book.connection, serial)
        place = assemblies.place(book.connection, found.key)
        history = assemblies.placements(book.connection, found.key)
        held = (("Held", place.held or "no reason on record"),) if place.held is not None else ()
        data: dict[str, Json] = {
            **assembly_data(found),
            **place_data(book.connection, place, book.zone),
            "history": [placement_data(book, each) for each in history],
        }
        rows = tuple(
            (
                words.day_and_time(each.at, book.zone), told(book, each), each.why or "",
                f"{each.station}-{each.number:06d}",
            )
            for each in history
        )  # fmt: skip
        columns = (Column("when"), Column("what", fold=True), Column("why", fold=True), Column("entry"))
        return Answer(
            headline=f"{words.sentence(assembly_text(found))}, part {found.part}: {place_since(book, place)}.",
            facts=held,
            table=Table(columns, rows) if rows else None,
            next=(f"torquelog trace assembly {found.serial}",),
            data=data,
        )


@command(
    "list",
    short="List the assemblies on record, and where they are.",
    examples=(Example("torquelog assembly list"), Example("torquelog assembly list --csv")),
    csv=True,
)
def assembly_list(context: Context) -> Answer:
    """By serial number."""
    from torquelog.facts import assemblies

    with open_for(context, "read") as book:
        found = assemblies.assemblies(book.connection)
        places = [assemblies.place(book.connection, each.key) for each in found]
        rows = tuple(
            (
                each.serial, each.part, each.sort, place_since(book, place),
                f"held: {place.held}" if place.held is not None else "",
            )
            for each, place in zip(found, places, strict=True)
        )  # fmt: skip
        records = tuple(
            {**assembly_data(each), **place_data(book.connection, place, book.zone)}
            for each, place in zip(found, places, strict=True)
        )
        fields = (
            "part",
            "serial",
            "kind",
            "place",
            "registration",
            "msn",
            "position",
            "text",
            "since",
            "held",
        )
        columns = (
            Column("serial"), Column("part"), Column("kind"), Column("where", fold=True), Column("", fold=True),
        )  # fmt: skip
        return Answer(
            headline=f"{words.count(len(found), 'assembly')} on record at {book.station}.",
            table=Table(columns, rows, records, fields=fields),
            next=(f"torquelog assembly show {quote(found[0].serial)}",)
            if found
            else ("torquelog assembly add SERIAL --part PART --kind KIND",),
            data={"assemblies": records},
        )


def read_time(book: "Book", text: str | None) -> "Moment | None":
    """A time that was given, or nothing for now."""
    from torquelog.clock import parse_moment

    return parse_moment(text, book.zone) if text is not None else None


def read_reason(text: str) -> str:
    """A reason as it is kept."""
    from torquelog.ledger.text import gate_text

    return gate_text(text, "the reason", reason=True)
