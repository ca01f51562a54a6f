"""`verify` and `checkpoint`: does the record hold, and a line to keep so that one can tell later."""

from shlex import quote
from typing import TYPE_CHECKING, Final

import click

from torquelog.cli import words
from torquelog.cli.answer import Answer, Json, Problem
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context, is_terminal, short_path
from torquelog.cli.progress import Progress
from torquelog.cli.render import Page, write_lines
from torquelog.cli.signing import open_for, signed_in
from torquelog.errors import STORAGE, UNVERIFIED, TorquelogError

if TYPE_CHECKING:
    from torquelog.book.verified import Chain, Report
    from torquelog.ledger.checkpoint import Checkpoint

KEEP: Final = "Keep it where the record is not: in a mail, on paper, on another computer."


@command(
    "verify",
    short="Check that nothing on record was changed, lost or misjudged.",
    examples=(
        Example("torquelog verify"),
        Example("torquelog verify --checkpoint kept.json", "compares it with a line kept elsewhere"),
        Example("torquelog verify --since-checkpoint", "quicker, and says what it did not look at"),
    ),
)
@click.option(
    "--checkpoint", "kept", metavar="FILE", help='A line that "torquelog checkpoint" gave; - reads it.'
)
@click.option(
    "--since-checkpoint",
    is_flag=True,
    help="Look at signatures and judgements from the last checkpoint on only.",
)
def verify(context: Context, kept: str | None, since_checkpoint: bool) -> Answer:
    """Every entry is checked: its form, its link to the one before, its signature, and whether its signer had the
    authority. Every reading is judged again, and every register is compared with what the entries give. Nothing
    is written, and no passphrase is needed.

    That entries were cut off at the end, or an older copy put back, shows only against a checkpoint that was kept
    elsewhere, or at the sign-in of somebody who saw more.
    """
    from torquelog.book.verification import verify_file
    from torquelog.cli.files import read_text

    line = read_text(context, kept, largest=1 << 16) if kept else None
    path = context.database()
    report, checkpoint, wrong = verify_file(
        path, line, Progress(context, "entries"), since_checkpoint=since_checkpoint
    )
    context.station, context.ledger = report.station, report.chains[0].identity if report.chains else ""
    return verified(report, checkpoint, wrong, short_path(path))


def verified(
    report: "Report", checkpoint: "Checkpoint | None", wrong: TorquelogError | None, path: str
) -> Answer:
    """The answer to a verification."""
    problems = tuple(Problem(each.code, named(each.entry, each.message)) for each in report.findings)
    if wrong is not None:
        problems += (Problem(wrong.code, wrong.message, wrong.hint),)
    if report.newer:
        problems += (
            Problem(
                "newer-entry",
                f"From {report.newer} on it holds entries that only a newer torquelog understands. Links and "
                "signatures were checked to the end, authority and judgements up to there.",
                "Use the newer torquelog.",
            ),
        )
    failed = bool(report.findings) or wrong is not None
    return Answer(
        headline=headline(report, path, failed=failed),
        facts=(
            *((chain.station, stands(chain)) for chain in report.chains),
            *checked(report),
            *passed_over(report),
            *against(checkpoint),
        ),
        problems=problems,
        next=() if failed or report.newer else ("torquelog checkpoint --out FILE   to be kept elsewhere",),
        data=data(report, checkpoint),
        exit=UNVERIFIED if failed else STORAGE if report.newer else 0,
    )


def named(entry: str, message: str) -> str:
    """What is wrong, with the entry it is about in front."""
    return f"{entry}: {message}" if entry else message


def headline(report: "Report", path: str, *, failed: bool) -> str:
    """The answer in a sentence."""
    if failed:
        first = report.findings[0].entry if report.findings else ""
        return f"The record does not hold at {first}." if first else "The record does not hold."
    if report.newer:
        return f"The record holds up to {report.newer}, as far as this program can tell."
    total = sum(chain.through for chain in report.chains)
    signatures = f"every signature from {report.since} on" if report.since else "every signature"
    return f"The record holds: {words.count(total, 'entry')}, {signatures} and every link in order."


def stands(chain: "Chain") -> str:
    """How far a chain stands."""
    if chain.through == 0:
        return "nothing of it stands"
    through = f"1 to {words.number(chain.through)}"
    more = f" of {words.number(chain.held)}" if chain.through < chain.held else ""
    return f"{through}{more}   identity {chain.identity[:16]}…   head {chain.digest[:16]}…"


def checked(report: "Report") -> list[tuple[str, str]]:
    """What else was checked, where everything was."""
    if not report.compared:
        return []
    told = [("Judged again", f"{words.count(report.judged, 'reading')}, each as on record")]
    if report.stopped:
        what = "what those stations had taken in by then does not lie here"
        told.append(
            ("Not judged", f"{words.listing([f'{each} and later' for each in report.stopped])}: {what}")
        )
    if report.holds:
        told.append(("Registers", "as the entries give them"))
    return told


def passed_over(report: "Report") -> list[tuple[str, str]]:
    """What was not looked at."""
    if not report.since:
        return []
    told = f"signatures, authority and judgements before {report.since}; links and registers were, everywhere"
    return [("Not looked at", told)]


def against(checkpoint: "Checkpoint | None") -> list[tuple[str, str]]:
    """What the record was compared with."""
    if checkpoint is None:
        return []
    from torquelog.ledger.form import reference

    name = reference(checkpoint.station, checkpoint.number)
    return [("Checkpoint", f"{name} of {checkpoint.recorded_at[:10]}, by {checkpoint.signer}: still here")]


def data(report: "Report", checkpoint: "Checkpoint | None") -> dict[str, Json]:
    """A verification for programs."""
    return {
        "holds": report.holds,
        "chains": [dict(chain._asdict()) for chain in report.chains],
        "judged": report.judged,
        "compared": report.compared,
        "findings": [dict(finding._asdict()) for finding in report.findings],
        "newer": report.newer or None,
        "since": report.since or None,
        "not_judged_from": list(report.stopped),
        "checkpoint": None if checkpoint is None else dict(checkpoint._asdict()),
    }


@command(
    "checkpoint",
    short="Sign a line that shows later how far the record had come.",
    examples=(
        Example("torquelog checkpoint", "writes the line to standard output"),
        Example("torquelog checkpoint --out today.json"),
    ),
)
@click.option("--out", metavar="FILE", help="Write the line into this file.")
def checkpoint(context: Context, out: str | None) -> Answer:
    """Kept where the record is not, the line proves that nothing up to it was changed, cut off, or put back to an
    older copy: torquelog verify --checkpoint FILE
    """
    from torquelog.book.checkpointing import make
    from torquelog.cli.files import demand_place, write_file
    from torquelog.ledger.form import reference

    if out is not None:
        demand_place(context, out, replace=False)
    with open_for(context, "write") as book:
        made = make(book, signed_in(context, book))
        data: dict[str, Json] = {
            "entry": made.reference,
            "line": made.line,
            "checkpoint": dict(made.checkpoint._asdict()),
        }
        if out is not None:
            write_file(out, f"{made.line}\n".encode(), replace=False)
            name = reference(book.station, made.checkpoint.number)
            return Answer(
                headline=f"A checkpoint of {name} is written to {out}.",
                body=(KEEP,),
                next=(f"torquelog verify --checkpoint {quote(out)}",),
                data=data,
            )
        if not context.json:
            context.stdout.write(made.line + "\n")
            context.stdout.flush()
        if is_terminal(context.stdout) and not context.json:
            write_lines(context.stderr, ["", *Page(context.stderr).prose(KEEP)])
        return Answer(data=data, written=not context.json)
