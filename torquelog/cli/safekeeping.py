"""`backup`, `restore` and `rebuild`: the file of the record, copied, put back, and made anew."""

from shlex import quote
from typing import TYPE_CHECKING, Final

import click

from torquelog.cli import ask, words
from torquelog.cli.answer import Answer, Remark
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context, short_path
from torquelog.cli.progress import Progress
from torquelog.cli.signing import named, new_passphrase, open_for, unlocked, vouch_for_clock
from torquelog.errors import TorquelogError

if TYPE_CHECKING:
    from torquelog.book.restoring import Restored, Restoring

TWO_WAYS: Final = (
    "If the file that this backup was made of is gone for good, add --old-file-is-gone: the record goes on, and says so. "
    "If it may still be in use, add --station CODE: a new chain begins, with the old one beside it."
)


@command(
    "backup",
    short="Copy the record to another file, and check the copy.",
    examples=(Example("torquelog backup today.db"),),
)
@click.argument("file", metavar="FILE")
@click.option("--replace", is_flag=True, help="Write the file anew if it is there.")
def backup(context: Context, file: str, replace: bool) -> Answer:
    """Others may go on working. The copy gets its name once every entry of it was read back and its links and signatures
    were checked. Keep it on another disk.
    """
    from torquelog.book.backup import backup as act
    from torquelog.cli.files import demand_place
    from torquelog.ledger.form import reference

    demand_place(context, file, replace=replace)
    with open_for(context, "read") as book:
        found = act(book, file, replace=replace, progress=Progress(context, "entries"))
        return Answer(
            headline=f"Backed up to {short_path(found.path)}, and the copy was checked.",
            facts=(
                *(
                    (part.station, f"1 to {words.number(part.through)}   head {part.digest[:16]}…")
                    for part in found.parts
                ),
                ("Size", f"{max(1, found.size >> 10):,} KiB"),
            ),
            next=(f"torquelog --db {quote(file)} verify   checks every judgement in it again",),
            data={
                "path": found.path,
                "bytes": str(found.size),
                "chains": [dict(part._asdict()) for part in found.parts],
                "through": reference(found.parts[0].station, found.parts[0].through),
            },
        )


@command(
    "restore",
    short="Put a backup in the place of the record.",
    examples=(
        Example("torquelog restore copy.db --old-file-is-gone --why 'the disk died' --replace", exit=2),
    ),
    passphrase=True,
)
@click.argument("file", metavar="FILE")
@click.option(
    "--old-file-is-gone",
    is_flag=True,
    help="The file the backup was made of is gone for good; quality says so on record.",
)
@click.option("--station", metavar="CODE", help="Go on under this new station code instead.")
@click.option("--first", metavar="ID", help="With --station: its first person.")
@click.option("--name", metavar="NAME", help="With --station: the first person's full name.")
@click.option("--zone", metavar="ZONE", help="With --station: its time zone, if it is another one.")
@click.option("--why", metavar="TEXT", help="What became of the file.")
@click.option(
    "--replace", is_flag=True, help="Put it in the place of a file that is there; that one is kept."
)
def restore(
    context: Context,
    file: str,
    old_file_is_gone: bool,
    station: str | None,
    first: str | None,
    name: str | None,
    zone: str | None,
    why: str | None,
    replace: bool,
) -> Answer:
    """The backup is verified first. A file that lies where it goes is kept under another name.

    A chain that goes on from an older copy forks where the newer file is still in use somewhere. So either quality says
    on record, with the passphrase, that it is gone; or the record goes on under a new station code.
    """
    from torquelog.book.restoring import Restoring
    from torquelog.cli.files import demand_other
    from torquelog.cli.init import make_place

    path = context.database()
    demand_other(context, file)
    demand_place(path, replace=replace)
    make_place(path)
    restoring = Restoring(file, path, context.clock, Progress(context, "entries"))
    try:
        context.station, context.ledger = restoring.book.station, restoring.book.identity
        way = chosen_way(context, restoring, old_file_is_gone=old_file_is_gone, station=station)
        reason = reason_for(context, why)
        if way == "":
            found = go_on(context, restoring, reason)
        else:
            found = begin_anew(context, restoring, way, first, name, zone, reason)
    finally:
        restoring.abandon()
    return restored(found, restoring.lost)


def demand_place(path: str, *, replace: bool) -> None:
    """Raise where something lies there and may not give way."""
    import os

    if os.path.lexists(path) and not replace:
        raise TorquelogError(
            "exists",
            f"A file lies at {short_path(path)} already.",
            hint="Add --replace to put the backup there; the file is kept under another name.",
        )


def chosen_way(
    context: Context, restoring: "Restoring", *, old_file_is_gone: bool, station: str | None
) -> str:
    """The new station's code, or "" where the chain goes on; asked on a terminal where neither was said."""
    from torquelog.ledger.text import gate_station

    if old_file_is_gone and station:
        raise TorquelogError("argument", "Name one of --old-file-is-gone and --station.")
    if station:
        return gate_station(station)
    if not old_file_is_gone and restoring.lost:
        raise TorquelogError(
            "older-copy",
            f"The file at {short_path(restoring.path)} holds {restoring.lost}, which this backup does not.",
            why="Nothing was put back.",
            hint=TWO_WAYS,
        )
    if not old_file_is_gone and not context.can_ask:
        raise TorquelogError(
            "needs-option", "How shall the record go on? Nothing was put back.", hint=TWO_WAYS
        )
    if old_file_is_gone or ask.yes_no(
        context, "Is the file that this backup was made of gone for good?", option="--old-file-is-gone"
    ):
        return ""
    return ask.text(
        context, "Then it goes on under a new station code", option="--station", read=gate_station
    )


def reason_for(context: Context, why: str | None) -> str:
    """What became of the file, for the record."""
    from torquelog.ledger.text import gate_text

    def read(text: str) -> str:
        return gate_text(text, "the reason", reason=True)

    return read(why) if why else ask.text(context, "What became of the file", option="--why", read=read)


def go_on(context: Context, restoring: "Restoring", why: str) -> "Restored":
    """Quality says that the newer file is gone."""
    from torquelog.book.enrolled import passphrase_key, person_named
    from torquelog.ledger.text import gate_identifier

    book = restoring.book
    vouch_for_clock(context, book)
    person = named(context) or ask.text(
        context, "Who of quality says so (initials)", option="--as", what="Who of quality says so",
        read=lambda text: gate_identifier(text, "a person"),
    )  # fmt: skip
    passphrase_key(book.connection, book.station, person)
    signer = unlocked(context, book, person, person_named(book.connection, person).name)
    return restoring.go_on(signer, why)


def begin_anew(
    context: Context,
    restoring: "Restoring",
    station: str,
    first: str | None,
    name: str | None,
    zone: str | None,
    why: str,
) -> "Restored":
    """A new chain begins, with the old one beside it."""
    from torquelog.cli.init import given, read_zone
    from torquelog.ledger import keys
    from torquelog.ledger.text import gate_identifier, gate_text

    person = given(
        context, first, "Your initials, as you sign a job card", "--first",
        lambda text: gate_identifier(text, "your initials"),
    )  # fmt: skip
    full = given(context, name, "Your full name", "--name", lambda text: gate_text(text, "your name"))
    passphrase = new_passphrase(context, "Passphrase, 12 characters or more")
    zone_name = read_zone(zone) if zone else restoring.book.zone_name
    return restoring.begin_anew(
        station=station, zone=zone_name, person=person, name=full, passphrase=passphrase, why=why,
        scrypt_n=keys.LARGEST_N,
    )  # fmt: skip


def restored(found: "Restored", lost: str) -> Answer:
    """The answer after a backup was put back."""
    facts = [("The backup ended at", found.head), ("It goes on with", found.reference)]
    if found.kept:
        facts.append(("What lay there", f"kept as {short_path(found.kept)}"))
    remarks: tuple[Remark, ...] = ()
    if lost:
        remarks = (Remark("entries-left-out", f"{lost} of the file that lay there are not on record here."),)
    return Answer(
        headline=f"The record is back at {short_path(found.path)}, and goes on as {found.station}.",
        facts=tuple(facts),
        remarks=remarks,
        next=("torquelog verify", "torquelog sign-in ID"),
        data={
            "path": found.path,
            "station": found.station,
            "head": found.head,
            "entry": found.reference,
            "kept": found.kept or None,
            "lost": lost or None,
        },
    )


@command(
    "rebuild",
    short="Make every register anew from the entries.",
    examples=(Example("torquelog rebuild"),),
)
def rebuild(context: Context) -> Answer:
    """For a record in an older format, and for one whose registers were changed by something else while its entries still
    hold. The old file is kept under another name; entries are never changed.
    """
    from torquelog.book.rebuilding import rebuild as act

    path = context.database()
    found = act(path, context.clock, Progress(context, "entries"))
    return Answer(
        headline=f"The registers were made anew from {words.count(found.entries, 'entry')}, and the record holds.",
        facts=(("The old file", f"kept as {short_path(found.kept)}"),),
        next=("torquelog verify",),
        data={"path": path, "entries": str(found.entries), "kept": found.kept},
    )
