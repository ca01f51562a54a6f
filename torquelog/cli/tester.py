"""`tester`: the crib's commands for the testers that wrenches are measured on."""

from typing import Any

import click

from torquelog.cli.answer import Answer
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.tool_commands import (
    TESTER,
    due_command,
    interval_command,
    limits_command,
    list_command,
    quarantine_command,
    receive_command,
    release_command,
    report_command,
    retire_command,
    send_command,
    show_command,
)
from torquelog.cli.tool_options import NUMBER

send = send_command(TESTER)
receive = receive_command(TESTER)
retire = retire_command(TESTER)
report = report_command(TESTER)
quarantine = quarantine_command(TESTER)
release = release_command(TESTER)
testers = list_command(TESTER)
due = due_command(TESTER)
show = show_command(TESTER)
interval = interval_command(TESTER)
limits = limits_command(TESTER)


@command(
    "add",
    short="Register a tester.",
    examples=(Example('torquelog tester add T-20 --range "5..200 Nm" --accuracy "1 %" --every "12 months"'),),
)
@click.argument("number", metavar="NUMBER", required=False)
@click.option("--range", metavar="RANGE", help='Its range: "5..200 Nm".')
@click.option("--graduation", metavar="TORQUE", help="Its smallest step, if it has one.")
@click.option("--scale", metavar="RANGE", multiple=True, help='A further scale: "4..150 ft-lb".')
@click.option("--accuracy", metavar="PERCENT", help='The largest deviation its papers allow: "1 %".')
@click.option("--every", metavar="PERIOD", help='Calibrated every: "12 months".')
@click.option("--maker", metavar="NAME", help="Who made it.")
@click.option("--serial", metavar="TEXT", help="The maker's serial number.")
@click.option("--owner", metavar="OWNER", help="company, personal or loan; company if not given.")
@click.option("--place", metavar="TEXT", help="Where it is kept.")
def add(context: Context, /, number: str | None, **given: Any) -> Answer:
    """Name it as the standard of a wrench's certificate, and what it measured is found by it."""
    from torquelog.cli.tool_add import add as act

    return act(context, "tester", number, given)


@command(
    "calibrate",
    short="Put a certificate of a tester on record.",
    examples=(
        Example(
            "torquelog tester calibrate T-1 --certificate C-9 --on 2026-11-20 "
            "--points sample_data/wrench-results.csv --accept",
            "from a file, accepted at once",
        ),
    ),
)
@NUMBER
@click.option("--certificate", metavar="TEXT", help="The certificate's number.")
@click.option("--on", metavar="DATE", help="The day of the calibration.")
@click.option("--due", metavar="DATE", help="The due date on it; it can only shorten the interval.")
@click.option("--laboratory", metavar="TEXT", help="Who issued it.")
@click.option("--standard", metavar="TEXT", help="What it was measured with.")
@click.option("--points", metavar="FILE", help="The results as CSV; - reads standard input.")
@click.option("--dcc", metavar="FILE", help="A Digital Calibration Certificate (XML, schema 3) instead.")
@click.option(
    "--direction", metavar="cw|ccw", help="The direction of results of which the --dcc file tells none."
)
@click.option(
    "--state", metavar="STATE", help="as-found, as-left or unchanged, where the --dcc file does not tell it."
)
@click.option("--found-on", metavar="DATE", help="The day of the results as found, if it was another one.")
@click.option("--edition", metavar="TEXT", help="The standard it follows, with its edition.")
@click.option("--accept", is_flag=True, help="Accept it at once: it is here, and this is what it says.")
def calibrate(context: Context, /, number: str, **given: Any) -> Answer:
    """The file is the same as a wrench's: see "torquelog wrench calibrate --help"."""
    from torquelog.cli.tool_calibrate import calibrate_tool

    return calibrate_tool(context, "tester", number, given)
