"""`torquelog record`: one reading, or many as lines."""

import os
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import click

from torquelog.book.opening import Book
from torquelog.book.signer import Signer
from torquelog.book.writing import writing
from torquelog.cli import carry, recorded, words
from torquelog.cli.answer import Answer, from_error
from torquelog.cli.asked import asked_from, from_line
from torquelog.cli.command import Example, command, joined
from torquelog.cli.context import Context
from torquelog.cli.lines import Request, answer_lines
from torquelog.cli.signing import signed_in
from torquelog.errors import TorquelogError
from torquelog.rules.names import fastener_name
from torquelog.work.record import Recorded, record_in, surely
from torquelog.work.record import record as record_reading

if TYPE_CHECKING:
    from torquelog.book.jobview import JobState
    from torquelog.crib.alternatives import Alternative

ID_FORM = frozenset("0123456789abcdef")
ID_LENGTH = 32


@command(
    "record",
    short="Record a reading at one fastener.",
    examples=(
        Example(
            "torquelog record tie-bolt:7 26.5 ft-lb --job J-5 --wrench W-0417",
            "with the unit that the wrench shows",
        ),
        Example("torquelog record tie-bolt:8 26.5 ft-lb -j J-5 -w W-0417 --pass 1 --json", "for a program"),
    ),
)
@click.argument("fastener", metavar="GROUP:N", required=False)
@click.argument("reading", metavar="READING", nargs=-1)
@click.option("-j", "--job", metavar="JOB", help="The job.")
@click.option("-w", "--wrench", metavar="NUMBER", help="The wrench in your hand.")
@click.option(
    "-a", "--adapter", metavar="NUMBER", multiple=True, help="An adapter in line, from the wrench outwards."
)
@click.option("--step", metavar="STEP", help="The card's step, where it has steps.")
@click.option("--pass", "pass_", metavar="N", help="The card's pass; the first open one if not given.")
@click.option("--run-on", metavar="TORQUE", help="The run-on torque, nut nearly down.")
@click.option("--run-on-wrench", metavar="NUMBER", help="What it was measured with.")
@click.option("--run-on-adapter", metavar="NUMBER", multiple=True, help="Through which adapter.")
@click.option("--loosened", is_flag=True, help="The fastener was loosened first.")
@click.option("--act", metavar="ACT", help="tighten or check; a check proves nothing about tightening.")
@click.option("--by", metavar="PERSON", help="Who did it, if not the one signed in.")
@click.option("--at", metavar="TIME", help="When it was done, if not now.")
@click.option("--why", metavar="TEXT", help="The reason, where one is demanded.")
@click.option("--lot", metavar="LOT", multiple=True, help="A lot of the hardware fitted.")
@click.option(
    "--id", "id", metavar="HEX", help="32 hex digits of yours; asking again gives the first answer."
)
@click.option("--lines", is_flag=True, help="Read one JSON object a line, answer one envelope a line.")
def record(context: Context, /, **given: Any) -> Answer:
    """READING is what was set or read on the wrench, with its unit: 26.5 ft-lb.

    A tool past its calibration is refused; what was typed is kept as a refusal, and the fastener stays open.
    The limits are those of the card; check them against your approved data.
    """
    if given.pop("lines"):
        return _lines(context)
    book = context.book("write")
    signer = signed_in(context, book)
    given |= {"reading": joined(given["reading"]), "pass": given.pop("pass_")}
    _carry_over(context, book, signer.person, given)
    asked = asked_from(book, given, signer.person)
    asked_id = _entry_id(given["id"])
    entry_id = asked_id or os.urandom(ID_LENGTH // 2).hex()
    found = surely(
        book, lambda: record_reading(book, signer, asked, entry_id=entry_id, new_id=not asked_id), entry_id
    )
    carry.remember_job(context, book, signer.person, asked.job)
    carry.remember_wrench(context, book, signer.person, asked.job, asked.wrench, asked.adapters)
    return _answer(context, book, found)


def _answer(context: Context, book: Book, found: Recorded) -> Answer:
    alternatives = _alternatives(book, found) if found.outcome == "refused" else ()
    if context.json:
        return recorded.told(book, found, alternatives)
    from torquelog.book.jobview import job_state

    state = job_state(book.connection, found.asked.job)
    progress = f"{state.taken} of {words.count(state.asked, 'reading')} done.{_next_in_order(state)}"
    answer = recorded.answer_of(book, found, progress=progress, alternatives=alternatives)
    return answer._replace(next=answer.next or (_next_step(state),))


def _next_step(state: "JobState") -> str:
    """How to go on in a job: at its next fastener, with what else is open, or by closing it."""
    if not state.holds:
        return f"torquelog job close {state.job.job}"
    return f"torquelog {'work' if _next_in_order(state) else 'job show'} {state.job.job}"


def _next_in_order(state: "JobState") -> str:
    """The fastener that comes next by the card, or that something has to be answered first."""
    from torquelog.work.plan import Facts, targets

    first = next(targets(Facts(state.card, state.view.states)), None)
    if first is None or first.kind not in ("reading", "hurt"):
        return ""
    name = fastener_name(first.group, first.item)
    if first.kind == "hurt":
        return f" {name.capitalize()} has to be put right first."
    return f" Next in order: {name}, {first.slot.name if first.slot else ''}."


def _alternatives(book: Book, found: Recorded) -> list[tuple[str, str]]:
    """Tools that could give the middle of the limits through the same adapters, with where they are and their due day."""
    from torquelog.crib.alternatives import alternatives

    middle = found.limits.middle
    if middle is None:
        return []
    target = middle / found.gain
    able = alternatives(
        book, lambda tool: (target,), person=found.asked.performed_by, direction=found.direction,
        without=(found.asked.wrench,),
    )  # fmt: skip
    return [(each.tool.tool, _where(each, found.asked.performed_by)) for each in able]


def _where(each: "Alternative", person: str) -> str:
    place = "with you" if each.where.kind == "person" and each.where.person == person else "crib"
    if place == "crib" and each.tool.place:
        place += f", {each.tool.place}"
    due = f", due {words.day(each.fitness.due)}" if each.fitness.due else ""
    return f"{place}{due}"


def _entry_id(text: str | None) -> str | None:
    if text is None:
        return None
    if len(text) != ID_LENGTH or not ID_FORM.issuperset(text):
        raise TorquelogError("id-form", "An id is 32 hex digits in small letters. Nothing was recorded.")
    return text


def _carry_over(context: Context, book: Book, person: str, given: dict[str, Any]) -> None:
    """Fill in, on a terminal, what this person said before; never without one."""
    if not given["job"]:
        given["job"] = carry.current_job(context, book, person)
    if given["job"] and not given["wrench"]:
        wrench, adapters = carry.wrench_of(context, book, person, given["job"])
        given["wrench"] = wrench
        given["adapter"] = given["adapter"] or adapters


def _lines(context: Context) -> Answer:
    from torquelog.book.log_room import make_room

    book = context.book("write")
    signer = signed_in(context, book)
    make_room(book)
    return answer_lines(context, lambda requests: _recorded_together(context, book, signer, requests))


def _recorded_together(
    context: Context, book: Book, signer: Signer, requests: Sequence[Request]
) -> Iterable[Answer]:
    """Record what arrived together in one commit; nothing is answered before it.

    The answer to a single line is written down before the commit, though: after the wait for the disk that takes the
    processor longer. The answers to many are not, so that others need not wait for them.
    """
    results: list[Recorded | TorquelogError] = []
    with writing(book) as w:
        for request in requests:
            try:
                given = from_line(request)
                asked = asked_from(book, given, signer.person)
                entry_id = _entry_id(given.get("id"))
                results.append(record_in(w, book, signer, asked, entry_id=entry_id))
            except TorquelogError as error:
                if error.exit == 6:
                    raise
                results.append(error)
        if len(results) == 1:
            return [_written_down(context, book, each) for each in results]
    return [_told(book, each) for each in results]


def _told(book: Book, result: Recorded | TorquelogError) -> Answer:
    return from_error(result) if isinstance(result, TorquelogError) else recorded.told(book, result)


def _written_down(context: Context, book: Book, result: Recorded | TorquelogError) -> Answer:
    from torquelog.cli import recorded_line

    if isinstance(result, TorquelogError):
        return recorded_line.written_down(context, from_error(result))
    return recorded_line.answer(context, book, result)
