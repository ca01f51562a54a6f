"""The whole command line: `torquelog` and, behind it, the table of commands."""

from typing import Final

import click

from torquelog import __version__
from torquelog.cli.answer import Answer
from torquelog.cli.command import Example, Told
from torquelog.cli.context import Context
from torquelog.cli.group import Group, alone
from torquelog.cli.table import SECTIONS

EXAMPLES: Final = (
    Example('torquelog convert 300 lbf-in "N·m"', "one unit into another, exactly"),
    Example('torquelog setting "68..76 N·m" --lever "12 in" --adapter "3 in"', "what to set"),
    Example("torquelog", "where you stand, and what to do next"),
)


def status(context: Context) -> Answer:
    """What `torquelog` alone answers; its module is imported only then."""
    from torquelog.cli.status import status as answer

    return answer(context)


def tell_version(ctx: click.Context, _parameter: click.Parameter, value: bool) -> None:
    """Stop here and tell the version."""
    if value and not ctx.resilient_parsing:
        raise Told("version", __version__, f"torquelog {__version__}")


root: Final = Group(
    "torquelog",
    short="Keep the record of tightening on aircraft: which fastener, which torque, which wrench, "
    "and whether that wrench was good at that moment.",
    sections=SECTIONS,
    examples=EXAMPLES,
    callback=alone(status),
)
root.params.append(
    click.Option(
        ["--version"],
        is_flag=True,
        is_eager=True,
        expose_value=False,
        callback=tell_version,
        help="Tell the version.",
    )
)
