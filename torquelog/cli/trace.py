"""`torquelog trace` and `torquelog refused`: what a tool touched, and what was refused."""

from shlex import quote
from typing import TYPE_CHECKING, Final

import click

from torquelog.book.opening import Book
from torquelog.cli import traced, words
from torquelog.cli.answer import Answer, Column, Each, Json, Stack, Stacked, Table
from torquelog.cli.command import Command, Example, command
from torquelog.cli.context import Context
from torquelog.cli.torques import read_data
from torquelog.clock import Moment, day_end, day_start, offset_text, parse_date, parse_moment
from torquelog.facts.readings import Reading
from torquelog.facts.rows import END_OF_TIME
from torquelog.ledger.form import reference
from torquelog.ledger.text import gate_identifier, gate_text
from torquelog.rules.names import fasteners_name

if TYPE_CHECKING:
    from torquelog.quality.refusals import Refusal
    from torquelog.quality.trace import Location, Standing, Trace

SINCE = click.option("--since", metavar="DATE", help="Work performed on this day or later.")
UNTIL = click.option("--until", metavar="DATE", help="Work performed on this day or earlier.")
AS_OF = click.option("--as-of", metavar="TIME", help="As it was at that moment.")
NEXT: Final = {
    "wrench": "wrench show {}",
    "adapter": "adapter show {}",
    "aircraft": "sheet aircraft {}",
    "assembly": "assembly show {}",
    "lot": "recall open --lot {}",
    "person": "refused --by {}",
    "card": "card show {}",
    "shop": "recall list",
}
EACH = click.option(
    "--each", is_flag=True, help="Every reading on a line of its own; a pipe does so by itself."
)


def _window(book: Book, since: str | None, until: str | None) -> tuple[Moment | None, Moment | None]:
    start = day_start(parse_date(since), book.zone) if since else None
    end = day_end(parse_date(until), book.zone) if until else None
    return start, end


def _make(kind: str, short: str, example: Example) -> Command:
    @command(kind, short=short, examples=(example,), csv=True)
    @click.argument("name")
    @SINCE
    @UNTIL
    @AS_OF
    @EACH
    def run(
        context: Context, name: str, since: str | None, until: str | None, as_of: str | None, each: bool
    ) -> Answer:
        from torquelog.quality.trace import trace

        book = context.book("read")
        start, end = _window(book, since, until)
        moment = parse_moment(as_of, book.zone) if as_of else None
        named = gate_text(name, kind) if kind == "lot" else _name(name, kind)
        found = trace(book, kind, named, since=start, until=end, as_of=moment)
        return _answer(context, book, found, each or not context.is_terminal)

    run.details = (
        "Fasteners that were tightened, whether that still stands, and where they are now. A wheel built up in "
        "the shop is followed onto the aircraft that carries it today. Refused and struck entries are listed too."
    )
    return run


def _name(name: str, kind: str) -> str:
    if kind == "assembly" and " " in name.strip():
        part, _, serial = name.strip().partition(" ")
        return f"{gate_identifier(part, 'part')} {gate_identifier(serial, 'serial')}"
    return gate_identifier(name, kind)


wrench = _make(
    "wrench", "Show what a wrench tightened, and where that is now.", Example("torquelog trace wrench W-0388")
)
adapter = _make(
    "adapter", "Show what was tightened through an adapter.", Example("torquelog trace adapter A-03")
)
aircraft = _make(
    "aircraft", "Show the tightenings that an aircraft carries.", Example("torquelog trace aircraft QQ-MRA")
)
assembly = _make(
    "assembly", "Show the tightenings of an assembly.", Example("torquelog trace assembly WH-2231")
)
lot = _make("lot", "Show where a lot of hardware went.", Example("torquelog trace lot L-77"))
person = _make("person", "Show what a person tightened.", Example("torquelog trace person TK"))
shop = _make(
    "shop",
    "Show what a shop tightened on assemblies, and where that is.",
    Example("torquelog trace shop QHR --since 2026-11-01"),
)
card = _make("card", "Show what was tightened by a card.", Example("torquelog trace card MW-BUILD"))


def _answer(context: Context, book: Book, found: "Trace", each: bool) -> Answer:
    carried = f"{words.count(found.standing, 'fastener')} {_carry(found)}."
    if found.kind != "aircraft":
        carried += f" {found.flying} of them are on an aircraft now."
    start = "the beginning" if found.since < 0 else words.day_and_time(found.since, book.zone)
    # What is made one by one is made when it is written, of what the record still has to tell.
    context.stays_open = not isinstance(found.rows, tuple)
    facts = [*_places(book, found), *_once(found)]
    if not len(found.rows):
        carried = _none(book, found)
    return Answer(
        headline=carried,
        facts=(
            (
                "Asked",
                f"{found.kind} {found.name}, from {start} to {words.day_and_time(found.as_of, book.zone)}",
            ),
            *facts,
        ),
        table=traced.table(book, found, each=each) if len(found.rows) or context.csv else None,
        body=tuple(_closing(found)),
        next=_next(found),
        data={
            "readings": traced.records(book, found),
            "aircraft": [
                {
                    "registration": one.registration,
                    "fasteners": one.fasteners,
                    "now": one.now,
                }
                for one in found.aircraft
            ],
            "fasteners": found.standing,
            "on_aircraft": found.flying,
            "named": found.named,
            "shown": len(found.rows),
            "complete_as_of": found.complete_as_of,
            "stations": list(found.stations),
        },
    )


def _none(book: Book, found: "Trace") -> str:
    """That nothing was found, and what was looked for."""
    within = "" if found.since < 0 else f" from {words.day(words.local(found.since, book.zone).date())} on"
    within += _through(book, found)
    whose = {
        "aircraft": "No reading of what is on {} now",
        "assembly": "No reading of {}",
        "person": "No reading by {}",
        "card": "No reading by card {}",
        "shop": "No reading on an assembly at {}",
        "lot": "No reading with hardware of lot {}",
    }.get(found.kind, f"No reading names {found.kind} {{}}")
    return f"{whose.format(found.name)}{within}."


def _through(book: Book, found: "Trace") -> str:
    if found.until >= END_OF_TIME:
        return ""
    return f" through {words.day(words.local(found.until - 1, book.zone).date())}"


def _carry(found: "Trace") -> str:
    said = {
        "aircraft": "of this aircraft carry a tightening",
        "assembly": "of this assembly carry a tightening",
    }
    return said.get(found.kind, f"carry a tightening by this {found.kind}")


def _next(found: "Trace") -> tuple[str, ...]:
    if found.kind == "lot" and not len(found.rows):
        return ("torquelog job list --all",)
    note = "  if its hardware is in doubt" if found.kind == "lot" else ""
    return (f"torquelog {NEXT[found.kind].format(quote(found.name))}{note}",)


def _closing(found: "Trace") -> list[str]:
    name, verb = "names" if found.named == 1 else "name", "is" if len(found.rows) == 1 else "are"
    counted = f"{words.count(found.named, 'reading')} {name} {found.name}, {len(found.rows):,} {verb} shown."
    lines = [f"Complete as of {found.complete_as_of}: {counted}"]
    if found.refused:
        lines.append(
            f"Refused attempts: {found.refused}. They proved no torque, but somebody may have turned the nut."
        )
    if found.struck:
        lines.append(f"Struck entries: {found.struck}.")
    if len(found.stations) > 1:
        lines.append(
            f"Records of the stations {words.listing(found.stations)} are in this file; others are not covered."
        )
    else:
        lines.append("Records of other stations are not covered.")
    return lines


def _places(book: Book, found: "Trace") -> list[tuple[str, str]]:
    """Where the standing fasteners are today, aircraft first, folded by owner and group."""
    return [(_place_label(each.location), _place_text(book, each)) for each in found.places]


def _place_label(location: "Location") -> str:
    return f"{location.registration} {location.position}" if location.flying else location.text


def _place_text(book: Book, each: "Standing") -> str:
    name = fasteners_name(each.group, each.items)
    owner = "" if each.owner.startswith("aircraft ") else f"{each.owner.rpartition(' ')[2]}, "
    since = ""
    if each.location.since is not None:
        since = f", since {words.day(words.local(each.location.since, book.zone).date())}"
    return f"{owner}{name}{since}"


def _once(found: "Trace") -> list[tuple[str, str]]:
    gone = [one for one in found.aircraft if not one.now]
    return [
        ("Earlier", f"{one.registration}: {words.count(one.fasteners, 'fastener')}, not there now")
        for one in gone
    ]


@command(
    "refused",
    short="List the attempts that were refused.",
    examples=(Example("torquelog refused --since 2026-11-01"),),
    csv=True,
)
@SINCE
@UNTIL
@click.option("--by", metavar="PERSON", help="Of this person alone.")
@click.option("--wrench", metavar="NUMBER", help="With this wrench alone.")
@click.option("--as-of", metavar="TIME", help="By what was on record then; now if not given.")
def refused(
    context: Context,
    since: str | None,
    until: str | None,
    by: str | None,
    wrench: str | None,
    as_of: str | None,
) -> Answer:
    """A refusal proves no torque, but somebody may have turned the nut: each is kept and its fastener is open."""
    from torquelog.cli.audit import moment
    from torquelog.quality.refusals import refusals

    book = context.book("read")
    start, end = _window(book, since, until)
    found = refusals(
        book, since=start, until=end, by=gate_identifier(by, "by") if by else None,
        wrench=gate_identifier(wrench, "wrench") if wrench else None,
        as_of=moment(book, as_of) if as_of else None,
    )  # fmt: skip
    context.stays_open = not isinstance(found.rows, tuple)
    records = Each(found.rows, lambda rows: (_refusal(book, each) for each in rows))
    return Answer(
        headline=f"{words.count(len(found), 'attempt')} refused." if found else "Nothing was refused.",
        table=Table(
            columns=(
                Column("entry"), Column("performed"), Column("fastener"), Column("set", right=True), Column("wrench"),
                Column("by"), Column("why", fold=True),
            ),
            rows=Each(found.rows, lambda rows: (_refusal_cells(book, each) for each in rows)),
            records=records,
            fields=(
                "entry", "performed_at", "job", "person", "fastener", "wrench", "indicated_value", "indicated_unit",
                "grounds",
            ),
            stacked=Stacked(
                columns=(
                    Column("entry", right=True), Column("performed"), Column("fastener", fold=True),
                    Column("set", right=True), Column("wrench"), Column("by"),
                ),
                rows=Each(found.rows, lambda rows: (_refusal_stack(book, each) for each in rows)),
                title=f"Oldest first; times of {words.city(book.zone)}",
            ),
        ) if found else None,
        next=(f"torquelog wrench show {found.newest.reading.wrench}" if found.newest else "torquelog wrench due",),
        data={"refused": records},
    )  # fmt: skip


def _refusal(book: Book, each: "Refusal") -> dict[str, Json]:
    reading: Reading = each.reading
    return {
        "entry": reference(reading.station, reading.number),
        "performed_at": offset_text(reading.at, book.zone),
        "job": reading.job,
        "person": reading.performed_by,
        "fastener": f"{reading.group}:{reading.item}",
        "wrench": reading.wrench,
        "indicated": read_data(reading.indicated),
        "grounds": [{"code": code, "tool": tool, "message": message} for code, tool, message in each.grounds],
    }


def _refusal_cells(book: Book, each: "Refusal") -> tuple[str, ...]:
    reading: Reading = each.reading
    return (
        reference(reading.station, reading.number),
        words.day_and_time(reading.at, book.zone),
        f"{reading.job} {fasteners_name(reading.group, [reading.item])}",
        str(reading.indicated),
        reading.wrench,
        reading.performed_by,
        " ".join(message for _, _, message in each.grounds),
    )


def _refusal_stack(book: Book, each: "Refusal") -> Stack:
    reading: Reading = each.reading
    _, _, *cells, why = _refusal_cells(book, each)
    year = words.local(reading.at, book.zone).year
    when = words.short_time(reading.at, book.zone)
    return Stack(f"{year}, entries of {reading.station}", (str(reading.number), when, *cells), why)
