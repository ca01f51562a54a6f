"""The rows of a job's tables: a reading with its limits, its tools as of that day, its outcome, its entry."""

from typing import Final

from torquelog.book.opening import Book
from torquelog.facts.card_form import Group
from torquelog.ledger.form import reference
from torquelog.rules.closing import why_open
from torquelog.rules.fastener import State
from torquelog.rules.grounds import REMARKS
from torquelog.sheets.job_facts import JobFacts, Told, Used
from torquelog.sheets.model import Cell, Row
from torquelog.sheets.strip import strip
from torquelog.sheets.wording import clock_time, local, short_day
from torquelog.torque.beside import beside
from torquelog.torque.limits import Limits

STANDING_TITLES: Final = (
    "No.|<State|=Limits|=Set or read|=At the fastener|<Wrench, certificate|=By, inspected by|=When|=Entry"
)
OTHER_TITLES: Final = "No.|<What|=Limits|=Set or read|=At the fastener|<Wrench, certificate|=By|=When|=Entry"

OUTCOMES: Final = {
    "within": "within limits",
    "below": "below limits",
    "above": "above limits",
    "refused": "refused",
}
UNSAID: Final = frozenset(
    {"own-approval", "not-issued", "other-wrench", "coarse-graduation", "accuracy-share"}
)
"""Remarks that stand elsewhere on the sheet, or belong to the moment of recording only."""


def applied_words(told: Told) -> str:
    """The torque at the fastener, on the right side of its limits, in the card's unit."""
    reading = told.reading
    return beside(reading.applied, told.unit, Limits(reading.low, reading.high))


def standing_row(book: Book, facts: JobFacts, group: Group, item: int, told: Told | None) -> Row:
    """One fastener as it stands, with the reading that speaks for it."""
    now = facts.state.view.states[group.id, item]
    reason = why_open(now, group)
    state = "done" if reason is None else "outside" if now.outside or now.over or now.broken else "open"
    text = "done" if reason is None else reason[1]
    if now.rejected is not None:
        state, text = "outside", "rejected" if reason is None else f"{text}; rejected"
    if told is None:
        return (Cell(str(item)), Cell(text, reason[2] if reason else "", state), *(Cell() for _ in range(7)))
    note = "; ".join(part for part in (_slot(told), *_notes(told)) if part)
    return (Cell(str(item)), Cell(text, note, state), *_measured(book, told, _inspector(now)))


def _inspector(now: State) -> str:
    """Who accepted it since it was last touched, or rejected it."""
    if now.rejected is not None:
        return f"rejected by {now.rejected.by}"
    return f"accepted by {now.accepted.by}" if now.accepted is not None else ""


def other_row(book: Book, told: Told) -> Row:
    """A reading that does not speak for its fastener any more, or never did."""
    reading = told.reading
    name = OUTCOMES[reading.outcome] + (", a check" if reading.act == "check" else "")
    state = "" if reading.outcome == "within" else "outside"
    notes = [_slot(told), *_notes(told)]
    if told.strike is not None:
        strike = told.strike
        name, state = f"struck: {name}", "left"
        notes.append(f"struck by {reference(strike.station, strike.number)}: {strike.why}")
    notes += told.grounds
    return (
        Cell(str(reading.item)),
        Cell(name, "; ".join(filter(None, notes)), state),
        *_measured(book, told),
    )


def _slot(told: Told) -> str:
    reading = told.reading
    return reading.step.replace("-", " ") if reading.step else f"pass {reading.pass_}"


def _notes(told: Told) -> list[str]:
    """What else belongs to a reading, in few words."""
    reading = told.reading
    said = [
        "loosened first" if reading.loosened else "",
        f"run-on torque {told.run_on}" if told.run_on else "",
        f"lot {', '.join(told.lots)}" if told.lots else "",
        f"signed by {reading.signer}" if reading.signer != reading.performed_by else "",
        *(REMARKS[code] for code in told.remarks if code in REMARKS and code not in UNSAID),
        f"reason: {told.why}" if told.why else "",
    ]
    if reading.awaits:
        said.append("confirmed" if told.confirmed else "not confirmed yet")
    return [word for word in said if word]


def _measured(book: Book, told: Told, inspector: str = "") -> Row:
    reading = told.reading
    limits = Limits(reading.low, reading.high)
    refused = reading.outcome == "refused"
    drawn = None if refused or told.strike is not None else strip(reading.applied, limits)
    main = " + ".join(each.tool for each in told.tools if each.role in ("wrench", "adapter"))
    when = local(reading.at, book.zone)
    return (
        Cell(limits.words(told.unit), _specified(told)),
        Cell(str(reading.indicated)),
        Cell("not proved" if refused else applied_words(told), drawing=drawn),
        Cell(main, "; ".join(filter(None, map(_papers, told.tools)))),
        Cell(reading.performed_by, inspector),
        Cell(short_day(when.date()), clock_time(reading.at, book.zone)),
        Cell(told.entry),
    )


def _specified(told: Told) -> str:
    """What the card says, where run-on torque made other limits of it."""
    return f"card: {told.reading.specified}" if told.run_on else ""


def _papers(used: Used) -> str:
    """Certificate and due date of a tool as of that day; the wrench itself is named above them."""
    due = f"due {short_day(used.due)}" if used.due else ""
    told = ", ".join(part for part in (used.certificate, due) if part)
    if used.role == "wrench":
        return told or "no certificate"
    if used.role == "adapter":
        return f"{used.tool}: {told}" if told else ""
    return f"run-on with {used.tool}" + (f": {told}" if told else "")
