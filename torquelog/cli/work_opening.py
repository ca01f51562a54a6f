"""How a guided session begins and ends: the job and its cautions once, the wrench in hand, what is left open."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from torquelog.cli import job_text, words
from torquelog.cli.answer import Answer
from torquelog.cli.context import Context
from torquelog.cli.toolwords import TYPES, cycles_words, due_words, range_words
from torquelog.cli.work_screen import Head

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.book.signer import Signer
    from torquelog.work.bench import Bench
    from torquelog.work.claims import Claims
    from torquelog.work.session_state import Session


def claims_of(book: "Book", session: "Session") -> "Claims":
    """Who else is at the job, and what this session is at."""
    from torquelog.work.claims import Claims

    return Claims(book.path, session.job, session.person)


def head_number(book: "Book") -> int:
    """The number of this station's last entry."""
    from torquelog.ledger import store

    return store.head_number(book.connection, book.station)


def head(context: Context, book: "Book", session: "Session") -> Head:
    """What stands at the top of the screen."""
    from torquelog.book.named import job_named

    job = job_named(book.connection, session.job)
    about = job_text.about(book, job).removesuffix(", on the bench")
    return Head(session.job, about, words.time(context.now, book.zone))


def lines(context: Context, book: "Book", session: "Session") -> list[str]:
    """The job, who works, the cautions, and how much there is to do; or where it goes on."""
    return list(_lines(context, book, session))


def _lines(context: Context, book: "Book", session: "Session") -> Iterator[str]:
    from torquelog.book.named import job_named
    from torquelog.cli.card_text import document_text, size_text
    from torquelog.facts import people
    from torquelog.work.plan import progress

    job = job_named(book.connection, session.job)
    card = session.facts.card
    who = people.person(book.connection, session.person)
    yield f"{job.job}   {job_text.about(book, job)}"
    yield f"Card    {card.card}, {document_text(card)}"
    yield f"{session.person:<7} {who.name if who else session.person}"
    cautions = job_text.caution_lines(card, job)
    yield from ["", *cautions] if cautions else []
    taken, asked = progress(session.facts)
    yield ""
    if taken:
        yield from _going_on(context, book, session, taken, asked)
    else:
        yield f"{size_text(card)}."
    yield ""


def handed_over(context: Context, book: "Book", signer: "Signer", job: str) -> None:
    """A job that was handed over and not accepted: its taker is asked for that first, anybody is told."""
    from torquelog.cli import ask
    from torquelog.facts import handing
    from torquelog.work.handing import take_over

    given = handing.waiting(book.connection, job)
    if given is None or context.json:
        return
    said = f" {given.why}." if given.why else ""
    ask.say(context, f"{given.giver} handed {job} over to {given.taker}.{said}")
    if given.taker != signer.person or not context.can_ask:
        ask.say(context, f"It is not taken over yet: torquelog job take-over {job}")
        return
    if ask.yes_no(context, "Do you take it over, with what is open in it?", option="torquelog job take-over"):
        done = take_over(book, signer, job)
        for part in done.open:
            ask.say(context, f"  {part.words}")
        ask.say(context, f"{job} is yours, {done.reference}.")
    ask.say(context, "")


def _going_on(context: Context, book: "Book", session: "Session", taken: int, asked: int) -> Iterator[str]:
    from torquelog.facts import readings

    last = max(
        readings.of_job(book.connection, session.job), key=lambda each: (each.at, each.number), default=None
    )
    yield f"Going on: {taken} of {words.count(asked, 'reading')} on record. Nothing was lost."
    if last is not None:
        when = words.distance(last.recorded, context.now)
        yield f"The last is {words.group(last.group)} {last.item}, {last.station}-{last.number:06d}, {when}."
    yield "The wrench may have been moved since. Say again what you hold."


def wrench_lines(context: Context, book: "Book", bench: "Bench") -> list[str]:
    """The wrench that was named, so that it can be compared with the one in hand."""
    today = words.local(context.now, book.zone).date()
    found = bench.fitness
    certificate = f"certificate {found.calibration.certificate}" if found.calibration else ""
    parts = [
        TYPES.get(bench.wrench.type, ""),
        certificate,
        due_words(found.due, today),
        cycles_words(bench.wrench, found),
    ]
    said = ", ".join(part for part in parts if part)
    line = f" with adapter {words.listing(bench.adapters)}" if bench.adapters else ""
    return [f"{bench.wrench.tool}{line}: {range_words(bench.wrench)}, {said}."]


def ending(context: Context, book: "Book", session: "Session", exits: list[int]) -> Answer:
    """How far the job is after the session, and what is open in it."""
    from torquelog.book.jobview import job_state
    from torquelog.cli.job import hold_lines
    from torquelog.cli.lines import worst

    state = job_state(book.connection, session.job)
    taken = f"{state.taken} of {words.count(state.asked, 'reading')} on record."
    name, exit_ = session.job, 0 if context.can_ask else worst(exits)
    if session.ended == "handed-over":
        return Answer(headline=f"{name} is handed over. {taken}", next=("torquelog job list",), exit=exit_)
    if not state.holds:
        return Answer(
            headline=f"{taken} Nothing is open in {name}.", body=(job_text.RELEASES_NOTHING,),
            next=(f"torquelog job close {name}",), exit=exit_,
        )  # fmt: skip
    if state.taken < state.asked:
        return Answer(
            headline=f"Stopped. {taken} Nothing is lost.", body=tuple(job_text.group_lines(state)),
            next=(f"torquelog work {name}",), exit=exit_,
        )  # fmt: skip
    held = "\n".join(hold_lines(state.holds)).strip("\n").split("\n")
    body = (*held, "", job_text.RELEASES_NOTHING)
    headline = f"{taken} {name} is not closed; open in it:"
    return Answer(headline=headline, body=body, next=(f"torquelog job show {name}",), exit=exit_)
