"""What a half-typed word of the command line may become; asked by the shell at each press of the Tab key.

Nothing is imported that a word does not need: commands come from the table alone, options from a list that is made from
the commands, names straight from the registers. Whatever goes wrong, nothing is offered and nothing is said.
"""

import os
import sys
from collections.abc import Mapping
from typing import Final, NamedTuple

from torquelog.cli.completion_words import FLAGS, positional, value_of
from torquelog.cli.table import Branch, Entry, top

ASKED: Final = "_TORQUELOG_COMPLETE"
"""Set by the shell's function: to the name of the shell."""

LINE: Final = "_TORQUELOG_LINE"
"""The line as far as the cursor."""

BREAKS: Final = "_TORQUELOG_BREAKS"
"""The signs at which bash begins another word."""

OPTIONS: Final = os.path.join(os.path.dirname(__file__), "completion_options.txt")
"""Every option of every command with its help, a line each, made from the commands: to ask these would take longer."""

Word = tuple[str, str]
"""A word with its help, which may be empty."""


class Typed(NamedTuple):
    """A line in its parts.

    Attributes:
        command: the words of the command, as far as they are typed: ("wrench", "show").
        entry: where that command stands; nothing while it is not whole.
        arguments: what was given to it besides options.
        options: values of options, by name.
        waiting: the option whose value is being typed, or "".
        begun: the word at the cursor.
    """

    command: tuple[str, ...]
    entry: Entry | None
    arguments: tuple[str, ...]
    options: Mapping[str, str]
    waiting: str
    begun: str


def answer(environ: Mapping[str, str]) -> str:
    """The lines that the shell's function reads: `words`, or `files` where it shall offer files, then the words."""
    try:
        typed = parsed(environ.get(LINE, ""))
        kind = _kind(typed)
        if kind == "file":
            return "files\n"
        found = offered(typed, kind, environ)
    except Exception:
        return "words\n"
    cut = _cut(typed.begun, environ.get(BREAKS, "")) if environ.get(ASKED) == "bash" else 0
    return "\n".join(["words", *(f"{word[cut:]}\t{text}" for word, text in found)]) + "\n"


def parsed(line: str) -> Typed:
    """A line as far as the cursor, in its parts."""
    *before, begun = split(line)
    command: list[str] = []
    arguments: list[str] = []
    options: dict[str, str] = {}
    waiting = ""
    level: Mapping[str, Entry | Branch] | None = top()
    entry: Entry | None = None
    for word in before[1:]:
        if waiting:
            options[waiting], waiting = word, ""
        elif word.startswith("-") and not word[1:2].isdigit() and word != "--":
            name, sign, value = word.partition("=")
            if sign:
                options[name] = value
            elif name not in FLAGS:
                waiting = name
        elif entry is None and level is not None:
            found = level.get(word)
            command.append(word)
            entry, level = (found, None) if isinstance(found, Entry) else (None, _below(found))
        else:
            arguments.append(word)
    return Typed(tuple(command), entry, tuple(arguments), options, waiting, begun)


def _below(found: Entry | Branch | None) -> Mapping[str, Entry | Branch] | None:
    return found.commands if isinstance(found, Branch) else None


def split(line: str) -> list[str]:
    """The words of a line as a shell would read them, as far as they go; the last one is what is being typed."""
    words, word, quote, escaped, any_of_it = [], "", "", False, False
    for sign in line:
        if escaped:
            word, escaped = word + sign, False
        elif sign == "\\" and quote != "'":
            escaped = any_of_it = True
        elif quote:
            quote, word = ("", word) if sign == quote else (quote, word + sign)
        elif sign in "'\"":
            quote, any_of_it = sign, True
        elif sign.isspace():
            if any_of_it:
                words.append(word)
            word, any_of_it = "", False
        else:
            word, any_of_it = word + sign, True
    return [*words, word]


def offered(typed: Typed, kind: str, environ: Mapping[str, str]) -> list[Word]:
    """The words that may stand at the cursor."""
    if kind == "option":
        return _options(typed)
    if kind == "command":
        return [word for word in _commands(typed) if word[0].startswith(typed.begun)]
    if kind.startswith("one of "):
        return [(word, "") for word in kind.split()[2:] if word.startswith(typed.begun)]
    return [(name, "") for name in _names(typed, kind, environ)] if kind else []


def _kind(typed: Typed) -> str:
    """What the word at the cursor is: a command, an option, a kind of name, `file`, one of some words, or "" for else."""
    path = " ".join(typed.command)
    if typed.waiting:
        return value_of(path, typed.waiting)
    if typed.begun.startswith("-"):
        return "option"
    if typed.entry is None:
        return "command"
    return positional(path, len(typed.arguments))


def _commands(typed: Typed) -> list[Word]:
    level: Mapping[str, Entry | Branch] = top()
    for word in typed.command:
        found = level.get(word)
        if not isinstance(found, Branch):
            return []
        level = found.commands
    return [(word, entry.help) for word, entry in level.items()]


def _options(typed: Typed) -> list[Word]:
    """The options of a command that begin so, each once; while no command is whole, those of torquelog itself."""
    if typed.command and typed.entry is None:
        return []
    head = f"{' '.join(typed.command)}\t{typed.begun}"
    with open(OPTIONS, encoding="utf-8") as lines:
        found = [line.rstrip("\n").split("\t")[1:] for line in lines if line.startswith(head)]
    return [(name, text) for name, text in found if name not in typed.options]


def _names(typed: Typed, kind: str, environ: Mapping[str, str]) -> list[str]:
    from torquelog.facts import known_names
    from torquelog.ledger import database

    path = typed.options.get("--db") or environ.get("TORQUELOG_DB") or _usual(environ)
    begun, before = typed.begun, ""
    if kind == "assembly" and "=" in begun:
        before, _, begun = begun.rpartition("=")
        before += "="
    connection = database.connect(os.path.expanduser(path), "read", busy=0.0)
    try:
        if kind.endswith("fastener"):
            return known_names.fasteners(connection, _job(typed), begun, closed=kind == "any-fastener")
        return [before + name for name in known_names.names(connection, kind, begun)]
    finally:
        connection.close()


def _usual(environ: Mapping[str, str]) -> str:
    from torquelog.cli.context import DATABASE_NAME
    from torquelog.ledger.folders import data_folder

    return os.path.join(data_folder(environ), DATABASE_NAME)


def _job(typed: Typed) -> str:
    """The job that a line names: by an option, or before the fastener."""
    named = typed.options.get("--job") or typed.options.get("-j")
    if named:
        return named
    path = " ".join(typed.command)
    kinds = [positional(path, place) for place in range(len(typed.arguments))]
    return next((word for word, kind in zip(typed.arguments, kinds, strict=True) if kind.endswith("job")), "")


def _cut(begun: str, breaks: str) -> int:
    """How much of the word bash has in an earlier word already: it breaks words at a colon and an equals sign."""
    return max(begun.rfind(sign) + 1 if sign in breaks else 0 for sign in ":=")


def main(environ: Mapping[str, str] = os.environ) -> int:
    """Write the answer for the shell; the exit status."""
    sys.stdout.buffer.write(answer(environ).encode("utf-8", "replace"))
    sys.stdout.buffer.flush()
    return 0
