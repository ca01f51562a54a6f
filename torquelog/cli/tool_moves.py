"""What is said when tools are issued, returned, sent, received and retired."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from torquelog.cli import words
from torquelog.cli.answer import Answer, Json, Problem
from torquelog.cli.context import Context
from torquelog.cli.signing import open_for, signed_in
from torquelog.cli.tool_options import demanded_reason, moment, reason, whole, words_of
from torquelog.cli.toolwords import (
    alternative_lines,
    cycles_words,
    due_words,
    fitness_data,
    problems,
    where_data,
    where_words,
)
from torquelog.clock import local_date
from torquelog.crib import custody
from torquelog.crib.alternatives import Alternative, alternatives, middle_of
from torquelog.crib.custody import Issue, Moved, Unfit
from torquelog.facts import people
from torquelog.facts.tools import Tool
from torquelog.ledger.text import gate_identifier, gate_text

if TYPE_CHECKING:
    from torquelog.book.opening import Book


def issue(context: Context, sort: str, numbers: Sequence[str], to: str, job: str | None) -> Answer:
    """Hand tools out; an unfit one holds all of them back, with what could be used instead."""
    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        target = gate_text(to, "to")
        for_job = gate_identifier(job, "job") if job else ""
        found = custody.issue(book, signer, numbers, target, job=for_job, sort=sort)
        if found.unfit:
            return refused(book, sort, found, person_of(book, target))
        answer = moved(context, book, sort, "issued", found.moved)
        returned = f"torquelog {sort} return {' '.join(each.tool.tool for each in found.moved)}"
        return answer._replace(next=(f"torquelog work {for_job}" if for_job else returned,))


def person_of(book: "Book", target: str) -> str:
    """The person that a target names, or ""."""
    return target.upper() if people.person(book.connection, target.upper()) else ""


def refused(book: "Book", sort: str, found: Issue, person: str) -> Answer:
    """The answer where tools are unfit: every ground, and which others could be used."""
    names = [each.tool.tool for each in found.unfit]
    others = _others(book, sort, found.unfit, person)
    return Answer(
        headline=f"Nothing was issued: {words.listing(names)} may not be used.",
        problems=tuple(problem for each in found.unfit for problem in problems(each.fitness)),
        body=tuple(alternative_lines(others, found.now, book.zone)),
        next=(f"torquelog {sort} show {names[0]}",),
        data={
            "moved": [],
            "unfit": [
                {"tool": each.tool.tool, **fitness_data(book, each.tool, each.fitness)}
                for each in found.unfit
            ],
            "alternatives": [alternative_data(book, each, found.now) for each in others],
        },
        exit=3,
    )


def _others(book: "Book", sort: str, unfit: Sequence[Unfit], person: str) -> tuple[Alternative, ...]:
    middle = middle_of(unfit[0].tool)
    needs = None if middle is None else lambda tool: [middle]
    found = alternatives(book, needs, sort=sort, person=person, without=[each.tool.tool for each in unfit])
    return tuple(each for each in found if _replaces(each.tool, unfit[0].tool))


def _replaces(other: Tool, tool: Tool) -> bool:
    """An adapter is replaced by one of the same length or ratio only."""
    return (other.length, other.multiplier, other.angle) == (tool.length, tool.multiplier, tool.angle)


def alternative_data(book: "Book", each: Alternative, now: int) -> dict[str, Json]:
    """A tool that could be used, for programs."""
    where = where_words(each.tool, each.where, now, book.zone)
    return {
        each.tool.sort: each.tool.tool,
        "where": where,
        "due": str(each.fitness.due) if each.fitness.due else None,
    }


def give_back(
    context: Context, sort: str, numbers: Sequence[str], uses: str | None, place: str | None
) -> Answer:
    """Take tools back."""
    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        count = whole(uses, "uses") if uses else 0
        found = custody.give_back(
            book, signer, numbers, uses=count, place=words_of(place, "place"), sort=sort
        )
        answer = moved(context, book, sort, "returned", found)
        job = next((each.before.job for each in found if each.before.job), "")
        return answer._replace(next=(f"torquelog job show {job}" if job else f"torquelog {sort} due",))


def send(
    context: Context, sort: str, numbers: Sequence[str], to: str | None, why: str | None, at: str | None
) -> Answer:
    """Send tools away."""
    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        found = custody.send(
            book, signer, numbers, to=words_of(to, "to"), why=reason(why), at=moment(book, at), sort=sort
        )
        answer = moved(context, book, sort, "sent", found)
        return answer._replace(next=(f"torquelog {sort} receive {found[0].tool.tool}   when it is back",))


def receive(context: Context, sort: str, numbers: Sequence[str], why: str | None, at: str | None) -> Answer:
    """Take tools back that were away, with the newest certificate of each."""
    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        found = custody.receive(book, signer, numbers, why=reason(why), at=moment(book, at), sort=sort)
        answer = moved(context, book, sort, "received", found)
        refusals = tuple(Problem(*each.not_accepted) for each in found if each.not_accepted)
        unfit = tuple(problem for each in found for problem in problems(each.fitness))
        return answer._replace(
            problems=refusals or unfit, next=(f"torquelog {sort} show {found[0].tool.tool}",)
        )


def retire(context: Context, sort: str, numbers: Sequence[str], why: str | None, at: str | None) -> Answer:
    """Take tools out of use for good."""
    with open_for(context, "write") as book:
        signer = signed_in(context, book)
        why_text = demanded_reason(why)
        found = custody.retire(book, signer, numbers, why=why_text, at=moment(book, at), sort=sort)
        return moved(context, book, sort, "retired", found)._replace(next=(f"torquelog {sort} list",))


HEADLINES = {
    "issued": "{tools} {is_are} {where}.",
    "returned": "{tools} {is_are} back in the {where}.",
    "sent": "{tools} {is_are} {where}.",
    "received": "{tools} {is_are} received. {fit}",
    "retired": "{tools} {is_are} retired. The number is never used again.",
}


def moved(context: Context, book: "Book", sort: str, verb: str, found: Sequence[Moved]) -> Answer:
    """What is said of tools that went somewhere."""
    now = context.now
    names = words.listing([each.tool.tool for each in found])
    one = len(found) == 1
    headline = HEADLINES[verb].format(
        tools=names, is_are="is" if one else "are",
        where=where_words(found[0].tool, found[0].after._replace(since=None), now, book.zone),
        fit=fit_sentence(found),
    )  # fmt: skip
    return Answer(
        headline=headline.strip(),
        facts=tuple(fact for each in found for fact in tool_facts(book, each, now)),
        data={"moved": [moved_data(book, each) for each in found]},
    )


def fit_sentence(found: Sequence[Moved]) -> str:
    """Whether received tools may be used."""
    unfit = [each.tool.tool for each in found if each.fitness.grounds]
    if not unfit:
        return "It may be used from now on." if len(found) == 1 else "They may be used from now on."
    return f"{words.listing(unfit)} may not be used."


def tool_facts(book: "Book", each: Moved, now: int) -> list[tuple[str, str]]:
    """Due date, cycles and entry of one tool."""
    today = local_date(now, book.zone)
    parts = [
        due_words(each.fitness.due, today) if each.fitness.due else "",
        cycles_words(each.tool, each.fitness),
    ]
    said = ", ".join(part for part in parts if part)
    accepted = f"certificate {each.accepted.certificate} accepted" if each.accepted else ""
    entry = f"entry {each.reference}" if each.reference else ""
    return [(each.tool.tool, "; ".join(part for part in (said, accepted, entry) if part))]


def moved_data(book: "Book", each: Moved) -> dict[str, Json]:
    """One tool that went somewhere, for programs."""
    return {
        "tool": each.tool.tool,
        "entry": each.reference or None,
        "where": where_data(each.after, book.zone),
        "accepted": each.accepted.reference if each.accepted else None,
        **fitness_data(book, each.tool, each.fitness),
    }
