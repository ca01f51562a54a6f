"""Our kind of click command: common options anywhere, examples first, negative numbers as values.

A command is a function that takes the `Context` and its own parameters and returns an `Answer`. Its
docstring is what the help tells after the examples, so it is written for the person who types the command:

    @command("sequence", short="Show the order in which to tighten a bolt circle.", examples=(Example("…"),))
    @click.argument("count")
    def sequence(context: Context, count: str) -> Answer:
        \"\"\"The order is the one of your card; …\"\"\"
"""

import re
from collections.abc import Callable, Sequence
from inspect import cleandoc
from typing import Concatenate, Final, NamedTuple, ParamSpec

import click

from torquelog.cli.answer import Answer
from torquelog.cli.context import Context
from torquelog.cli.helptext import help_text

Parameters = ParamSpec("Parameters")

MASK: Final = "\0"
"""Stands before an argument such as "-5" while click parses; no argument can hold it by itself."""

NEGATIVE: Final = re.compile(r"-[0-9.]")


class Example(NamedTuple):
    """A command line that works, shown first in the help and run by the tests.

    Attributes:
        line: what is typed, from "torquelog" on.
        note: what it does, a few words; may be empty.
        exit: the exit status it ends with.
        stdin: what it reads, where it reads its standard input.
    """

    line: str
    note: str = ""
    exit: int = 0
    stdin: str = ""


class Told(Exception):  # noqa: N818 - it is no error
    """Ends the parsing: somebody wants to read this text, such as the help, and nothing else."""

    def __init__(self, name: str, content: str, text: str = "") -> None:
        super().__init__()
        self.text = text or content
        self.data = {name: content}


def joined(words: Sequence[str]) -> str:
    """One quantity that was typed as several words, "26.5" "ft-lb", as one text."""
    return " ".join(words)


def mask(arguments: Sequence[str]) -> list[str]:
    """The arguments with each that begins like a negative number made to look like a plain word."""
    return [MASK + argument if NEGATIVE.match(argument) else argument for argument in arguments]


def unmask(value: object) -> object:
    """The value as it was typed; goes through tuples."""
    if isinstance(value, str):
        return unmasked(value)
    if isinstance(value, tuple):
        return tuple(unmask(part) for part in value)
    return value


def unmasked(text: str) -> str:
    """The text as it was typed."""
    return text.replace(MASK, "")


def kept_option(names: Sequence[str], attribute: str, text: str, metavar: str | None = None) -> click.Option:
    """An option that puts its value into our context, wherever on the line it stands."""

    def keep(ctx: click.Context, _parameter: click.Parameter, value: object) -> object:
        context = ctx.find_object(Context)
        if value and context is not None:
            setattr(context, attribute, unmask(value))
        return value

    flag = True if metavar is None else None
    return click.Option(names, is_flag=flag, metavar=metavar, expose_value=False, callback=keep, help=text)


def show_help(ctx: click.Context, _parameter: click.Parameter, value: bool) -> None:
    """Stop here and show the help of this command."""
    if value and not ctx.resilient_parsing:
        raise Told("help", ctx.get_help())


def clock_option(*, hidden: bool = True) -> click.Option:
    """`--clock-ok`, which every command takes and only the help of `torquelog` shows."""
    text = "This computer's clock is right, however long ago the last entry was."
    option = kept_option(["--clock-ok"], "clock_ok", text)
    option.hidden = hidden
    return option


def common_options(*, first: bool = False) -> list[click.Parameter]:
    """The options that stand before or after every command; `first` for those of `torquelog` itself."""
    return [
        kept_option(["--db"], "db", "The file of the record, instead of the usual one.", "PATH"),
        kept_option(["--as", "as_"], "as_person", "Act as this person.", "PERSON"),
        kept_option(["--json"], "json", "Answer in JSON, for programs."),
        clock_option(hidden=not first),
        click.Option(
            ["-h", "--help"],
            is_flag=True,
            is_eager=True,
            expose_value=False,
            callback=show_help,
            help="Show this text.",
        ),
    ]


def csv_option() -> click.Option:
    """`--csv`, for commands that answer with a list."""
    return kept_option(["--csv"], "csv", "Write the list as CSV, for spreadsheets.")


def passphrase_option() -> click.Option:
    """`--passphrase-stdin`, for commands that need a passphrase."""
    text = "Read passphrases from standard input, one line each, the signer's first."
    return kept_option(["--passphrase-stdin"], "passphrase_stdin", text)


class Command(click.Command):
    """One command of torquelog.

    Attributes:
        short: the short help, one sentence.
        details: what its docstring tells.
        examples: shown first, and run by the tests.
    """

    def __init__(
        self,
        name: str,
        *,
        short: str,
        details: str,
        examples: Sequence[Example],
        callback: Callable[..., Answer],
        params: list[click.Parameter],
    ) -> None:
        super().__init__(
            name, short_help=short, help=details, add_help_option=False, callback=callback, params=params
        )
        self.short = short
        self.details = details
        self.examples = tuple(examples)

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Parse with negative numbers taken as values."""
        note_command(ctx)
        rest = super().parse_args(ctx, mask(args))
        ctx.params = {name: unmask(value) for name, value in ctx.params.items()}
        return rest

    def get_help(self, ctx: click.Context) -> str:
        """The help: purpose, examples, usage, details, options."""
        examples = [(example.line, example.note) for example in self.examples]
        return help_text(ctx, self.short, examples, self.details, [])


def note_command(ctx: click.Context) -> None:
    """Tell our context which command is being read, for the envelope and for errors."""
    context = ctx.find_object(Context)
    if context is not None:
        context.command = command_name(ctx)


def command_name(ctx: click.Context) -> str:
    """What was typed after "torquelog", such as "wrench add"."""
    return ctx.command_path.partition(" ")[2]


def command(
    name: str, *, short: str, examples: Sequence[Example] = (), csv: bool = False, passphrase: bool = False
) -> Callable[[Callable[Concatenate[Context, Parameters], Answer]], Command]:
    """Make a function a command; it gets the `Context` first and returns an `Answer`.

    Args:
        name: the last word of the command.
        short: the short help; the same sentence stands in `table`.
        examples: command lines that work.
        csv: whether the answer's table can be had as CSV.
        passphrase: whether it may ask for a passphrase, and so takes `--passphrase-stdin`.
    """

    def make(function: Callable[Concatenate[Context, Parameters], Answer]) -> Command:
        own: list[click.Parameter] = list(reversed(getattr(function, "__click_params__", [])))
        extra = ([csv_option()] if csv else []) + ([passphrase_option()] if passphrase else [])
        return Command(
            name,
            short=short,
            details=cleandoc(function.__doc__ or ""),
            examples=examples,
            callback=click.pass_obj(function),
            params=[*own, *extra, *common_options()],
        )

    return make
