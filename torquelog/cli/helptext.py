"""The layout of help: purpose, examples, usage, details, then what may follow. As wide as 80 columns at most."""

from collections.abc import Sequence
from typing import Final, TypeAlias

import click

from torquelog.cli.context import Context
from torquelog.cli.layout import facts
from torquelog.cli.text import wrapped

WIDTH: Final = 80

Rows: TypeAlias = Sequence[tuple[str, str]]


def help_text(
    ctx: click.Context, short: str, examples: Rows, details: str, sections: Sequence[tuple[str, Rows]]
) -> str:
    """The help of a command or a group.

    Args:
        ctx: the command that is asked about.
        short: what it is for, in one sentence.
        examples: command lines that work, each with a note; shown before anything else.
        details: its docstring.
        sections: headings, each with words and what they mean.
    """
    width = width_of(ctx)
    parts = [wrapped(short, width), example_lines(examples), wrapped(usage(ctx), width, indent=4)]
    parts += [wrapped(paragraph, width, indent=0) for paragraph in paragraphs(details)]
    parts += [
        [f"{title}:", *facts(rows, width)] for title, rows in [*sections, ("Options", options(ctx))] if rows
    ]
    return "\n\n".join("\n".join(part) for part in parts if part)


def width_of(ctx: click.Context) -> int:
    """The width of help: the terminal's, where that is narrower than 80 columns."""
    context = ctx.find_object(Context)
    return min(WIDTH, context.width or WIDTH) if context is not None else WIDTH


def example_lines(examples: Rows) -> list[str]:
    """The examples, each line unbroken so that it can be pasted."""
    if not examples:
        return []
    lines = ["Examples:"]
    for line, note in examples:
        lines += [f"  {line}", f"      {note}"] if note else [f"  {line}"]
    return lines


def usage(ctx: click.Context) -> str:
    """How the command goes, in one line."""
    return " ".join(["Usage:", ctx.command_path, *ctx.command.collect_usage_pieces(ctx)])


def paragraphs(details: str) -> list[str]:
    """A docstring's paragraphs, each as one line."""
    return [" ".join(part.split()) for part in details.split("\n\n") if part.strip()]


def options(ctx: click.Context) -> list[tuple[str, str]]:
    """The options of a command: how each is typed, and what it does."""
    shown = [
        option for option in ctx.command.params if isinstance(option, click.Option) and not option.hidden
    ]
    return [(typed(option, ctx), option.help or "") for option in shown]


def typed(option: click.Option, ctx: click.Context) -> str:
    """How an option is typed: "-w, --wrench NUMBER"."""
    names = ", ".join(sorted(option.opts, key=len))
    others = " / ".join(option.secondary_opts)
    words = f"{names} / {others}" if others else names
    return words if option.is_flag else f"{words} {option.make_metavar(ctx)}"
