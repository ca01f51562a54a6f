"""Writes the pages for `man` into docs/man/, one a command, made from the commands: python -m tests.project.make_man

They are installed below share/man/man1, so that `man torquelog-record` finds what `torquelog record --help` tells. Tests
say when a page is not what its command is.
"""

from collections.abc import Iterator, Sequence
from typing import Final

import click

from tests.project.make_reference import EXITS
from tests.project.source import ROOT
from torquelog import __version__
from torquelog.cli.app import root
from torquelog.cli.command import Command, Example
from torquelog.cli.group import Group
from torquelog.cli.helptext import paragraphs, typed

FOLDER: Final = ROOT / "docs" / "man"

DATE: Final = "2026-11-25"
"""The day of the pages' form; what they tell is as old as their version."""

SAFETY: Final = (
    "torquelog keeps the record. It gives no torque values: these come from your approved data. Closing a job releases "
    "nothing to service."
)
ENVIRONMENT: Final = (
    ("TORQUELOG_DB", "The file of the record, where --db does not name another one."),
    ("NO_COLOR", "Set to anything: no colours."),
)


def pages() -> dict[str, str]:
    """Every page by its file's name."""
    return {f"{name}.1": page for name, page in _pages(root, None)}


def _pages(command: click.Command, parent: click.Context | None) -> Iterator[tuple[str, str]]:
    ctx = click.Context(command, parent=parent, info_name=command.name)
    yield _name(ctx), page(ctx)
    if isinstance(command, Group):
        for word in command.list_commands(ctx):
            below = command.get_command(ctx, word)
            assert below is not None
            yield from _pages(below, ctx)


def _name(ctx: click.Context) -> str:
    return ctx.command_path.replace(" ", "-")


def page(ctx: click.Context) -> str:
    """One page."""
    command = ctx.command
    assert isinstance(command, Command | Group)
    short = command.short
    lines = [
        '.\\" Made by python -m tests.project.make_man from the command; change that, not this.',
        f'.TH {plain(_name(ctx).upper())} 1 {DATE} "torquelog {__version__}" "torquelog"',
        ".SH NAME",
        f"{plain(_name(ctx))} \\- {text(short[0].lower() + short[1:].rstrip('.'))}",
        *_synopsis(ctx),
        ".SH DESCRIPTION",
        text(short),
        *_details(command),
        *_commands(ctx),
        *_options(ctx),
        *_examples(command.examples),
        *_last(ctx),
    ]
    return "\n".join(lines) + "\n"


def _synopsis(ctx: click.Context) -> list[str]:
    words = " ".join(ctx.command.collect_usage_pieces(ctx))
    return [".SH SYNOPSIS", f".B {plain(ctx.command_path)}", plain(words)]


def _details(command: click.Command) -> Iterator[str]:
    for paragraph in paragraphs(getattr(command, "details", "")):
        yield ".PP"
        yield text(paragraph)


def _commands(ctx: click.Context) -> Iterator[str]:
    command = ctx.command
    if not isinstance(command, Group):
        return
    for title, entries in command.sections:
        yield f'.SH "{text(title.upper())}"'
        for word, entry in entries.items():
            yield from (".TP", f".B {plain(word)}", text(entry.help))


def _options(ctx: click.Context) -> Iterator[str]:
    options = [each for each in ctx.command.params if isinstance(each, click.Option) and not each.hidden]
    if options:
        yield ".SH OPTIONS"
    for each in options:
        yield from (".TP", f".B {plain(typed(each, ctx))}", text(each.help or ""))


def _examples(examples: Sequence[Example]) -> Iterator[str]:
    if examples:
        yield ".SH EXAMPLES"
    for number, each in enumerate(examples):
        if number:
            yield ".PP"
        if each.note:
            yield text(f"{each.note[0].upper()}{each.note[1:]}:")
        yield from (".RS 4", ".nf", plain(each.line), ".fi", ".RE")


def _last(ctx: click.Context) -> Iterator[str]:
    yield '.SH "EXIT STATUS"'
    for status, meaning in EXITS:
        yield from (".TP", f".B {status}", text(meaning))
    yield ".SH ENVIRONMENT"
    for name, meaning in ENVIRONMENT:
        yield from (".TP", f".B {name}", text(meaning))
    if ctx.parent is None:
        yield from (".SH SAFETY", text(SAFETY))
    yield '.SH "SEE ALSO"'
    yield ",\n".join(f".BR {plain(name)} (1)" for name in _others(ctx))


def _others(ctx: click.Context) -> list[str]:
    """The pages above and below one, and beside it."""
    if isinstance(ctx.command, Group):
        below = [f"{_name(ctx)}-{word}" for word in ctx.command.list_commands(ctx)]
        return [*([_name(ctx.parent)] if ctx.parent else []), *below]
    assert ctx.parent is not None
    return [_name(ctx.parent)]


def plain(words: str) -> str:
    """Words that are typed: every sign stands for itself."""
    return _safe(words.replace("\\", "\\e").replace("-", "\\-").replace("'", "\\(aq").replace("`", "\\(ga"))


def text(words: str) -> str:
    """Words that are read; whatever has a hyphen in it stays whole and can be copied."""
    return _safe(words.replace("\\", "\\e").replace("-", "\\-").replace("`", "\\(ga"))


def _safe(words: str) -> str:
    return f"\\&{words}" if words[:1] in (".", "'") else words


def main() -> None:
    """Write every page, and take away those of commands that are gone."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    made = pages()
    for name, content in made.items():
        (FOLDER / name).write_text(content, encoding="utf-8")
    for path in FOLDER.glob("*.1"):
        if path.name not in made:
            path.unlink()


if __name__ == "__main__":
    main()
