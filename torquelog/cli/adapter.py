"""`adapter`: the crib's commands for adapters and multipliers."""

from typing import Any

import click

from torquelog.cli.answer import Answer
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.tool_commands import (
    ADAPTER,
    due_command,
    issue_command,
    limits_command,
    list_command,
    quarantine_command,
    receive_command,
    release_command,
    report_command,
    retire_command,
    return_command,
    send_command,
    show_command,
)
from torquelog.cli.tool_options import NUMBER

issue = issue_command(ADAPTER)
give_back = return_command(ADAPTER)
send = send_command(ADAPTER)
receive = receive_command(ADAPTER)
retire = retire_command(ADAPTER)
report = report_command(ADAPTER)
quarantine = quarantine_command(ADAPTER)
release = release_command(ADAPTER)
adapters = list_command(ADAPTER)
due = due_command(ADAPTER)
show = show_command(ADAPTER)
limits = limits_command(ADAPTER)


@command(
    "add",
    short="Register an adapter or a multiplier.",
    examples=(
        Example('torquelog adapter add A-20 --length "3 in"', "it lengthens the lever"),
        Example('torquelog adapter add A-21 --length "-2 in" --angle 30', "turned back, at an angle"),
        Example('torquelog adapter add A-22 --multiplier 3.8 --every "12 months"', "a gearbox"),
    ),
)
@click.argument("number", metavar="NUMBER", required=False)
@click.option("--length", metavar="LENGTH", help="Centre to centre; with - in front where it reaches back.")
@click.option("--angle", metavar="DEGREES", help="Between the wrench and the adapter; 0 if not given.")
@click.option("--multiplier", metavar="RATIO", help="Torque it gives for each torque it gets.")
@click.option("--every", metavar="PERIOD", help='Calibrated every: "12 months".')
@click.option("--cycles", metavar="N", help="And after this many uses, whichever comes first.")
@click.option("--maker", metavar="NAME", help="Who made it.")
@click.option("--serial", metavar="TEXT", help="The maker's serial number.")
@click.option("--owner", metavar="OWNER", help="company, personal or loan; company if not given.")
@click.option("--place", metavar="TEXT", help="Where it is kept in the crib.")
def add(context: Context, /, number: str | None, **given: Any) -> Answer:
    """An adapter with neither interval nor cycle limit may be used by its registered length. A multiplier always
    needs a certificate, as its ratio cannot be measured with a rule.
    """
    from torquelog.cli.tool_add import add as act

    return act(context, "adapter", number, given)


@command(
    "calibrate",
    short="Put a certificate of an adapter on record.",
    examples=(
        Example(
            'torquelog adapter calibrate A-03 --certificate C-77 --on 2026-11-20 --length "3.01 in" --accept',
            "as measured, accepted at once",
        ),
    ),
)
@NUMBER
@click.option("--certificate", metavar="TEXT", help="The certificate's number.")
@click.option("--on", metavar="DATE", help="The day it was measured.")
@click.option("--due", metavar="DATE", help="The due date on it.")
@click.option("--laboratory", metavar="TEXT", help="Who issued it.")
@click.option("--standard", metavar="TEXT", help="What it was measured with.")
@click.option("--length", metavar="LENGTH", help="Its length as measured.")
@click.option("--multiplier", metavar="RATIO", help="Its ratio as measured.")
@click.option("--accept", is_flag=True, help="Accept it at once: it is here, and this is what it says.")
def calibrate(context: Context, /, number: str, **given: Any) -> Answer:
    """From its acceptance on, the length or ratio measured counts instead of the registered one."""
    from torquelog.cli.tool_calibrate import calibrate_tool

    return calibrate_tool(context, "adapter", number, given)


@command(
    "check",
    short="Ask whether an adapter may be used now.",
    examples=(Example("torquelog adapter check A-03"),),
)
@NUMBER
def check(context: Context, number: str) -> Answer:
    """The same judgement as when a reading is recorded. Nothing is written."""
    from torquelog.cli.tool_show import check_tool

    return check_tool(context, "adapter", number, job=None, fastener=None, adapters=())
