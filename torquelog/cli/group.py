"""Groups of commands that import a command only when it is asked for."""

from collections.abc import Callable, Mapping, Sequence
from importlib import import_module
from typing import cast

import click

from torquelog.cli.answer import Answer
from torquelog.cli.command import Example, command_name, common_options, note_command
from torquelog.cli.context import Context
from torquelog.cli.helptext import help_text
from torquelog.cli.table import Branch, Entry, paths
from torquelog.errors import TorquelogError

Sections = Sequence[tuple[str, Mapping[str, Entry | Branch]]]


class Group(click.Group):
    """A word that needs another one after it. Its help is made from the table alone."""

    def __init__(
        self,
        name: str,
        *,
        short: str,
        sections: Sections,
        callback: Callable[..., Answer | None],
        examples: Sequence[Example] = (),
    ) -> None:
        super().__init__(
            name,
            short_help=short,
            add_help_option=False,
            params=common_options(first=name == "torquelog"),
            invoke_without_command=True,
            subcommand_metavar="COMMAND …",
            callback=callback,
        )
        self.short = short
        self.sections = sections
        self.examples = tuple(examples)
        self.table = {word: entry for _, entries in sections for word, entry in entries.items()}

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Parse what stands before the next word."""
        note_command(ctx)
        return super().parse_args(ctx, args)

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The words that may follow, in the order of the help."""
        return list(self.table)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name; imports its module."""
        entry = self.table.get(cmd_name)
        if entry is None:
            return None
        if isinstance(entry, Branch):
            sections = [("Commands", entry.commands)]
            return Group(cmd_name, short=entry.help, sections=sections, callback=need_word)
        return load(entry)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command, or say which one may have been meant."""
        if args[0] not in self.table and not ctx.resilient_parsing:
            raise unknown_command(command_name(ctx), args[0], self.table)
        return super().resolve_command(ctx, args)

    def get_help(self, ctx: click.Context) -> str:
        """The help: purpose, examples, usage, commands, options."""
        examples = [(example.line, example.note) for example in self.examples]
        widest = max(map(len, self.table), default=0)
        sections = [
            (title, [(word.ljust(widest), entry.help) for word, entry in entries.items()])
            for title, entries in self.sections
        ]
        return help_text(ctx, self.short, examples, "", sections)


def load(entry: Entry) -> click.Command:
    """Import the module of a command and take the command from it."""
    module = import_module(f"torquelog.cli.{entry.module}")
    return cast(click.Command, getattr(module, entry.attribute))


@click.pass_context
def need_word(ctx: click.Context) -> None:
    """Say which words may follow, where none did."""
    if ctx.invoked_subcommand is None and isinstance(ctx.command, Group):
        words = ", ".join(ctx.command.table)
        raise TorquelogError(
            "argument",
            f'"{command_name(ctx)}" needs one more word: {words}.',
            hint=f"{ctx.command_path} --help",
        )


def alone(answer: Callable[[Context], Answer]) -> Callable[..., Answer | None]:
    """A callback that answers where no command was named."""

    @click.pass_context
    def callback(ctx: click.Context) -> Answer | None:
        return answer(ctx.ensure_object(Context)) if ctx.invoked_subcommand is None else None

    return callback


def unknown_command(path: str, word: str, table: Mapping[str, Entry | Branch]) -> TorquelogError:
    """The error for a word that is no command, with those that are close to it."""
    from difflib import get_close_matches

    place = f"torquelog {path}".strip()
    same = [name for name, _ in paths() if name.split()[-1] == word] if not path else []
    close = same or [f"{path} {match}".strip() for match in get_close_matches(word, table, n=3)]
    meant = " or ".join(f'"torquelog {name}"' for name in close)
    why = f"Did you mean {meant}?" if close else ""
    return TorquelogError("argument", f'"{place}" has no command "{word}".', why=why, hint=f"{place} --help")
