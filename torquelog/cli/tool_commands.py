"""The commands that wrenches, adapters and testers have in common, made for each sort of tool."""

from typing import Final, NamedTuple

import click

from torquelog.cli.answer import Answer
from torquelog.cli.command import Command, Example, command
from torquelog.cli.context import Context
from torquelog.cli.tool_options import AT, NUMBER, NUMBERS, WHY


class Names(NamedTuple):
    """How a sort of tool is named in help: several of it, and the numbers used in its examples.

    Attributes:
        sort: wrench, adapter or tester.
        plural: several of them.
        fit: one that may be used and lies in the crib.
        out: one that is issued.
        away: one that was sent away.
        held: one in quarantine.
    """

    sort: str
    plural: str
    fit: str
    out: str
    away: str
    held: str


WRENCH: Final = Names("wrench", "wrenches", "W-0417", "W-0391", "W-0388", "W-0371")
ADAPTER: Final = Names("adapter", "adapters", "A-03", "A-05", "A-07", "A-09")
TESTER: Final = Names("tester", "testers", "T-1", "T-2", "T-3", "T-4")

TYPED: Final = "nine apples on the wing\n"


def issue_command(names: Names) -> Command:
    """`issue`, for a sort of tool."""

    @command(
        "issue",
        short=f"Hand {names.plural} out to a person or a place.",
        examples=(Example(f"torquelog {names.sort} issue {names.fit} --to TK --job J-5"),),
    )
    @NUMBERS
    @click.option("--to", metavar="PERSON|PLACE", required=True, help="Who gets it, or where it goes.")
    @click.option("--job", "-j", metavar="JOB", help="The job it is for.")
    def issue(context: Context, numbers: tuple[str, ...], to: str, job: str | None) -> Answer:
        """What may not be used is not handed out: then nothing is, and every reason is told. A word that is no
        person's id is a place.
        """
        from torquelog.cli.tool_moves import issue as act

        return act(context, names.sort, numbers, to, job)

    return issue


def return_command(names: Names) -> Command:
    """`return`, for a sort of tool."""

    @command(
        "return",
        short=f"Take {names.plural} back into the crib.",
        examples=(Example(f"torquelog {names.sort} return {names.out} --uses 12", "with uses elsewhere"),),
    )
    @NUMBERS
    @click.option("--uses", metavar="N", help="Uses while it was out that are not on record here.")
    @click.option("--place", metavar="TEXT", help="Where it is put, if not at its own place.")
    def give_back(context: Context, numbers: tuple[str, ...], uses: str | None, place: str | None) -> Answer:
        """Uses elsewhere count as cycles; those recorded here count by themselves."""
        from torquelog.cli.tool_moves import give_back as act

        return act(context, names.sort, numbers, uses, place)

    return give_back


def send_command(names: Names) -> Command:
    """`send`, for a sort of tool."""

    @command(
        "send",
        short=f"Send {names.plural} away, to a laboratory or another station.",
        examples=(Example(f'torquelog {names.sort} send {names.fit} --to "the laboratory"'),),
    )
    @NUMBERS
    @click.option("--to", metavar="TEXT", help="Where it goes.")
    @WHY
    @AT
    def send(
        context: Context, numbers: tuple[str, ...], to: str | None, why: str | None, at: str | None
    ) -> Answer:
        """It may not be used until it is received back."""
        from torquelog.cli.tool_moves import send as act

        return act(context, names.sort, numbers, to, why, at)

    return send


def receive_command(names: Names) -> Command:
    """`receive`, for a sort of tool."""

    @command(
        "receive",
        short=f"Take {names.plural} back, and accept the newest certificate.",
        examples=(Example(f"torquelog {names.sort} receive {names.away}"),),
    )
    @NUMBERS
    @WHY
    @AT
    def receive(context: Context, numbers: tuple[str, ...], why: str | None, at: str | None) -> Answer:
        """Compare the certificate with what is on record first: from this moment on the tool may be used by it.
        A certificate that leaves it outside its accuracy is not accepted.
        """
        from torquelog.cli.tool_moves import receive as act

        return act(context, names.sort, numbers, why, at)

    return receive


def retire_command(names: Names) -> Command:
    """`retire`, for a sort of tool."""

    @command(
        "retire",
        short=f"Take {names.plural} out of use for good.",
        examples=(Example(f'torquelog {names.sort} retire {names.fit} --why "worn out"'),),
    )
    @NUMBERS
    @WHY
    @AT
    def retire(context: Context, numbers: tuple[str, ...], why: str | None, at: str | None) -> Answer:
        """What it did stays on record; its number is never used again."""
        from torquelog.cli.tool_moves import retire as act

        return act(context, names.sort, numbers, why, at)

    return retire


def report_command(names: Names) -> Command:
    """`report`, for a sort of tool."""

    @command(
        "report",
        short=f"Report that {'an' if names.sort == 'adapter' else 'a'} {names.sort} was dropped, damaged, lost or found.",
        examples=(Example(f'torquelog {names.sort} report {names.fit} dropped --why "fell off the stand"'),),
    )
    @NUMBER
    @click.argument("what", metavar="WHAT")
    @WHY
    @AT
    def report(context: Context, number: str, what: str, why: str | None, at: str | None) -> Answer:
        """WHAT is dropped, overloaded, damaged, repaired, lost or found. Anybody may say so; the sooner the better.
        After all but lost and found it has to be calibrated before it is used again.
        """
        from torquelog.cli.tool_conditions import report as act

        return act(context, names.sort, number, what, why, at)

    return report


def quarantine_command(names: Names) -> Command:
    """`quarantine`, for a sort of tool."""

    @command(
        "quarantine",
        short=f"Put {names.plural} in quarantine.",
        examples=(Example(f'torquelog {names.sort} quarantine {names.fit} --why "it clicks twice"'),),
    )
    @NUMBERS
    @WHY
    @AT
    def quarantine(context: Context, numbers: tuple[str, ...], why: str | None, at: str | None) -> Answer:
        """Anybody may; quality alone releases it."""
        from torquelog.cli.tool_conditions import quarantine as act

        return act(context, names.sort, numbers, why, at)

    return quarantine


def release_command(names: Names) -> Command:
    """`release`, for a sort of tool."""

    @command(
        "release",
        short=f"Release {names.plural} from quarantine.",
        examples=(
            Example(
                f'torquelog {names.sort} release {names.held} --why "looked at" --passphrase-stdin',
                stdin=TYPED,
            ),
        ),
        passphrase=True,
    )
    @NUMBERS
    @WHY
    @AT
    def release(context: Context, numbers: tuple[str, ...], why: str | None, at: str | None) -> Answer:
        """Quality does this, with the passphrase. It counts from now on and never backwards, whatever time is told."""
        from torquelog.cli.tool_conditions import release as act

        return act(context, names.sort, numbers, why, at)

    return release


def list_command(names: Names) -> Command:
    """`list`, for a sort of tool."""

    @command(
        "list",
        short=f"List the {names.plural}, where they are and when they are due.",
        examples=(Example(f"torquelog {names.sort} list"), Example(f"torquelog {names.sort} list --csv")),
        csv=True,
    )
    def listing(context: Context) -> Answer:
        """Retired ones stay in the list."""
        from torquelog.cli.tool_lists import listing as act

        return act(context, names.sort)

    return listing


def due_command(names: Names) -> Command:
    """`due`, for a sort of tool."""

    @command(
        "due",
        short=f"Show which {names.plural} may not be used or soon may not.",
        examples=(
            Example(f"torquelog {names.sort} due"),
            Example(f'torquelog {names.sort} due --within "60 days" --csv'),
        ),
        csv=True,
    )
    @click.option("--within", metavar="PERIOD", help="How far to look ahead; 30 days if not given.")
    def due(context: Context, within: str | None) -> Answer:
        """Every reason is told, not only the first."""
        from torquelog.cli.tool_lists import due_list as act

        return act(context, names.sort, within)

    return due


def show_command(names: Names) -> Command:
    """`show`, for a sort of tool."""

    @command(
        "show",
        short=f"Show {'an' if names.sort == 'adapter' else 'a'} {names.sort}: what it is, how it stands, its life.",
        examples=(
            Example(f"torquelog {names.sort} show {names.fit}"),
            Example(f"torquelog {names.sort} show {names.fit} --as-of 2026-11-20T12:00", "as it stood then"),
        ),
        csv=True,
    )
    @NUMBER
    @click.option("--as-of", metavar="TIME", help="As it stood then, by what is known now.")
    def show(context: Context, number: str, as_of: str | None) -> Answer:
        """Certificates, where it went, what befell it; the newest first."""
        from torquelog.cli.tool_show import show_tool as act

        return act(context, names.sort, number, as_of)

    return show


def interval_command(names: Names) -> Command:
    """`interval`, for a sort of tool."""

    @command(
        "interval",
        short=f"Advise on the interval of a {names.sort}: keep, shorten, lengthen.",
        examples=(Example(f"torquelog {names.sort} interval {names.fit}"),),
        csv=True,
    )
    @NUMBER
    def interval(context: Context, number: str) -> Answer:
        """By how it was found at each calibration, and by tools like it. Too few results are said to be too few. It is
        advice: quality decides, with "limits".
        """
        from torquelog.cli.tool_interval import interval_advice as act

        return act(context, names.sort, number)

    return interval


def limits_command(names: Names) -> Command:
    """`limits`, for a sort of tool."""

    @command(
        "limits",
        short=f"Set the interval or the cycle limit of {'an' if names.sort == 'adapter' else 'a'} {names.sort}.",
        examples=(
            Example(
                f'torquelog {names.sort} limits {names.fit} --every "9 months" --why "it drifts" --passphrase-stdin',
                stdin=TYPED,
            ),
        ),
        passphrase=True,
    )
    @NUMBER
    @click.option("--every", metavar="PERIOD", help='Calibrated every: "9 months".')
    @click.option("--cycles", metavar="N", help="And after this many uses, whichever comes first.")
    @WHY
    def limits(
        context: Context, number: str, every: str | None, cycles: str | None, why: str | None
    ) -> Answer:
        """Quality does this, with the passphrase. It counts from now on and never backwards: work done before is judged
        by what was set before, also where it is told later.
        """
        from torquelog.cli.tool_interval import limits as act

        return act(context, names.sort, number, every, cycles, why)

    return limits
