"""`wrench`: the crib's commands for wrenches."""

from typing import Any

import click

from torquelog.cli.answer import Answer
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.tool_commands import (
    TYPED,
    WRENCH,
    due_command,
    interval_command,
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
from torquelog.cli.tool_options import AT, NUMBER, NUMBERS, WHY

issue = issue_command(WRENCH)
give_back = return_command(WRENCH)
send = send_command(WRENCH)
receive = receive_command(WRENCH)
retire = retire_command(WRENCH)
report = report_command(WRENCH)
quarantine = quarantine_command(WRENCH)
release = release_command(WRENCH)
wrenches = list_command(WRENCH)
due = due_command(WRENCH)
show = show_command(WRENCH)
interval = interval_command(WRENCH)
limits = limits_command(WRENCH)


@command(
    "add",
    short="Register a wrench.",
    examples=(
        Example("torquelog wrench add", "asks for what it needs", exit=2),
        Example(
            'torquelog wrench add W-0500 --type setting --range "20..100 ft-lb" --graduation 0.5 --lever "12 in" '
            '--accuracy "4 %" --every "12 months" --cycles 5000',
            "without questions",
        ),
        Example(
            'torquelog wrench add W-0501 --type indicating --range "10..50 Nm" --graduation 0.2 '
            '--scale "8..36 ft-lb by 0.2" --every "1 year"',
            "two scales",
        ),
        Example('torquelog wrench add W-0502 --type preset --range "45 Nm" --every "6 months"', "one torque"),
    ),
)
@click.argument("number", metavar="NUMBER", required=False)
@click.option("--type", metavar="TYPE", help="setting (it clicks), indicating, or preset (to one torque).")
@click.option("--range", metavar="RANGE", help='Its range, as on the wrench: "20..100 ft-lb".')
@click.option("--graduation", metavar="TORQUE", help="Its smallest graduation: 0.5.")
@click.option("--scale", metavar="RANGE", multiple=True, help='A further scale: "27..136 Nm by 1".')
@click.option("--lever", metavar="LENGTH", help="Centre of the square to where the hand pulls.")
@click.option("--accuracy", metavar="PERCENT", help='The largest deviation its papers allow: "4 %".')
@click.option("--every", metavar="PERIOD", help='Calibrated every: "12 months".')
@click.option("--cycles", metavar="N", help="And after this many uses, whichever comes first.")
@click.option("--maker", metavar="NAME", help="Who made it.")
@click.option("--serial", metavar="TEXT", help="The maker's serial number.")
@click.option("--owner", metavar="OWNER", help="company, personal or loan; company if not given.")
@click.option("--place", metavar="TEXT", help="Where it is kept in the crib.")
@click.option("--use", metavar="USE", help="before-use (checked before each day's use) or indication-only.")
def add(context: Context, /, number: str | None, **given: Any) -> Answer:
    """Copy these from the wrench and its papers; nothing is assumed. It may be used once it has a certificate that
    is accepted. A number is never used twice.
    """
    from torquelog.cli.tool_add import add as act

    return act(context, "wrench", number, given)


@command(
    "calibrate",
    short="Put a certificate of a wrench on record.",
    examples=(
        Example(
            "torquelog wrench calibrate W-0417 --certificate C-2026-131 --on 2026-11-20 "
            "--points sample_data/wrench-results.csv --accept",
            "from a file, accepted at once",
        ),
        Example(
            "torquelog wrench calibrate W-0417 --dcc sample_data/wrench-certificate.xml",
            "from a digital calibration certificate",
        ),
    ),
)
@NUMBER
@click.option("--certificate", metavar="TEXT", help="The certificate's number.")
@click.option("--on", metavar="DATE", help="The day of the calibration.")
@click.option("--due", metavar="DATE", help="The due date on it; it can only shorten the wrench's interval.")
@click.option("--laboratory", metavar="TEXT", help="Who issued it.")
@click.option(
    "--standard", metavar="TEXT", help="What it was measured with; a tester of yours by its number."
)
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
@click.option(
    "--accept", is_flag=True, help="Accept it at once: the wrench is here, and this is what it says."
)
def calibrate(context: Context, /, number: str, **given: Any) -> Answer:
    """The file has the columns state (as-found, as-left or unchanged), direction (cw or ccw), indicated, reference,
    unit, and where given repeat, uncertainty and k. A digital certificate says all of it itself, its number, days and
    laboratory too. Without options it asks.

    Until it is accepted, here or with "wrench receive", the wrench may not be used by it.
    """
    from torquelog.cli.tool_calibrate import calibrate_tool

    return calibrate_tool(context, "wrench", number, given)


@command(
    "tested",
    short="Put a check of a wrench on a tester on record.",
    examples=(
        Example(
            'torquelog wrench tested W-0417 --tester T-5 --direction cw --reading "20 ft-lb" --reference "20.1 ft-lb" '
            '--reading "98 ft-lb" --reference "98.4 ft-lb"',
            "at both ends of its range",
        ),
        Example(
            'torquelog wrench tested W-0417 --tester T-5 --reading "60 ft-lb" --reference "55 ft-lb"',
            "it fails, and is out",
            exit=4,
        ),
    ),
)
@NUMBER
@click.option("--tester", metavar="NUMBER", required=True, help="The tester, as registered.")
@click.option("--reading", metavar="TORQUE", multiple=True, help="What the wrench showed or was set to.")
@click.option(
    "--reference", metavar="TORQUE", multiple=True, help="What the tester measured, beside each reading."
)
@click.option("--direction", metavar="cw|ccw", help="The direction, if it is told.")
@AT
@WHY
def tested(
    context: Context,
    number: str,
    tester: str,
    reading: tuple[str, ...],
    reference: tuple[str, ...],
    direction: str | None,
    at: str | None,
    why: str | None,
) -> Answer:
    """Each reading is judged against the wrench's accuracy. A wrench that is checked before use may be used for the
    rest of the day; one that fails is out, and what it did since it was last known to be good waits for a recall. A
    check that passed shortens a later recall, where it measured what failed.
    """
    from torquelog.cli.tool_tested import tested_tool

    return tested_tool(
        context, "wrench", number, tester=tester, readings=reading, references=reference, direction=direction, at=at,
        why=why,
    )  # fmt: skip


@command(
    "check",
    short="Ask whether a wrench may be used, now and for a fastener.",
    examples=(
        Example("torquelog wrench check W-0417"),
        Example("torquelog wrench check W-0417 --job J-5 --fastener tie-bolt:1", "for its setting"),
        Example("torquelog wrench check W-0402", "every reason against it", exit=3),
    ),
)
@NUMBER
@click.option("--job", "-j", metavar="JOB", help="For which job.")
@click.option("--fastener", metavar="GROUP:N", help="For which fastener of it.")
@click.option(
    "--adapter", "-a", metavar="NUMBER", multiple=True, help="An adapter in line, from the wrench outwards."
)
def check(
    context: Context, number: str, job: str | None, fastener: str | None, adapter: tuple[str, ...]
) -> Answer:
    """The same judgement as when a reading is recorded. Nothing is written."""
    from torquelog.cli.tool_show import check_tool

    return check_tool(context, "wrench", number, job=job, fastener=fastener, adapters=adapter)


@command(
    "restrict",
    short="Restrict wrenches to a part of their range or to one direction.",
    examples=(
        Example(
            'torquelog wrench restrict W-0417 --range "20..80 ft-lb" --direction cw --why "worn spring" '
            "--passphrase-stdin",
            stdin=TYPED,
        ),
    ),
    passphrase=True,
)
@NUMBERS
@click.option("--range", "span", metavar="RANGE", help='What is allowed: "20..80 ft-lb", its ends included.')
@click.option("--direction", metavar="cw|ccw", help="The only direction allowed.")
@click.option("--lift", is_flag=True, help="End every restriction, from now on.")
@WHY
@AT
def restrict(
    context: Context,
    numbers: tuple[str, ...],
    span: str | None,
    direction: str | None,
    lift: bool,
    why: str | None,
    at: str | None,
) -> Answer:
    """Quality does this, with the passphrase."""
    from torquelog.cli.tool_conditions import restrict as act

    return act(context, "wrench", numbers, span=span, direction=direction, lift=lift, why=why, at=at)
