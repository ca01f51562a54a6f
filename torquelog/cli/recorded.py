"""How a recorded reading is said: as an answer with its data, and as the sentences a technician reads."""

from collections.abc import Sequence
from fractions import Fraction

from torquelog.book.opening import Book
from torquelog.cli import words
from torquelog.cli.answer import Answer, Json, Problem, Remark
from torquelog.cli.torques import limits_data, read_data, torque_data
from torquelog.clock import offset_text
from torquelog.rules.names import fastener_name
from torquelog.torque.beside import beside
from torquelog.torque.limits import Limits, parse_spec
from torquelog.torque.units import Torque
from torquelog.work.record import Recorded

EXITS = {"within": 0, "refused": 3, "below": 4, "above": 4}

Alternative = tuple[str, str]
"""A tool that could do it, and where it is."""


def data_of(book: Book, found: Recorded, alternatives: Sequence[Alternative] = ()) -> dict[str, Json]:
    """What a program is told of a reading."""
    return {
        "entry": found.reference,
        "outcome": found.outcome,
        "act": found.act,
        "grounds": [
            {"code": each.code, "tool": each.tool, "message": each.message} for each in found.grounds
        ],
        **torques_data(
            found.asked.reading, found.applied, found.actual, found.limits, found.specified, found.unit
        ),
        "job": found.asked.job,
        "fastener": f"{found.asked.group}:{found.asked.item}",
        "step": found.asked.step,
        "pass": None if found.asked.pass_ is None else str(found.asked.pass_),
        "wrench": found.asked.wrench,
        "adapter": list(found.asked.adapters),
        "performed_by": found.asked.performed_by,
        "performed_at": offset_text(found.performed_at, book.zone),
        "recorded_at": offset_text(found.recorded_at, book.zone),
        "alternatives": [{"wrench": tool, "where": where} for tool, where in alternatives],
    }


def torques_data(
    reading: Torque, applied: Fraction, actual: Fraction | None, limits: Limits, specified: str, unit: str
) -> dict[str, Json]:
    """The torques of a reading, each as `Recorded` has it."""
    demanded = parse_spec(specified)
    return {
        "indicated": read_data(reading),
        "applied": torque_data(applied, unit),
        "actual": None if actual is None else torque_data(actual, unit),
        "limits": limits_data(limits, unit),
        "specified": limits_data(demanded.limits, demanded.unit),
    }


def told(book: Book, found: Recorded, alternatives: Sequence[Alternative] = ()) -> Answer:
    """The answer for a program: data, problems, remarks and exit status, no sentences."""
    problems: tuple[Problem, ...] = tuple(Problem(each.code, each.message) for each in found.grounds)
    if found.outcome in ("below", "above"):
        problems = (_outside(found),)
    return Answer(
        data=data_of(book, found, alternatives),
        problems=problems,
        remarks=tuple(Remark(each.code, each.message) for each in found.remarks),
        exit=EXITS[found.outcome],
    )


def answer_of(
    book: Book, found: Recorded, *, progress: str = "", alternatives: Sequence[Alternative] = ()
) -> Answer:
    """The answer to `record`.

    Args:
        book: the open record.
        found: what was recorded.
        progress: how far the job is, a line, or nothing.
        alternatives: for a refusal, tools that could do it.
    """
    common = told(book, found, alternatives)
    if found.outcome == "refused":
        return _refused(book, found, common, alternatives)
    return _taken(book, found, common, progress)


def _name(found: Recorded) -> str:
    return words.sentence(fastener_name(found.asked.group, found.asked.item))


def _place(found: Recorded) -> str:
    slot = found.asked.step or (f"pass {found.asked.pass_}" if found.asked.pass_ else "")
    parts = [_name(found), slot, owner_words(found.owner), found.asked.job]
    return ", ".join(part for part in parts if part)


def owner_words(owner: str) -> str:
    """Whose fastener, as people say it: the assembly's serial number, or the position."""
    _, _, name = owner.partition(" ")
    return name.partition(" ")[2]


def _taken(book: Book, found: Recorded, common: Answer, progress: str) -> Answer:
    said = {
        "within": "Within limits.",
        "below": "OUTSIDE, below its limits.",
        "above": "OUTSIDE, above its limits.",
    }[found.outcome]
    check = " A check, no tightening." if found.act == "check" else ""
    body = (progress,) if progress else ()
    return common._replace(
        headline=f"{said}{check} {_place(found)}.",
        facts=tuple(_facts(book, found)),
        body=body,
    )


def _outside(found: Recorded) -> Problem:
    limits = found.limits.words(found.unit)
    got = beside(found.applied, found.unit, found.limits)
    return Problem(
        f"outside-{found.outcome}",
        f"{_name(found)} got {got}; its limits are {limits}. It is on record as {found.reference} and stays open.",
    )


def _facts(book: Book, found: Recorded) -> list[tuple[str, str]]:
    side = "inside" if found.outcome == "within" else "outside"
    at_fastener = beside(found.applied, found.unit, found.limits)
    wrench = found.asked.wrench
    if found.asked.adapters:
        wrench += f" with {words.listing(found.asked.adapters)}"
    paper = f", certificate {found.certificate}" if found.certificate else ""
    due = f", due {_due(found.due)}" if found.due else ""
    signed = words.day_and_time(found.performed_at, book.zone, seconds=True)
    return [
        ("On the wrench", str(found.asked.reading)),
        ("At the fastener", f"{at_fastener}, {side} {found.limits.words(found.unit)}"),
        ("Wrench", f"{wrench}{paper}{due}"),
        ("Done by", f"{found.asked.performed_by}, {signed}, entry {found.reference}"),
    ]


def _due(text: str) -> str:
    from datetime import date

    return words.day(date.fromisoformat(text))


def _refused(book: Book, found: Recorded, common: Answer, alternatives: Sequence[Alternative]) -> Answer:
    name, wrench = _name(found), found.asked.wrench
    body = [
        f"Kept all the same, as {found.reference}: {found.asked.reading}, "
        f"{words.day_and_time(found.performed_at, book.zone)}.",
        "The tool is refused, not the person, and there is no way around it here.",
        "",
        f"If {name.lower()} was turned with {wrench}, loosen it before it is tightened again:",
        "a click on a nut that is tight already proves nothing.",
    ]
    if alternatives:
        body += ["", "Tools that reach it", *(f"  {tool}   {where}" for tool, where in alternatives)]
    return common._replace(
        headline=f"Refused. {name} of {found.asked.job} stays open; nothing counts from this.",
        facts=(),
        body=tuple(body),
        next=(f"torquelog wrench show {wrench}",),
    )
