"""One run of one command line: from words to an exit status, whatever happens on the way."""

import os
import sys
from collections.abc import Sequence
from io import StringIO
from typing import TYPE_CHECKING, Final, TextIO

import click

from torquelog.cli.answer import Answer, from_error
from torquelog.cli.command import Told
from torquelog.cli.context import Context
from torquelog.cli.render import render
from torquelog.errors import TorquelogError

if TYPE_CHECKING:
    from torquelog.clock import Clock

FAULT: Final = 1


def run(
    args: Sequence[str],
    *,
    clock: "Clock | None" = None,
    stdin: TextIO | None = None,
    stdout: TextIO | None = None,
    stderr: TextIO | None = None,
) -> int:
    """Carry out one command line and write its answer.

    Args:
        args: the words after "torquelog".
        clock: what tells the time; the computer's clock by default.
        stdin: what is read; the process's own by default, as with the other two.
        stdout: where the answer goes.
        stderr: where problems go.

    Returns:
        The exit status.
    """
    context = Context(
        clock=clock,
        stdin=stdin or sys.stdin or StringIO(),
        stdout=stdout or sys.stdout or StringIO(),
        stderr=stderr or sys.stderr or StringIO(),
    )
    try:
        answer = answer_to(context, list(args))
        return written(context, answer)
    except KeyboardInterrupt:
        return interrupted().exit
    finally:
        context.close()


def answer_to(context: Context, args: list[str]) -> Answer:
    """What the command answers, or what became of it."""
    try:
        return carry_out(context, args)
    except Told as told:
        answer = Answer(body=tuple(told.text.split("\n")), data=told.data)
    except TorquelogError as error:
        answer = from_error(error)
    except click.ClickException as error:
        from torquelog.cli.misuse import explained

        answer = from_error(explained(context, error))
    except KeyboardInterrupt:
        answer = from_error(interrupted())
    except Exception as error:
        from torquelog.cli.fault import explained as explained_fault

        answer = from_error(explained_fault(context, error))
    context.json = context.json or asks_json(args)
    return answer


def carry_out(context: Context, args: list[str]) -> Answer:
    """Parse the words, find the command, do it."""
    refuse_stray_bytes(args)
    from torquelog.cli.app import root

    try:
        with root.make_context("torquelog", args.copy(), obj=context) as ctx:
            answer = root.invoke(ctx)
    finally:
        if not context.stays_open:
            context.close()
    if not isinstance(answer, Answer):
        raise TypeError(f"the command {context.command!r} gave no answer")
    return answer


def written(context: Context, answer: Answer) -> int:
    """Write the answer; the exit status that the process ends with."""
    try:
        render(context, answer)
    except BrokenPipeError:
        silence(context.stdout)  # the reader had enough, as `| head` does; what was done is done
    except OSError as trouble:
        silence(context.stdout)
        say_unwritten(context, trouble)
        return answer.exit or FAULT
    except Exception as error:  # rows that are read as they are written
        from torquelog.cli.fault import explained as explained_fault

        told = error if isinstance(error, TorquelogError) else explained_fault(context, error)
        render(context, from_error(told))
        return told.exit
    return answer.exit


def silence(stream: TextIO) -> None:
    """Send what a broken stream still holds to nowhere, so that the end of the process stays quiet."""
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
    except (OSError, ValueError):
        return


def say_unwritten(context: Context, trouble: OSError) -> None:
    """Tell on standard error that the answer is lost; what was asked for is done all the same."""
    what = f"The answer could not be written: {trouble.strerror}. What was asked for has been done."
    context.json = False
    try:
        render(context, from_error(TorquelogError("output-lost", what)))
    except OSError:
        silence(context.stderr)


def interrupted() -> TorquelogError:
    """The error after Ctrl-C."""
    return TorquelogError(
        "interrupted", "Interrupted. What was being written is either on record whole or not at all."
    )


def asks_json(args: Sequence[str]) -> bool:
    """Whether `--json` stands among the words; asked where they could not be parsed to the end."""
    options = args[: args.index("--")] if "--" in args else args
    return "--json" in options


def refuse_stray_bytes(args: Sequence[str]) -> None:
    """Raise where a word holds bytes that are no text (code argument-bytes)."""
    for arg in args:
        if "\0" in arg or (not arg.isascii() and any("\ud800" <= sign <= "\udfff" for sign in arg)):
            raise TorquelogError(
                "argument-bytes",
                f'The word "{arg}" of the command line holds a byte that is not UTF-8 text.',
                hint="Type it again; if it was pasted, look at the encoding it came from.",
            )
