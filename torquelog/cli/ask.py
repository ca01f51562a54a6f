"""Questions to a person. Asked on a terminal only; elsewhere an error names the option that answers."""

import sys
from collections.abc import Callable, Sequence
from typing import TypeVar

from torquelog.cli.context import Context
from torquelog.cli.reading import next_line
from torquelog.cli.render import Page
from torquelog.errors import TorquelogError

Kind = TypeVar("Kind")

LONGEST = 4096
"""Bytes of one answer that are read; whoever types more has pasted something else."""


def demand(context: Context, option: str, what: str) -> None:
    """Raise unless a person can be asked (code needs-option)."""
    if not context.can_ask:
        raise TorquelogError(
            "needs-option",
            f"{what} is needed, and nobody is here to be asked.",
            hint=f"Name it with {option}.",
        )


def text(
    context: Context,
    question: str,
    *,
    option: str,
    read: Callable[[str], Kind],
    default: str | None = None,
    what: str = "",
) -> Kind:
    """Ask until the answer can be read.

    Args:
        context: the surroundings.
        question: what is asked, without its colon: "Smallest graduation".
        option: what answers it on the command line: "--graduation", or "READING" for a plain word.
        read: turns the answer into its value; its `TorquelogError` is shown and the question asked again.
        default: what Enter alone means, shown in [ ]; "" lets it mean nothing; None asks again.
        what: what is missing where nobody can be asked; by default the question.

    Raises:
        TorquelogError: needs-option, input-ended.
    """
    demand(context, option, what or question)
    prompt = f"{question} [{default}]: " if default else f"{question}: "
    while True:
        answer = line(context, prompt).strip()
        if not answer and default is None:
            continue
        try:
            return read(answer or default or "")
        except TorquelogError as error:
            say(context, f"{error.message} {error.hint}".strip())


def choice(
    context: Context, question: str, choices: Sequence[str], *, option: str, default: str | None = None
) -> str:
    """Ask for one of several words; its first letters are enough where they fit one alone."""
    return text(context, question, option=option, read=one_of(choices), default=default)


def one_of(choices: Sequence[str]) -> Callable[[str], str]:
    """What reads one of several words, from its first letters where they fit one alone."""

    def read(answer: str) -> str:
        fitting = [word for word in choices if word.startswith(answer.lower())]
        exact = [word for word in choices if word == answer.lower()]
        if len(exact or fitting) != 1:
            raise TorquelogError("argument", f"Type one of {', '.join(choices)}.")
        return (exact or fitting)[0]

    return read


def yes_no(context: Context, question: str, *, option: str) -> bool:
    """Ask for y or n. Enter alone is no answer: nothing is agreed to by it."""
    return choice(context, f"{question} y/n", ("yes", "no"), option=option) == "yes"


def secret(context: Context, question: str, *, twice: bool = False) -> str:
    """Ask for a passphrase without showing it; `--passphrase-stdin` takes the next line of standard input.

    Args:
        context: the surroundings; it will keep the passphrase out of files of details.
        question: what is asked, without its colon.
        twice: whether to ask again until both are the same, for a new one.

    Raises:
        TorquelogError: needs-option, input-ended.
    """
    if context.passphrase_stdin:
        return context.hide(read_line(context))
    demand(context, "--passphrase-stdin", question)
    while True:
        answer = context.hide(unseen(context, f"{question} (not shown): "))
        if not twice or answer == unseen(context, "The same again: "):
            return answer
        say(context, "The two were not the same. Once more.")


def say(context: Context, message: str) -> None:
    """Show a line between two questions."""
    context.stdout.write("\n".join(Page(context.stdout).prose(message)) + "\n")
    context.stdout.flush()


def line(context: Context, prompt: str) -> str:
    """Show the prompt and read a line (codes input-ended, argument)."""
    context.stdout.write(shown(context, prompt))
    context.stdout.flush()
    return read_line(context)


def shown(context: Context, prompt: str) -> str:
    """A prompt as the terminal shows it: broken between its words, and the answer behind its last line."""
    page = Page(context.stdout)
    asked = prompt.rstrip(" ")
    return "\n".join(page.prose(asked)) + prompt[len(asked) :]


def read_line(context: Context) -> str:
    """The next line of standard input, without its end (codes input-ended, argument)."""
    content = next_line(context.stdin, LONGEST + 1)
    if not content:
        raise TorquelogError("input-ended", "The input ended before everything was answered.")
    if len(content) > LONGEST:
        raise TorquelogError("argument", f"The line read is longer than {LONGEST} bytes.")
    try:
        return content.decode(context.stdin.encoding or "utf-8").rstrip("\r\n")
    except UnicodeDecodeError as error:
        raise TorquelogError(
            "argument", "The line read holds a byte that is not text in this encoding."
        ) from error


def unseen(context: Context, prompt: str) -> str:
    """Read a line that the terminal does not show."""
    if context.stdin is not sys.stdin:
        return line(context, prompt)
    from getpass import getpass

    try:
        return getpass(shown(context, prompt))
    except EOFError as error:
        raise TorquelogError("input-ended", "The input ended before everything was answered.") from error
