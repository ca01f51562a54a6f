"""What is said when something is told of a tool: reports, quarantine, release, restrictions."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from torquelog.cli import words
from torquelog.cli.answer import Answer, Json
from torquelog.cli.context import Context
from torquelog.cli.signing import by_passphrase, open_for, signed_in
from torquelog.cli.tool_options import demanded_reason, moment, reason
from torquelog.cli.toolwords import fitness_data, look_at_its_work, pending_recall, seen_now
from torquelog.clock import offset_text
from torquelog.crib import condition
from torquelog.crib.condition import Told
from torquelog.crib.scales import parse_range
from torquelog.errors import TorquelogError
from torquelog.rules.sayings import ROUND, range_text
from torquelog.torque.units import Torque

if TYPE_CHECKING:
    from torquelog.book.opening import Book

DONE = {
    "quarantined": "is in quarantine, until quality releases it",
    "released": "is released from quarantine",
    "restricted": "is restricted from now on",
    "unrestricted": "has no restriction any more",
    "found": "is found",
    "lost": "is on record as lost",
}

SEVERAL = {
    "quarantined": "are in quarantine, until quality releases them",
    "released": "are released from quarantine",
    "restricted": "are restricted from now on",
    "unrestricted": "have no restriction any more",
}


def report(context: Context, sort: str, number: str, what: str, why: str | None, at: str | None) -> Answer:
    """Report what befell a tool."""
    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        found = condition.report(
            book, signer, number, what.strip().lower(), why=reason(why), at=moment(book, at), sort=sort
        )
        return told(book, found)


def quarantine(
    context: Context, sort: str, numbers: Sequence[str], why: str | None, at: str | None
) -> Answer:
    """Put tools in quarantine."""
    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        why_text = demanded_reason(why)
        return all_told(
            book, condition.quarantine(book, signer, numbers, why=why_text, at=moment(book, at), sort=sort)
        )


def release(context: Context, sort: str, numbers: Sequence[str], why: str | None, at: str | None) -> Answer:
    """Release tools from quarantine, with quality's passphrase."""
    why_text = demanded_reason(why)
    with open_for(context, "write") as book:
        when = moment(book, at)
        signer = by_passphrase(context, book)
        return all_told(book, condition.release(book, signer, numbers, why=why_text, at=when, sort=sort))


def restrict(
    context: Context,
    sort: str,
    numbers: Sequence[str],
    *,
    span: str | None,
    direction: str | None,
    lift: bool,
    why: str | None,
    at: str | None,
) -> Answer:
    """Restrict tools, or lift their restrictions, with quality's passphrase."""
    why_text = demanded_reason(why)
    if lift and (span or direction):
        raise TorquelogError(
            "argument", "--lift ends every restriction.", hint="Give --why with it, no bounds."
        )
    low, high = parse_range(span) if span else (None, None)
    with open_for(context, "write") as book:
        when = moment(book, at)
        signer = by_passphrase(context, book)
        if lift:
            return all_told(book, condition.lift(book, signer, numbers, why=why_text, at=when, sort=sort))
        found = condition.restrict(
            book,
            signer,
            numbers,
            low=low,
            high=high,
            direction=direction or "",
            why=why_text,
            at=when,
            sort=sort,
        )
        return all_told(book, found, allowed(low, high, direction))


def allowed(low: Torque | None, high: Torque | None, direction: str | None) -> str:
    """What a restriction leaves: "20 to 80 lbf·ft, clockwise only"."""
    span = range_text(low, high) if low and high else ""
    around = f"{ROUND[direction]} only" if direction else ""
    return ", ".join(part for part in (span, around) if part)


def all_told(book: "Book", found: Sequence[Told], bounds: str = "") -> Answer:
    """What is said of one tool's condition, or of several tools'."""
    answers = [told(book, each) for each in found]
    allowed_fact = (("Allowed", bounds),) if bounds else ()
    data: dict[str, Json] = {"told": [answer.data for answer in answers]}
    if len(found) == 1:
        return answers[0]._replace(facts=(*allowed_fact, *answers[0].facts), data=data)
    names = words.listing([each.tool.tool for each in found])
    return Answer(
        headline=f"{names} {SEVERAL[found[0].what]}.",
        facts=(*allowed_fact, *((each.tool.tool, f"entry {each.reference}") for each in found)),
        body=tuple(line for each in answers for line in each.body),
        next=(f"torquelog {found[0].tool.sort} due",),
        data=data,
    )


def told(book: "Book", found: Told) -> Answer:
    """What is said of a tool's condition: whether it may be used, and what was done meanwhile."""
    tool = found.tool
    said = DONE.get(found.what, f"is on record as {found.what}")
    unfit = [seen_now(ground.message) for ground in found.fitness.grounds]
    state = "It may not be used." if unfit else "It may be used."
    count = sum(use.uses for use in found.used_since)
    since = words.day_and_time(found.at, book.zone)
    meanwhile = (
        f"It was used {words.count(count, 'time')} since {since}. Those uses were judged without knowing this "
        "and have to be looked at.",
    ) if count else ()  # fmt: skip
    return Answer(
        headline=f"{tool.tool} {said}. {state}",
        facts=(("Entry", found.reference),),
        body=(*unfit, *meanwhile),
        next=(
            look_at_its_work(tool) if count else f"torquelog {tool.sort} show {tool.tool}",
            *pending_recall(book.connection, tool),
        ),
        data={
            "entry": found.reference,
            "tool": tool.tool,
            "what": found.what,
            "at": offset_text(found.at, book.zone),
            "used_since": [f"{use.station}-{use.number:06d}" for use in found.used_since],
            **fitness_data(book, tool, found.fitness),
        },
    )
