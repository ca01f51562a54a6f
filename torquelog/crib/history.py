"""The life of one tool: certificates, where it went, what befell it, in the order of time."""

from typing import NamedTuple

from torquelog.book.opening import Book
from torquelog.clock import Moment
from torquelog.crib.due import Line, line_of
from torquelog.facts import calibrations, conditions, custody, limits_told, tested
from torquelog.facts.calibrations import Calibration
from torquelog.facts.conditions import Condition
from torquelog.facts.custody import Move
from torquelog.facts.limits_told import Told
from torquelog.facts.rows import END_OF_TIME, AsOf
from torquelog.facts.tested import Check
from torquelog.facts.tools import Tool
from torquelog.facts.uses import uses_between
from torquelog.ledger.form import reference

Fact = Calibration | Move | Condition | Check | Told


class Event(NamedTuple):
    """Something in the life of a tool.

    Attributes:
        at: when it was so; for a certificate when it was recorded.
        what: `certificate`, an act of custody, what befell it, `check-passed`, or `limits`.
        fact: the fact itself.
        signer: who signed, "" for a certificate, which tells by whom it was accepted.
        reference: its entry.
    """

    at: Moment
    what: str
    fact: Fact
    signer: str
    reference: str


def evidence_words(fact: Check | Told) -> tuple[str, str]:
    """What a passed check or a changed limit is, and what belongs to it, in words."""
    if isinstance(fact, Check):
        return f"passed a check on {fact.tester}", fact.why
    every = f"every {fact.every}" if fact.every else ""
    cycles = "" if fact.cycles is None else f"{fact.cycles:,} cycles"
    return f"limits set to {' and '.join(part for part in (every, cycles) if part)}", fact.why


class Shown(NamedTuple):
    """A tool as of a moment: how it stands, its certificates, its life, and how often it was used altogether."""

    line: Line
    certificates: tuple[Calibration, ...]
    events: tuple[Event, ...]
    uses: int
    as_of: Moment


def show(book: Book, tool: Tool, as_of: Moment | None = None) -> Shown:
    """A tool as of a moment, by what is known now.

    Args:
        book: the record.
        tool: the tool.
        as_of: the moment, or nothing for now.
    """
    at = book.clock.now() if as_of is None else as_of
    then = AsOf(at, END_OF_TIME)
    certificates = calibrations.calibrations(book.connection, tool.tool, then)
    events = [
        *(Event(each.recorded, "certificate", each, "", each.reference) for each in certificates),
        *(
            Event(each.at, each.act, each, each.signer, reference(each.station, each.number))
            for each in custody.moves(book.connection, tool.tool, then)
        ),
        *(
            Event(each.at, each.what, each, each.signer, reference(each.station, each.number))
            for each in conditions.conditions(book.connection, tool.tool, then)
        ),
        *(
            Event(each.at, "check-passed", each, each.signer, reference(each.station, each.number))
            for each in tested.checks(book.connection, tool.tool, then)
            if each.outcome == "within"
        ),
        *(
            Event(each.at, "limits", each, each.signer, reference(each.station, each.number))
            for each in limits_told.told(book.connection, tool.tool, then)
        ),
    ]
    ordered = tuple(sorted(events, key=lambda event: (event.at, event.reference)))
    uses = uses_between(book.connection, tool.tool, 0, at)
    return Shown(line_of(book, tool, at), certificates, ordered, uses, at)
