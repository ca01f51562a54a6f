"""Writes the parts of the reference that are made from the program: commands, codes, entries and files.

`python -m tests.project.make_reference` writes them, with them the pages for `man` (docs/man) and the list of options
that completion offers (torquelog/cli), and takes what is new into the list of what is published;
tests say when either is out of date.
"""

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Final

import click

from tests.project import published
from tests.project.reference_api import api_page
from tests.project.reference_entries import entries_page
from tests.project.reference_files import files_page
from tests.project.reference_views import views_page
from tests.project.source import ROOT
from torquelog.cli.app import root
from torquelog.cli.group import Group, load
from torquelog.cli.table import paths
from torquelog.errors import CODES
from torquelog.rules.disposition import MEANINGS
from torquelog.rules.grounds import GROUNDS, REMARKS
from torquelog.rules.recall_codes import CAUSES, GAPS, REASONS
from torquelog.rules.review import QUESTIONS

FOLDER: Final = ROOT / "docs" / "reference"
OPTIONS: Final = ROOT / "torquelog" / "cli" / "completion_options.txt"
MADE: Final = "Made by `python -m tests.project.make_reference`; change the program, not this page."

EXITS: Final = (
    (0, "Done; also a reading that awaits confirmation."),
    (1, "An error of another kind; an unexpected one names the file that holds its details."),
    (
        2,
        "The command line or a value on it is wrong, something needed is missing, not found, or there already.",
    ),
    (3, "Refused by a rule. An attempted reading is then on record as a refusal."),
    (4, "Recorded, but outside its limits."),
    (5, "The record does not verify, or a part of it is not what it should be."),
    (6, "Storage: busy too long, full, read-only, missing, or not a torquelog database."),
    (130, "Interrupted by Ctrl-C: what was being written is on record whole or not at all."),
)

ENVELOPE: Final = {
    "torquelog": "the version of the envelope, 1",
    "command": "the command, such as `wrench add`",
    "ok": "whether `exit` is 0",
    "exit": "the exit status",
    "station": "the station's code; empty where no record was opened",
    "ledger": "the record's identity, 64 hex digits; empty where no record was opened",
    "data": "what the command answers, by command; null where it could not",
    "problems": "a list of objects with `code`, `message` and `hint`",
    "remarks": "a list of objects with `code` and `message`",
    "line": "only with many lines: which of them is answered, from 1",
}


def helps(command: click.Command, parent: click.Context | None = None) -> Iterator[tuple[str, str]]:
    """The full name and the help of a command and of all below it."""
    ctx = click.Context(command, parent=parent, info_name=command.name)
    yield ctx.command_path, command.get_help(ctx)
    if isinstance(command, Group):
        for word in command.list_commands(ctx):
            below = command.get_command(ctx, word)
            assert below is not None
            yield from helps(below, ctx)


def commands_page() -> str:
    """The page of all commands: what each one tells with --help."""
    parts = ["# Commands", MADE, "Every command tells the same with `--help`."]
    for name, text in helps(root):
        parts += [f"## {name}", f"```text\n{text}\n```"]
    return "\n\n".join(parts) + "\n"


def codes_page() -> str:
    """The page of all codes with their exit status, and of the statuses."""
    exits = [f"| {status} | {meaning} |" for status, meaning in EXITS]
    codes = [f"| `{code}` | {status} | {meaning} |" for code, (status, meaning) in sorted(CODES.items())]
    return "\n".join(
        [
            "# Exit statuses and codes",
            "",
            MADE,
            "",
            "Every command ends with one of these statuses. With many lines (`--lines`, imports) it is the first",
            "of 6, 5, 1, 2, 3, 4, 0 that one of them had.",
            "",
            "| exit | meaning |",
            "| ---: | --- |",
            *exits,
            "",
            "A problem has a code that never changes. It stands in the envelope of `--json` under `problems`.",
            "",
            "| code | exit | meaning |",
            "| --- | ---: | --- |",
            *codes,
            "",
            "## Grounds",
            "",
            "Why a tool is refused. Every ground that applies is told, in `grounds` and on the screen.",
            "",
            *code_rows(GROUNDS),
            "",
            "## Remarks",
            "",
            "What an answer bears beside its outcome. A remark refuses nothing.",
            "",
            *code_rows(REMARKS),
            "",
            "## Recalls",
            "",
            "What calls for a recall (`pending`):",
            "",
            *code_rows(CAUSES),
            "",
            "Why the verdict on an item is what it is (`reason`, `reasons`):",
            "",
            *code_rows(REASONS),
            "",
            "What a recall does not cover (`not_covered`):",
            "",
            *code_rows(GAPS),
            "",
            "What is decided about an item (`--decision`):",
            "",
            *code_rows(MEANINGS),
            "",
            "## Reviews",
            "",
            "What `torquelog review` asks (`code`):",
            "",
            *code_rows(QUESTIONS),
            "",
            "## The envelope",
            "",
            "With `--json` one object is printed and nothing else, whatever happens. Numbers that were measured or",
            "computed are text, beside a `unit`; an open limit is null.",
            "",
            "| key | what it holds |",
            "| --- | --- |",
            *(f"| `{key}` | {meaning} |" for key, meaning in ENVELOPE.items()),
            "",
        ]
    )


def code_rows(codes: Mapping[str, str]) -> list[str]:
    """A table of codes and their meanings."""
    return [
        "| code | meaning |",
        "| --- | --- |",
        *(f"| `{code}` | {codes[code]} |" for code in sorted(codes)),
    ]


PAGES: Final[dict[str, Callable[[], str]]] = {
    "commands.md": commands_page,
    "codes.md": codes_page,
    "entries.md": lambda: entries_page(MADE),
    "files.md": lambda: files_page(MADE),
    "api.md": lambda: api_page(MADE),
    "views.md": lambda: views_page(MADE),
}


def options_text() -> str:
    """Every option that completion offers: command, option and its help, apart by tabs, a line each."""
    commands: list[tuple[str, click.Command]] = [
        ("", root),
        *((name, load(entry)) for name, entry in paths()),
    ]
    return "".join(
        f"{name}\t{option}\t{each.help or ''}\n"
        for name, command in commands
        for each in command.params
        if isinstance(each, click.Option) and not each.hidden
        for option in each.opts
        if option.startswith("--")
    )


def main(folder: Path = FOLDER) -> None:
    """Write every page, those for man, what completion offers, and the list of what is published."""
    OPTIONS.write_text(options_text(), encoding="utf-8")
    folder.mkdir(parents=True, exist_ok=True)
    for name, page in PAGES.items():
        (folder / name).write_text(page(), encoding="utf-8")
    published.take_in()
    from tests.project import make_man  # it takes the statuses from here

    make_man.main()


if __name__ == "__main__":
    main()
