"""What else is done to a fastener: loosen, replace, found, step, part off and on."""

from typing import Any

import click

from torquelog.cli import carry, words
from torquelog.cli.answer import Answer, Json
from torquelog.cli.asked import parse_fastener
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.signing import signed_in
from torquelog.clock import offset_text, parse_moment
from torquelog.errors import TorquelogError
from torquelog.facts.acts import FOUND
from torquelog.ledger.text import gate_identifier, gate_name, gate_text
from torquelog.rules.names import fastener_name
from torquelog.work import fasteners
from torquelog.work.fasteners import Done, Work

BY = click.option("--by", metavar="PERSON", help="Who did it, if not the one signed in.")
AT = click.option("--at", metavar="TIME", help="When it was done, if not now.")
WHY = click.option("--why", metavar="TEXT", help="The reason.")


def _work(context: Context, person: str, by: str | None, at: str | None, why: str | None) -> Work:
    book = context.book("write")
    return Work(
        gate_identifier(by, "by") if by else person,
        parse_moment(at, book.zone) if at else None,
        gate_text(why, "why", reason=True) if why else None,
    )


def _answer(context: Context, done: Done, said: str) -> Answer:
    book = context.book("write")
    at = words.day_and_time(done.at, book.zone)
    state = done.state
    data: dict[str, Json] = {
        "entry": done.reference,
        "job": done.job,
        "fastener": f"{done.group}:{done.item}" if done.group and done.item else done.group or None,
        "act": done.act,
        "performed_at": offset_text(done.at, book.zone),
    }
    if state is not None:
        data["tight"] = state.tight
    return Answer(
        headline=f"{words.sentence(said)}.",
        facts=(("On record", f"{done.reference}, {at}"),),
        next=(f"torquelog job show {done.job}",),
        data=data,
    )


def _on_fastener(
    context: Context, /, job: str, fastener: str, act: str, given: dict[str, Any], **more: Any
) -> Done:
    book = context.book("write")
    signer = signed_in(context, book)
    group, item = parse_fastener(fastener)
    name = gate_identifier(job, "job")
    work = _work(context, signer.person, given["by"], given["at"], given["why"])
    done = fasteners.act(book, signer, name, group, item, act, work, **more)
    carry.remember_job(context, book, signer.person, name)
    return done


@command(
    "loosen",
    short="Record that a fastener was loosened.",
    examples=(Example("torquelog loosen J-5 tie-bolt:7 --why 'washer turned'"),),
)
@click.argument("job")
@click.argument("fastener", metavar="GROUP:N")
@BY
@AT
@WHY
def loosen(context: Context, /, job: str, fastener: str, **given: Any) -> Answer:
    """What was tight there counts no longer; its passes begin anew."""
    done = _on_fastener(context, job, fastener, "loosened", given)
    return _answer(context, done, f"{fastener_name(done.group, done.item or 0)} is loosened")


@command(
    "replace",
    short="Record that the hardware of a fastener was replaced.",
    examples=(Example("torquelog replace J-5 tie-bolt:7 --part EX-20 --lot L-77 --why 'over-torqued'"),),
)
@click.argument("job")
@click.argument("fastener", metavar="GROUP:N")
@click.option("--part", metavar="PART", help="The part number fitted.")
@click.option("--serial", metavar="S", help="Its serial number.")
@click.option("--lot", metavar="LOT", multiple=True, help="Its lot.")
@BY
@AT
@WHY
def replace(
    context: Context,
    /,
    job: str,
    fastener: str,
    part: str | None,
    serial: str | None,
    lot: tuple[str, ...],
    **given: Any,
) -> Answer:
    """Bolt and nut are new: a torque above the limits, a worn nut or a break is answered by this."""
    done = _on_fastener(
        context, job, fastener, "replaced", given,
        part=gate_text(part, "part") if part else None, serial=gate_text(serial, "serial") if serial else None,
        lots=tuple(gate_text(each, "lot") for each in lot),
    )  # fmt: skip
    return _answer(context, done, f"the hardware of {fastener_name(done.group, done.item or 0)} is replaced")


@command(
    "found",
    short="Record a fastener found sheared, loose, missing or damaged.",
    examples=(Example("torquelog found J-5 tie-bolt:7 loose --why 'at the walk-round'"),),
)
@click.argument("job")
@click.argument("fastener", metavar="GROUP:N")
@click.argument("what", metavar="WHAT")
@BY
@AT
@WHY
def found(context: Context, /, job: str, fastener: str, what: str, **given: Any) -> Answer:
    """WHAT is sheared, loose, missing or damaged. The fastener is open from then on."""
    if what not in FOUND:
        raise TorquelogError(
            "found-unknown",
            f'"{what[:40]}" is not in the list. Nothing was recorded.',
            hint=f"It is {', '.join(FOUND)}.",
        )
    done = _on_fastener(context, job, fastener, "found", given, found=what)
    name = fastener_name(done.group, done.item or 0)
    return _answer(context, done, f"{name} was found {what} and is open")


@command(
    "step",
    short="Record a step, a locking or an operational check of the card.",
    examples=(Example("torquelog step J-6 leak-check --value 'dry at 3000 psi'", "an operational check"),),
)
@click.argument("job")
@click.argument("first", metavar="GROUP[:N]|CHECK")
@click.argument("second", metavar="[STEP]", required=False)
@click.option("--value", metavar="TEXT", help="What was seen or measured.")
@BY
@AT
@WHY
def step(
    context: Context, /, job: str, first: str, second: str | None, value: str | None, **given: Any
) -> Answer:
    """An operational check of the job is named alone; a step or a locking after its group."""
    book = context.book("write")
    signer = signed_in(context, book)
    name = gate_identifier(job, "job")
    target, what = _target(first, second)
    work = _work(context, signer.person, given["by"], given["at"], given["why"])
    seen = gate_text(value, "value") if value else None
    done = fasteners.step(book, signer, name, target, what, work, value=seen)
    carry.remember_job(context, book, signer.person, name)
    whose = f" of {words.group(target[0])}" if target else ""
    return _answer(context, done, f"{what.replace('-', ' ')}{whose} is on record")


def _target(first: str, second: str | None) -> tuple[tuple[str, int | None] | None, str]:
    if second is None:
        return None, gate_name(first, "check")
    if ":" in first:
        return parse_fastener(first), gate_name(second, "step")
    return (gate_name(first, "group"), None), gate_name(second, "step")


def _part(
    context: Context,
    change: str,
    job: str,
    part: str,
    serial: str | None,
    lot: str | None,
    given: dict[str, Any],
) -> Answer:
    book = context.book("write")
    signer = signed_in(context, book)
    name = gate_identifier(job, "job")
    work = _work(context, signer.person, given["by"], given["at"], given["why"])
    done = fasteners.part(
        book, signer, name, change, gate_text(part, "part"), work,
        serial=gate_text(serial, "serial") if serial else None, lot=gate_text(lot, "lot") if lot else None,
    )  # fmt: skip
    return _answer(context, done, f"part {part} is {change}")


SERIAL = click.option("--serial", metavar="S", help="Its serial number.")
LOT = click.option("--lot", metavar="LOT", help="Its lot.")


@command(
    "off",
    short="Record a part taken off.",
    examples=(Example("torquelog part off J-5 EX-20 --lot L-70"),),
)
@click.argument("job")
@click.argument("part")
@SERIAL
@LOT
@BY
@AT
@WHY
def part_off(
    context: Context, /, job: str, part: str, serial: str | None, lot: str | None, **given: Any
) -> Answer:
    """Parts off are held against parts on before the job can close."""
    return _part(context, "off", job, part, serial, lot, given)


@command(
    "on",
    short="Record a part put on.",
    examples=(Example("torquelog part on J-5 EX-20 --lot L-77"),),
)
@click.argument("job")
@click.argument("part")
@SERIAL
@LOT
@BY
@AT
@WHY
def part_on(
    context: Context, /, job: str, part: str, serial: str | None, lot: str | None, **given: Any
) -> Answer:
    """Parts off are held against parts on before the job can close."""
    return _part(context, "on", job, part, serial, lot, given)
