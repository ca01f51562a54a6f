"""`convert`, `setting`, `applied` and `sequence`: computing without any record."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Final, TypeAlias

import click

from torquelog.cli import words
from torquelog.cli.answer import Answer, Json, Remark
from torquelog.cli.command import Example, command, joined
from torquelog.cli.context import Context
from torquelog.errors import TorquelogError
from torquelog.torque.adapter import Extension, Multiplier
from torquelog.torque.conversion import convert as converted
from torquelog.torque.limits import Limits, Spec, parse_basis, parse_spec
from torquelog.torque.number import display, parse_number
from torquelog.torque.sequence import order, parse_passes
from torquelog.torque.setting import Setting, work_out
from torquelog.torque.setting import applied as at_fastener
from torquelog.torque.units import (
    Length,
    Torque,
    parse_angle,
    parse_length,
    parse_percent,
    parse_torque,
    parse_unit,
    torque,
)

Chain: TypeAlias = tuple[Extension | Multiplier, ...]

DIGITS: Final = 6
"""Significant digits for people; programs get sixteen."""

OWN_ORDER: Final = "Where your approved data gives another order, that one counts."
SAFETY: Final = "The limits come from your approved data. torquelog supplies none."

LEVER = click.option("--lever", metavar="LENGTH", help="The wrench, centre of its square to the hand.")
ADAPTER = click.option(
    "--adapter", "adapters", metavar="LENGTH", multiple=True, help="An adapter; negative if turned back."
)
ANGLE = click.option(
    "--angle", "angles", metavar="DEGREES", multiple=True, help="Between wrench and adapter; 0 unless given."
)
MULTIPLIER = click.option(
    "--multiplier", "multipliers", metavar="RATIO", multiple=True, help="A multiplier's certified ratio."
)


@command(
    "convert",
    short="Convert a torque into another unit, exactly.",
    examples=(
        Example('torquelog convert "300 lbf·in" "N·m"'),
        Example("torquelog convert 26.5 ft-lb Nm", "the same without quotation marks"),
        Example("torquelog convert 1 kN-m ozf-ft --json", "rarer units, for a program"),
    ),
)
@click.argument("typed", metavar="TORQUE UNIT", nargs=-1, required=True)
def convert(context: Context, typed: tuple[str, ...]) -> Answer:
    """TORQUE is a value with its unit, UNIT the one to convert it into.

    Units: N·m, cN·m, daN·m, lbf·in, lbf·ft, ozf·in, kgf·m, kgf·cm; here also mN·m, kN·m, gf·cm, dyn·cm, ozf·ft.
    They may be typed as on the wrench: Nm, in-lb, ft-lb.
    """
    if len(typed) < 2:
        raise TorquelogError(
            "argument",
            "The unit to convert into is missing.",
            hint='torquelog convert "300 lbf·in" "N·m"',
        )
    found = converted(joined(typed[:-1]), typed[-1])
    how = "exactly" if found.exact else "rounded to 16 digits"
    return Answer(
        headline=f"{found.from_} is {found.to}, {how}.",
        data={"from": found.from_._asdict(), "to": found.to._asdict(), "exact": found.exact},
    )


@command(
    "setting",
    short="Compute what to set a wrench to.",
    examples=(
        Example('torquelog setting "60..80 N·m" --lever "400 mm" --adapter "100 mm"', "through an adapter"),
        Example('torquelog setting "50..70 lbf-in" --run-on "30 lbf-in" --basis above-run-on'),
        Example('torquelog setting "72 N·m" --tolerance "5 %" --graduation "0.5 lbf-ft"', "on another scale"),
    ),
)
@click.argument("typed", metavar="SPECIFICATION", nargs=-1, required=True)
@LEVER
@ADAPTER
@ANGLE
@MULTIPLIER
@click.option("--run-on", metavar="TORQUE", help="The run-on torque that was measured.")
@click.option(
    "--basis",
    metavar="BASIS",
    default="total",
    help="total, above-run-on or above-run-on-from; total if not given.",
)
@click.option(
    "--from", "share", metavar="SHARE", help="For above-run-on-from: the share of the low limit, 1/3."
)
@click.option("--tolerance", metavar="PERCENT", help="For a specification of one torque.")
@click.option("--graduation", metavar="TORQUE", help="The step of the wrench's scale.")
@click.option("--range", "reach", metavar="LOW..HIGH", help="The range of the wrench.")
@click.option("--unit", metavar="UNIT", help="The unit of the wrench's scale.")
def setting(
    context: Context,
    typed: tuple[str, ...],
    lever: str | None,
    adapters: tuple[str, ...],
    angles: tuple[str, ...],
    multipliers: tuple[str, ...],
    run_on: str | None,
    basis: str,
    share: str | None,
    tolerance: str | None,
    graduation: str | None,
    reach: str | None,
    unit: str | None,
) -> Answer:
    """SPECIFICATION is low..high, nominal ± tolerance, min or max, with its unit, as your approved data gives it.

    The setting is the mark of the scale nearest the middle of the limits. Adapters and multipliers are named
    in order from the wrench. Run-on torque counts as --basis says.
    """
    spec = parse_spec(joined(typed), parse_percent(tolerance) if tolerance else None)
    named_basis, from_share = parse_basis(basis, share)
    found = work_out(
        spec,
        chain(adapters, angles, multipliers),
        lever=parse_length(lever) if lever else None,
        run_on=parse_torque(run_on) if run_on else None,
        basis=named_basis,
        from_share=from_share,
        graduation=parse_torque(graduation) if graduation else None,
        reach=parse_spec(reach) if reach else None,
        unit=parse_unit(unit).symbol if unit else None,
    )
    return setting_answer(spec, found, run_on_fact(spec, found, run_on, basis))


def setting_answer(spec: Spec, found: Setting, run_on: str) -> Answer:
    """The setting as an answer."""
    limits = Limits(found.low, found.high).times(1 / found.ratio)
    facts = [
        ("Specified", spec.text),
        ("Run-on torque", run_on),
        ("At the fastener", span(limits, found.fastener_unit)),
        ("On the wrench", on_the_wrench(found)),
        ("Set", what_is_set(found)),
    ]
    return Answer(
        headline=setting_headline(found),
        facts=tuple((label, value) for label, value in facts if value),
        body=(SAFETY,),
        data=setting_data(found, limits),
        remarks=tuple(Remark(*remark) for remark in found.remarks),
    )


def setting_headline(found: Setting) -> str:
    """What to set, in a sentence."""
    if found.dial is not None:
        return f"Set {shown(found.dial, found.dial_unit)}."
    if found.target is None:
        return f"Set {span(Limits(found.low, found.high), found.unit)}."
    return "This wrench cannot be set inside the limits."


def on_the_wrench(found: Setting) -> str:
    """The limits at the wrench, and how they come from those at the fastener."""
    limits = span(Limits(found.low, found.high), found.unit)
    return limits if found.ratio == 1 else f"{limits}   (×{display(found.ratio, DIGITS)})"


def what_is_set(found: Setting) -> str:
    """The dial value and what it gives, where that is something else."""
    if found.dial is None or found.at_fastener is None:
        return ""
    dial = shown(found.dial, found.dial_unit)
    gives = shown(found.at_fastener, found.fastener_unit)
    return dial if dial == gives else f"{dial}, which is {gives} at the fastener"


def run_on_fact(spec: Spec, found: Setting, run_on: str | None, basis: str) -> str:
    """Whether the run-on torque was added, where one was given."""
    if run_on is None:
        return ""
    limits = Limits(found.low, found.high).times(1 / found.ratio)
    added = "added to the limits" if limits != spec.limits else f"not added, as the basis is {basis}"
    return f"{parse_torque(run_on)}, {added}"


def setting_data(found: Setting, limits: Limits) -> dict[str, Json]:
    """The setting for programs."""
    told = found.shown()
    low, high = limits.shown(found.fastener_unit)
    return {
        "setting": {
            "low": None if told.low is None else told.low.value,
            "high": None if told.high is None else told.high.value,
            "target": None if told.target is None else told.target.value,
            "unit": found.unit,
        },
        "dial": quantity(told.dial),
        "at_fastener": quantity(told.at_fastener),
        "ratio": told.ratio,
        "limits": {"low": low, "high": high, "unit": found.fastener_unit},
    }


@command(
    "applied",
    short="Compute what a wrench gives the fastener.",
    examples=(
        Example("torquelog applied 60 lbf-in --lever '12 in' --adapter '2 in'", "through an adapter"),
        Example(
            "torquelog applied 60 lbf-in --lever '12 in' --adapter '2 in' --angle 90", "at a right angle"
        ),
    ),
)
@click.argument("typed", metavar="READING", nargs=-1, required=True)
@LEVER
@ADAPTER
@ANGLE
@MULTIPLIER
def applied(
    context: Context,
    typed: tuple[str, ...],
    lever: str | None,
    adapters: tuple[str, ...],
    angles: tuple[str, ...],
    multipliers: tuple[str, ...],
) -> Answer:
    """READING is what the wrench was set to or showed, with its unit.

    Adapters and multipliers are named in order from the wrench.
    """
    reading = parse_torque(joined(typed))
    length = parse_length(lever) if lever else None
    found = at_fastener(reading, chain(adapters, angles, multipliers), length)
    given = shown(found.newton_metres, reading.unit)
    return Answer(
        headline=f"{given} at the fastener.",
        facts=(("On the wrench", str(reading)), ("At the fastener", given)),
        data={"applied": quantity(found.torque), "ratio": display(found.ratio)},
    )


@command(
    "sequence",
    short="Show the order in which to tighten a bolt circle.",
    examples=(
        Example("torquelog sequence 12", "a star, opposite bolts in turn"),
        Example("torquelog sequence 8 --pattern circular --passes 50,100", "round the circle, in two passes"),
    ),
)
@click.argument("count", metavar="COUNT")
@click.option(
    "--pattern", metavar="PATTERN", default="star", help="star, circular or line; star if not given."
)
@click.option("--passes", metavar="PERCENT,…", help="The share of the torque in each pass, 50,100.")
def sequence(context: Context, count: str, pattern: str, passes: str | None) -> Answer:
    """COUNT is how many fasteners there are, numbered round the circle or along the row.

    An order belongs to your card: where your approved data gives another one, that one counts.
    """
    numbers = order(whole(count), pattern)
    shares = [display(share * 100) for share in parse_passes(passes.split(","))] if passes else []
    line = ", ".join(map(str, numbers))
    return Answer(
        headline=f"{words.count(len(numbers), 'fastener')}, {pattern} order.",
        facts=tuple((f"Pass {number}, {share} %", line) for number, share in enumerate(shares, start=1))
        or (("Order", line),),
        body=(OWN_ORDER,),
        data={
            "order": list(numbers),
            "passes": [{"percent": share, "order": list(numbers)} for share in shares],
        },
    )


def whole(text: str) -> int:
    """A count (codes number-form, order-form)."""
    value = parse_number(text)
    if value.denominator != 1:
        raise TorquelogError("order-form", f"{text} is not a whole number of fasteners.")
    return int(value)


def chain(adapters: Sequence[str], angles: Sequence[str], multipliers: Sequence[str]) -> Chain:
    """Adapters with their angles, then multipliers, as they were typed (code argument)."""
    if angles and len(angles) != len(adapters):
        raise TorquelogError(
            "argument",
            f"There are {len(adapters)} adapters and {len(angles)} angles.",
            hint="Give each --adapter its --angle, or none at all.",
        )
    lengths = [parse_length(adapter, signed=True).metres for adapter in adapters]
    degrees = [parse_angle(angle) for angle in angles] or [Fraction(0)] * len(lengths)
    extensions = [Extension(*pair) for pair in zip(lengths, degrees, strict=True)]
    return (*extensions, *(Multiplier(parse_number(ratio)) for ratio in multipliers))


def quantity(value: Torque | Length | None) -> Json:
    """A value with its unit, for programs."""
    return None if value is None else {"value": value.value, "unit": value.unit}


def shown(newton_metres: Fraction, unit: str) -> str:
    """A torque for people: six significant digits and its unit."""
    return str(torque(newton_metres, unit, DIGITS))


def span(limits: Limits, unit: str) -> str:
    """Limits for people: "48 to 64 N·m", "at least 11 lbf·in", "20 lbf·in at most"."""
    low, high = limits.shown(unit, DIGITS)
    if low is None:
        return f"{high} {unit} at most"
    return f"at least {low} {unit}" if high is None else f"{low} to {high} {unit}"
