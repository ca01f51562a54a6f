"""What is said when something is told of a tool: reports, quarantine, release, restrictions."""

from typing import TYPE_CHECKING

from torquelog.cli import words
from torquelog.cli.answer import Answer
from torquelog.cli.context import Context
from torquelog.cli.signing import by_passphrase, open_for, signed_in
from torquelog.cli.tool_options import demanded_reason, moment, reason
from torquelog.cli.toolwords import fitness_data, seen_now
from torquelog.clock import offset_text
from torquelog.crib import condition
from torquelog.crib.condition import Told
from torquelog.crib.scales import parse_range
from torquelog.errors import TorquelogError
from torquelog.rules.sayings import ROUND

if TYPE_CHECKING:
    from torquelog.book.opening import Book

DONE = {
    "quarantined": "is in quarantine until quality releases it",
    "released": "is released from quarantine",
    "restricted": "is restricted from now on",
    "unrestricted": "has no restriction any more",
    "found": "is found",
    "lost": "is on record as lost",
}


def report(context: Context, sort: str, number: str, what: str, why: str | None, at: str | None) -> Answer:
    """Report what befell a tool."""
    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        found = condition.report(
            book, signer, number, what.strip().lower(), why=reason(why), at=moment(book, at), sort=sort
        )
        return told(book, found)


def quarantine(context: Context, sort: str, number: str, why: str | None, at: str | None) -> Answer:
    """Put a tool in quarantine."""
    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        found = condition.quarantine(
            book, signer, number, why=demanded_reason(why), at=moment(book, at), sort=sort
        )
        return told(book, found)


def release(context: Context, sort: str, number: str, why: str | None) -> Answer:
    """Release a tool from quarantine, with quality's passphrase."""
    why_text = demanded_reason(why)
    with open_for(context, "write") as book:
        signer = by_passphrase(context, book)
        return told(book, condition.release(book, signer, number, why=why_text, sort=sort))


def restrict(
    context: Context,
    sort: str,
    number: str,
    *,
    span: str | None,
    direction: str | None,
    lift: bool,
    why: str | None,
    at: str | None,
) -> Answer:
    """Restrict a tool, or lift its restrictions, with quality's passphrase."""
    why_text = demanded_reason(why)
    if lift and (span or direction or at):
        raise TorquelogError(
            "argument", "--lift ends every restriction, from now on.", hint="Give --why alone with it."
        )
    low, high = parse_range(span) if span else (None, None)
    with open_for(context, "write") as book:
        signer = by_passphrase(context, book)
        if lift:
            return told(book, condition.lift(book, signer, number, why=why_text, sort=sort))
        found = condition.restrict(
            book, signer, number, low=low, high=high, direction=direction or "", why=why_text,
            at=moment(book, at), sort=sort,
        )  # fmt: skip
        bounds = ", ".join(
            part
            for part in (
                f"from {low} to {high}" if low else "",
                f"{ROUND[direction]} only" if direction else "",
            )
            if part
        )
        answer = told(book, found)
        return answer._replace(facts=(("Allowed", bounds), *answer.facts))


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
        next=(f"torquelog trace {tool.sort} {tool.tool}",)
        if count
        else (f"torquelog {tool.sort} show {tool.tool}",),
        data={
            "entry": found.reference,
            "tool": tool.tool,
            "what": found.what,
            "at": offset_text(found.at, book.zone),
            "used_since": [f"{use.station}-{use.number:06d}" for use in found.used_since],
            **fitness_data(book, tool, found.fitness),
        },
    )
