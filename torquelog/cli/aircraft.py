"""`aircraft add`, `aircraft register` and `aircraft list`."""

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

import click

from torquelog.cli import words
from torquelog.cli.answer import Answer, Column, Remark, Table
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.signing import open_for, signed_in

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.work.aircraft import Registered


@command(
    "add",
    short="Put an aircraft on record.",
    examples=(Example('torquelog aircraft add QQ-ABC --type "EX-200" --msn 1007'),),
)
@click.argument("registration", metavar="REG")
@click.option("--type", "type_", metavar="TYPE", required=True, help="The type, as on its data plate.")
@click.option("--msn", metavar="MSN", required=True, help="The manufacturer's serial number.")
@click.option(
    "--on", metavar="DATE", help="Since when it bears the registration; today unless you say otherwise."
)
def add(context: Context, registration: str, type_: str, msn: str, on: str | None) -> Answer:
    """An aircraft is known by its serial number for good; a registration is what it bears from a day on."""
    from torquelog.ledger.text import gate_identifier, gate_text
    from torquelog.work import aircraft

    bears = gate_identifier(registration, "a registration")
    number, name = gate_identifier(msn, "a serial number"), gate_text(type_, "the type")
    since = read_day(on)
    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        done = aircraft.add(book, signer, bears, msn=number, type=name, on=since)
        said = f"{done.registration} is on record: {name}, serial number {number}."
        return answer(context, book, done, said)


@command(
    "register",
    short="Give an aircraft another registration.",
    examples=(Example("torquelog aircraft register 1001 QQ-XYZ --on 2026-11-24", "serial number first"),),
)
@click.argument("aircraft", metavar="MSN")
@click.argument("registration", metavar="REG")
@click.option("--on", metavar="DATE", help="The first day; today unless you say otherwise.")
def register(context: Context, aircraft: str, registration: str, on: str | None) -> Answer:
    """What was done before that day is found under the old registration, as before."""
    from torquelog.ledger.text import gate_identifier
    from torquelog.work import aircraft as act

    bears = gate_identifier(registration, "a registration")
    since = read_day(on)
    with open_for(context, "write") as book:
        done = act.register(book, signed_in(context, book), aircraft, bears, since)
        said = f"Serial number {done.aircraft.msn} bears {done.registration} from {words.day(done.on)} on."
        return answer(context, book, done, said)


@command(
    "list",
    short="List the aircraft on record.",
    examples=(Example("torquelog aircraft list"), Example("torquelog aircraft list --csv")),
    csv=True,
)
def aircraft_list(context: Context) -> Answer:
    """By serial number, with the registration that each bears today."""
    from torquelog.facts import aircraft, assemblies

    with open_for(context, "read") as book:
        fleet = aircraft.fleet(book.connection)
        records, rows = [], []
        for each in fleet:
            borne = aircraft.registrations(book.connection, each.msn)
            registration = aircraft.registration(book.connection, each.msn)
            since = words.local(borne[-1].since, book.zone).date() if borne and registration else None
            on_board = [one.serial for one in assemblies.fitted(book.connection, each.msn)]
            records.append(
                {
                    "msn": each.msn,
                    "registration": registration,
                    "since": None if since is None else since.isoformat(),
                    "type": each.type,
                    "assemblies": len(on_board),
                }
            )
            rows.append((registration or "none", each.msn, each.type, words.count(len(on_board), "assembly")))
        columns = (
            Column("registration"),
            Column("serial number"),
            Column("type", fold=True),
            Column("fitted"),
        )
        return Answer(
            headline=f"{words.count(len(fleet), 'aircraft', 'aircraft')} on record at {book.station}.",
            table=Table(
                columns,
                tuple(rows),
                tuple(records),
                fields=("msn", "registration", "since", "type", "assemblies"),
            ),
            next=_next([str(each["registration"]) for each in records if each["registration"]]),
            data={"aircraft": records},
        )


def _next(borne: Sequence[str]) -> tuple[str, ...]:
    """What one may want to know of the first; without any, how to add one."""
    if not borne:
        return ("torquelog aircraft add REG --type TYPE --msn MSN",)
    return (f"torquelog trace aircraft {borne[0]}   what was tightened on it",)


def read_day(text: str | None) -> date | None:
    """A day that was given, or nothing."""
    if text is None:
        return None
    from torquelog.clock import parse_date

    return parse_date(text)


def answer(context: Context, book: "Book", done: "Registered", said: str) -> Answer:
    """The answer to a registration, with the day counted from today."""
    from torquelog.clock import local_date

    today = local_date(context.now, book.zone)
    facts = [("Since", words.day_and_distance(done.on, today))]
    facts += [("Until then", done.before)] if done.before else []
    return Answer(
        headline=said,
        facts=(*facts, ("Entry", done.reference)),
        remarks=tuple(
            Remark("told-late", f"By the record it bears {each.registration} from a later day on.")
            for each in done.later
        ),
        next=("torquelog aircraft list",),
        data={
            "entry": done.reference,
            "msn": done.aircraft.msn,
            "type": done.aircraft.type,
            "registration": done.registration,
            "before": done.before,
            "on": done.on.isoformat(),
        },
    )
