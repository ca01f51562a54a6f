"""`torquelog trace fastener`: the life of one fastener, for when it failed."""

from typing import TYPE_CHECKING, Final

import click

from torquelog.cli import words
from torquelog.cli.answer import Answer, Column, Json, Stack, Stacked, Table
from torquelog.cli.asked import parse_fastener
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.torques import limits_data, read_data, torque_data
from torquelog.clock import offset_text
from torquelog.errors import TorquelogError
from torquelog.rules.names import fastener_name, fasteners_name
from torquelog.rules.recall_codes import REASONS
from torquelog.torque.beside import beside
from torquelog.torque.limits import Limits, parse_spec

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.quality.history import Happening, History, Torque


DONE: Final = {"fit": "fitted", "remove": "removed", "move": "moved", "take-apart": "taken apart"}
"""What an assembly did, in words; whatever else happened is its own word."""


GOT: Final = "What it got is computed by the certificates that are known now."


@command(
    "fastener",
    short="Show one fastener's life: who, when, which wrench, how good.",
    examples=(
        Example("torquelog trace fastener tie-bolt:3 --assembly WH-2231", "for one that was found broken"),
    ),
    csv=True,
)
@click.argument("fastener", metavar="GROUP:N")
@click.option("--assembly", metavar="SERIAL", help="The assembly that it travels with.")
@click.option("--aircraft", metavar="REG", help="The aircraft that it stays with.")
@click.option("--position", metavar="POSITION", help="Where on that aircraft.")
def fastener(
    context: Context, fastener: str, assembly: str | None, aircraft: str | None, position: str | None
) -> Answer:
    """Each torque is judged twice: by what was known then, and by what is known now, through certificates and recalls
    that came later. The fasteners beside it are named, too.
    """
    from torquelog.quality.history import history

    group, item = parse_fastener(fastener)
    book = context.book("read")
    return _answer(book, history(book, _owner(book, assembly, aircraft, position), group, item))


def _owner(book: "Book", assembly: str | None, aircraft: str | None, position: str | None) -> str:
    from torquelog.book.named import aircraft_named, assembly_named
    from torquelog.facts.assemblies import assembly_owner, position_of, position_owner

    if assembly and not (aircraft or position):
        return assembly_owner(assembly_named(book.connection, assembly).key)
    if aircraft and position and not assembly:
        return position_owner(aircraft_named(book.connection, aircraft).msn, position_of(position))
    raise TorquelogError(
        "needs-option",
        "Whose fastener is it?",
        hint="Add --assembly SERIAL, or --aircraft REG and --position POSITION",
    )


def _answer(book: "Book", found: "History") -> Answer:
    kind, _, name = found.owner.partition(" ")
    whose = (
        name.rpartition(" ")[2]
        if kind == "assembly"
        else f"{found.where.registration}, {found.where.position}"
    )
    torques = [each for each in found.happenings if each.torque is not None and each.what != "struck"]
    doubted = [each for each in torques if each.torque and each.torque.good_then and not each.torque.good_now]
    said = f"{words.sentence(fastener_name(found.group, found.item))} of {whose}: {words.count(len(torques), 'torque')}"
    where = f"{found.where.registration} {found.where.position}" if found.where.flying else found.where.text
    facts = [("Where", where)]
    if found.neighbours:
        facts.append(("Beside it", fasteners_name(found.group, found.neighbours)))
    return Answer(
        headline=f"{said}, {len(doubted)} of them not as good as they seemed." if doubted else f"{said}.",
        facts=tuple(facts),
        table=Table(
            columns=(
                Column("when"), Column("what", fold=True), Column("by"), Column("wrench"), Column("set", right=True),
                Column("got", right=True), Column("limits"), Column("then"), Column("now", fold=True), Column("entry"),
            ),
            rows=tuple(_cells(book, each) for each in found.happenings),
            records=tuple(_data(book, each) for each in found.happenings),
            stacked=Stacked(
                columns=(
                    Column("when"), Column("what", fold=True), Column("by"), Column("wrench"),
                    Column("set", right=True), Column("got", right=True), Column("entry", right=True),
                ),
                rows=tuple(_stack(book, each) for each in found.happenings),
                title=f"Oldest first; times of {words.city(book.zone)}. {GOT}",
            ),
        ),
        next=_next(found),
        data={
            "fastener": f"{found.group}:{found.item}",
            "assembly": name if kind == "assembly" else None,
            "place": found.where.text,
            "now_on": _now_on(book, found),
            "history": [_data(book, each) for each in found.happenings],
            "neighbours": [f"{found.group}:{item}" for item in found.neighbours],
            "complete_as_of": found.complete_as_of,
        },
    )  # fmt: skip


def _next(found: "History") -> tuple[str, ...]:
    """The wrench that tightened it last is the one to look at next."""
    last = [each.torque for each in found.happenings if each.what == "tightened" and each.torque]
    return (f"torquelog trace wrench {last[-1].reading.wrench}",) if last else ()


def _cells(book: "Book", each: "Happening") -> tuple[str, ...]:
    when, what = words.day_and_time(each.at, book.zone), DONE.get(each.what, each.what)
    if each.torque is None:
        return (when, f"{what} {each.detail}".strip(), each.person, "", "", "", "", "", "", each.entry)
    reading, judged, unit = each.torque.reading, each.torque.judged, _unit(each.torque)
    got = beside(judged.found, unit, judged.limits) if judged.found is not None else "not known"
    return (
        when, what, each.person, reading.wrench, str(reading.indicated), got,
        Limits(reading.low, reading.high).words(unit), reading.outcome, _now(each.torque), each.entry,
    )  # fmt: skip


def _stack(book: "Book", each: "Happening") -> Stack:
    _, what, by, wrench, read, got, limits, then, now, _ = _cells(book, each)
    at, station, number = each.at, each.order[2], each.order[3]
    below = f"limits {limits}; then {then}; now {now}" if each.torque else ""
    return Stack(
        over=f"{words.local(at, book.zone).year}, entries of {station}",
        cells=(words.short_time(at, book.zone), what, by, wrench, read, got, str(number)),
        below=below,
    )


def _now(torque: "Torque") -> str:
    """The verdict by what is known now, with its reasons and doubts."""
    said: str = "inside" if torque.judged.answer == "within" else torque.judged.answer
    reasons = [REASONS[code] for code in torque.judged.reasons if code != "uncertainty-not-given"]
    said += f": {', '.join(reasons)}" if reasons else ""
    return f"{said}; in doubt by {words.listing(torque.doubts)}" if torque.doubts else said


def _unit(torque: "Torque") -> str:
    specified = torque.reading.specified
    return parse_spec(specified).unit if specified else "N·m"


def _data(book: "Book", each: "Happening") -> dict[str, Json]:
    torque = each.torque
    reading, judged = (None, None) if torque is None else (torque.reading, torque.judged)
    unit = _unit(torque) if torque else "N·m"
    return {
        "entry": each.entry,
        "performed_at": offset_text(each.at, book.zone),
        "what": each.what,
        "job": each.job or None,
        "person": each.person or None,
        "detail": each.detail or None,
        "wrench": reading.wrench if reading else None,
        "indicated": read_data(reading.indicated) if reading else None,
        "limits": limits_data(Limits(reading.low, reading.high), unit) if reading else None,
        "outcome": reading.outcome if reading else None,
        "certificate": reading.certificate if reading else None,
        "good_then": torque.good_then if torque else None,
        "good_now": torque.good_now if torque else None,
        "found": torque_data(judged.found, unit) if judged and judged.found is not None else None,
        "verdict": judged.answer if judged else None,
        "reasons": list(judged.reasons) if judged else [],
        "in_doubt": list(torque.doubts) if torque else [],
    }


def _now_on(book: "Book", found: "History") -> list[Json]:
    where = found.where
    if not where.flying:
        return []
    since = None if where.since is None else offset_text(where.since, book.zone)
    return [{"aircraft": where.registration, "position": where.position, "since": since}]
