"""`init`: a record of one's own, in a few answers."""

import os
from collections.abc import Callable
from typing import TYPE_CHECKING, Final

import click

from torquelog.cli import ask, words
from torquelog.cli.answer import Answer
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context, short_path
from torquelog.cli.signing import new_passphrase
from torquelog.errors import TorquelogError

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.work.signing import SignedIn

OPENING: Final = "A new record for one station. Enter alone takes what stands in [ ]."


@command(
    "init",
    short="Begin a record for your station.",
    examples=(
        Example("torquelog init", "asks for what it needs", exit=2),
        Example(
            "torquelog init --db lis.db --station LIS --zone Europe/Lisbon --first TK --name 'Tove Kallas' "
            "--passphrase-stdin",
            "without questions, at a place of its own",
            stdin="nine apples on the wing\n",
        ),
    ),
    passphrase=True,
)
@click.option("--station", metavar="CODE", help="The station's code, 2 to 8 letters or digits.")
@click.option("--zone", metavar="ZONE", help="The station's time zone, such as Europe/Lisbon.")
@click.option("--first", metavar="ID", help="Your initials, as you sign a job card.")
@click.option("--name", metavar="NAME", help="Your full name.")
@click.option("--licence", metavar="TEXT", help="Your licence's number and kind, if you have one.")
@click.option(
    "--due-through",
    metavar="day|month",
    help="Until the end of what a wrench may be used: its due day (so unless you say otherwise) or its due month.",
)
def init(
    context: Context,
    station: str | None,
    zone: str | None,
    first: str | None,
    name: str | None,
    licence: str | None,
    due_through: str | None,
) -> Answer:
    """The record lies in your data folder, or where --db or TORQUELOG_DB says. The first person holds every role
    until others are enrolled.

    A computer on a counter that several people share: put the record into a folder that all of them may write,
    and set TORQUELOG_DB to it for everybody. Keep it on a local disk, not on a network share.
    """
    from torquelog.book.founding import found_station
    from torquelog.ledger import keys
    from torquelog.ledger.text import gate_identifier, gate_station, gate_text
    from torquelog.quality.station import read_rule
    from torquelog.work.signing import sign_in

    place = free_place(context)
    if context.can_ask and None in (station, zone, first, name):
        ask.say(context, OPENING)
        ask.say(context, f"It will be kept in {short_path(place)}")
        ask.say(context, "")
    code = given(context, station, "Station code, 2 to 8 letters or digits", "--station", gate_station)
    zone_name = given(context, zone, "Time zone", "--zone", read_zone, default=local_zone())
    through = due_through_rule(context, due_through, asked=station is None)
    person = given(
        context, first, "Your initials, as you sign a job card", "--first",
        lambda text: gate_identifier(text, "your initials"),
    )  # fmt: skip
    full = given(context, name, "Your full name", "--name", lambda text: gate_text(text, "your name"))
    passphrase = new_passphrase(context, "Passphrase, 12 characters or more")
    if context.can_ask:
        ask.say(context, "")
    make_place(place)
    book, signer = found_station(
        place, context.clock, station=code, zone=zone_name,
        policies={"due-through": read_rule("due-through", through)}, person=person, name=full,
        licence=gate_text(licence, "your licence") if licence else None,
        passphrase=passphrase, scrypt_n=keys.LARGEST_N,
    )  # fmt: skip
    return ready(context, context.adopt(book), sign_in(book, signer))


def ready(context: Context, book: "Book", found: "SignedIn") -> Answer:
    """The answer once the record stands and its first person is signed in."""
    until = words.time_near(found.until, context.now, book.zone)
    return Answer(
        headline=f"{book.station} is ready. {found.person} holds every role for now, so that you can begin.",
        body=(
            f"Signed in as {found.person} until {until}, {words.distance(found.until, found.at)} "
            f"({words.city(book.zone)}).",
            "A passphrase is not stored and cannot be looked up, only replaced.",
        ),
        next=("torquelog wrench add",),
        data={
            "station": book.station,
            "zone": book.zone_name,
            "path": book.path,
            "person": found.person,
            "name": found.name,
            "entry": found.reference,
            "signed_in_until": moment_text(book, found.until),
        },
    )


def moment_text(book: "Book", moment: int) -> str:
    """A moment for programs, with the offset of the place."""
    from torquelog.clock import offset_text

    return offset_text(moment, book.zone)


def given(
    context: Context,
    value: str | None,
    question: str,
    option: str,
    read: Callable[[str], str],
    default: str | None = None,
) -> str:
    """What was given as an option, read; else what a person answers."""
    if value is not None:
        return read(value)
    return ask.text(context, question, option=option, read=read, default=default)


def due_through_rule(context: Context, value: str | None, *, asked: bool) -> str:
    """Day or month; asked for only along with the other questions."""
    if value is not None or not (asked and context.can_ask):
        return value or "day"
    question = "A wrench may be used until the end of its due (d)ay or its due (m)onth"
    return ask.choice(context, question, ("day", "month"), option="--due-through")


def read_zone(text: str) -> str:
    """The name of a time zone that exists."""
    from torquelog.clock import zone

    return zone(text.strip()).key


def local_zone() -> str | None:
    """The zone this computer is set to, as something to offer; nothing where it does not say."""
    found = os.path.realpath("/etc/localtime").partition("zoneinfo/")[2]
    try:
        return read_zone(found) if found and "/" in found else None
    except TorquelogError:
        return None


def free_place(context: Context) -> str:
    """Where the record shall lie; nothing may lie there yet."""
    place = context.database()
    if os.path.lexists(place):
        raise TorquelogError(
            "exists",
            f"Something lies at {short_path(place)} already.",
            why="A record is never overwritten.",
            hint="Go on with it: torquelog   or name another place: --db PATH",
        )
    return place


def make_place(place: str) -> None:
    """Make the folder of the record where it is the usual one and missing."""
    from torquelog.ledger.folders import data_folder, make_folder

    folder = os.path.dirname(place)
    if folder == data_folder():
        make_folder(folder)
