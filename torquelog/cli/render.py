"""The one place that writes answers: text for people, an envelope for programs, CSV for spreadsheets.

Data goes to standard output, problems to standard error. With `--json` one envelope and nothing else is
written, on every path, and it goes to standard output.
"""

import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache
from itertools import chain
from typing import Any, Final, NamedTuple, TextIO

from torquelog.cli import layout
from torquelog.cli.answer import Answer, Column, Each, Json, Problem, Stack, Stacked
from torquelog.cli.context import Context, is_terminal, terminal_width
from torquelog.cli.text import ascii_only, speaks_utf_8, visible, wrapped

ENVELOPE: Final = 1
"""The version of the envelope. Keys may be added to it; none is renamed or dropped."""

PROSE_WIDTH: Final = 80
AT_ONCE: Final = 1 << 16
"""How many characters are written in one go, or one piece where that is longer."""
BOLD: Final = "\x1b[1m"
BOLD_RED: Final = "\x1b[1;31m"
PLAIN: Final = "\x1b[0m"
CONCERNS: Final = (3, 4, 5)
"""Exit statuses whose first line is red on a terminal that has colours: refused, outside, does not verify."""


class Block(NamedTuple):
    """Lines that belong together, made as they are written where they are many; and whether they go to standard error."""

    lines: Iterable[str]
    aside: bool = False


def render(context: Context, answer: Answer) -> None:
    """Write the answer as it was asked for: envelope, CSV or text."""
    if answer.written:
        return
    if context.json:
        write_pieces(context.stdout, chain(envelope_pieces(context, envelope(context, answer)), ["\n"]))
    elif context.csv and answer.table is not None:
        from torquelog.cli.spreadsheet import write_csv

        write_csv(answer.table, context.stdout, plain=not speaks_utf_8(context.stdout.encoding))
        context.stdout.flush()
        write_blocks(context, [problems(context, answer), remarks(context, answer, aside=True)])
    else:
        write_blocks(context, blocks(context, answer))


def envelope(context: Context, answer: Answer) -> dict[str, Json]:
    """The envelope of an answer, with all its keys."""
    return {
        "torquelog": ENVELOPE,
        "command": context.command,
        "ok": answer.exit == 0,
        "exit": answer.exit,
        "station": context.station,
        "ledger": context.ledger,
        "data": answer.data,
        "problems": [
            {"code": each.code, "message": each.message, "hint": each.hint} for each in answer.problems
        ],
        "remarks": [{"code": each.code, "message": each.message} for each in answer.remarks],
    }


def envelope_text(context: Context, answer: Answer, line: int | None = None) -> str:
    """The envelope as one line of JSON; with its line number where it answers one of many lines."""
    text = answer.envelope
    if not text:
        content = envelope(context, answer)
        text = printable(encoder(not speaks_utf_8(context.stdout.encoding))(content))
    return text if line is None else f'{text[:-1]}, "line": {line}}}'


def envelope_pieces(context: Context, content: Json) -> Iterator[str]:
    """An envelope as JSON in pieces: what is made one by one is never held all at once."""
    yield from map(printable, json_pieces(content, encoder(not speaks_utf_8(context.stdout.encoding))))


@cache
def encoder(ascii_alone: bool) -> Callable[[object], str]:
    """What writes JSON; made once, as it is asked for with every line. What is made one by one becomes a list."""
    from json import JSONEncoder

    return JSONEncoder(ensure_ascii=ascii_alone, allow_nan=False, default=list).encode


def json_pieces(content: Json, encode: Callable[[object], str]) -> Iterator[str]:
    """JSON in pieces; a mapping is taken apart as far as something in it is made one by one."""
    if isinstance(content, Each) and content.few:
        yield encode(list(content))
    elif isinstance(content, Each):
        for number, each in enumerate(content):
            yield (", " if number else "[") + encode(each)
        yield "]" if content else "[]"
    elif isinstance(content, Mapping) and holds_each(content):
        for number, (name, value) in enumerate(content.items()):
            yield f"{', ' if number else '{'}{encode(name)}: "
            yield from json_pieces(value, encode)
        yield "}"
    else:
        yield encode(content)


def holds_each(content: Mapping[str, Json]) -> bool:
    """Whether something in a mapping, or in one inside it, is made one by one."""
    return any(
        isinstance(value, Each) or (isinstance(value, Mapping) and holds_each(value))
        for value in content.values()
    )


def printable(text: str) -> str:
    """JSON text with nothing in it that cannot be seen."""
    return text if text.isprintable() else "".join(map(escaped, text))


def escaped(character: str) -> str:
    """One character of JSON text; by its number where it cannot be seen, so that it steers no terminal."""
    from json import dumps

    return character if character.isprintable() else dumps(character)[1:-1]


def blocks(context: Context, answer: Answer) -> list[Block]:
    """The parts of an answer in the order in which a person reads them."""
    stdout = Page(context.stdout)
    first = stdout.prose(answer.headline)
    return [
        Block([stdout.emphasised(line, answer.exit) for line in first]),
        problems(context, answer),
        Block(stdout.facts(answer.facts)),
        remarks(context, answer, aside=False),
        Block([piece for line in answer.body for piece in stdout.prose(line)]),
        Block(stdout.table(answer)),
        Block(stdout.commands(answer.next)),
    ]


def problems(context: Context, answer: Answer) -> Block:
    """What was refused or went wrong, on standard error. Below a first line it is set in a little."""
    page = Page(context.stderr)
    indent = layout.INDENT if answer.headline else ""
    lines: list[str] = []
    for problem in answer.problems:
        lines += page.prose(indent + problem.message)
        lines += page.hint(indent, problem)
    return Block(lines, aside=True)


def remarks(context: Context, answer: Answer, *, aside: bool) -> Block:
    """What else there is to know, one line each."""
    page = Page(context.stderr if aside else context.stdout)
    return Block(
        [piece for remark in answer.remarks for piece in page.prose(layout.INDENT + remark.message)], aside
    )


class Page:
    """How one stream shows text: its width, its signs, its colours."""

    def __init__(self, stream: TextIO) -> None:
        self.terminal = is_terminal(stream)
        self.ascii = not speaks_utf_8(stream.encoding)
        self.width = terminal_width(stream) if self.terminal else None
        self.prose_width = None if self.width is None else min(self.width, PROSE_WIDTH)
        self.coloured = self.terminal and may_colour()

    def plain(self, text: str) -> str:
        """The text as this stream can show it."""
        shown = visible(text)
        return ascii_only(shown) if self.ascii else shown

    def prose(self, text: str) -> list[str]:
        """A line of text, broken where it has to be, a blank one kept; a command alone stays whole, to be pasted."""
        command = text.strip(" ")
        whole = command.startswith("torquelog ") and not command.endswith(".") and "  " not in command
        return [self.plain(text)] if whole else wrapped(self.plain(text), self.prose_width)

    def emphasised(self, line: str, status: int) -> str:
        """A first line in bold, where there are colours."""
        if not self.coloured or not line:
            return line
        return f"{BOLD_RED if status in CONCERNS else BOLD}{line}{PLAIN}"

    def facts(self, pairs: Sequence[tuple[str, str]]) -> list[str]:
        """Label and value, in two columns."""
        return layout.facts([(self.plain(label), self.plain(value)) for label, value in pairs], self.width)

    def table(self, answer: Answer) -> Iterable[str]:
        """The table of an answer, if it has one."""
        shown = answer.table
        if shown is None:
            return []
        rows = each_of(shown.rows).further(self._plain_row)
        made = shown._replace(
            columns=self._plain_columns(shown.columns), rows=rows.held(), title=self.plain(shown.title),
            stacked=self._plain_stacked(shown.stacked) if shown.stacked and self.terminal else None,
        )  # fmt: skip
        lines = layout.table_lines(made, self.width)
        return list(lines) if rows.few else lines

    def _plain_columns(self, shown: Sequence[Column]) -> tuple[Column, ...]:
        return tuple(column._replace(title=self.plain(column.title)) for column in shown)

    def _plain_row(self, row: Sequence[str]) -> tuple[str, ...]:
        return tuple(map(self.plain, row))

    def _plain_stacked(self, shown: Stacked) -> Stacked:
        rows = each_of(shown.rows).further(self._plain_stack)
        return Stacked(self._plain_columns(shown.columns), rows.held(), self.plain(shown.title))

    def _plain_stack(self, row: Stack) -> Stack:
        return Stack(self.plain(row.over), self._plain_row(row.cells), self.plain(row.below))

    def commands(self, entries: Sequence[str]) -> list[str]:
        """The commands to go on with."""
        return layout.commands([self.plain(entry) for entry in entries], self.width)

    def hint(self, indent: str, problem: Problem) -> list[str]:
        """What to do about a problem: a command as "Next:" or set in further, a sentence as it is."""
        if not problem.hint:
            return []
        if problem.hint.startswith("torquelog "):
            return self.prose(indent * 3 + problem.hint) if indent else self.commands([problem.hint])
        return self.prose(indent + problem.hint)


def each_of(rows: tuple[Any, ...] | Each[Any]) -> Each[Any]:
    """Rows as things that are made one by one, whichever they were."""
    return Each(rows, iter) if isinstance(rows, tuple) else rows


def may_colour() -> bool:
    """Whether a terminal may be sent colours: not under NO_COLOR, not where it says that it is dumb."""
    return not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def write_blocks(context: Context, parts: Sequence[Block]) -> None:
    """Write each part to its stream, a blank line between two that a person sees one below the other."""
    together = is_terminal(context.stdout) and is_terminal(context.stderr)
    begun: set[bool] = set()
    for part in parts:
        if not isinstance(part.lines, list) or any(part.lines):
            stream = context.stderr if part.aside else context.stdout
            parted = part.aside in begun or (together and begun)
            write_pieces(stream, (f"{line}\n" for line in chain([""] if parted else [], part.lines)))
            begun.add(part.aside)


def write_pieces(stream: TextIO, pieces: Iterable[str]) -> None:
    """Write pieces of text, some at a time, and let them through."""
    some: list[str] = []
    length = 0
    for piece in pieces:
        some.append(piece)
        length += len(piece)
        if length >= AT_ONCE:
            stream.write("".join(some))
            some, length = [], 0
    if some:
        stream.write("".join(some))
    stream.flush()


def write_lines(stream: TextIO, lines: Sequence[str]) -> None:
    """Write lines at once and let them through."""
    stream.write("\n".join(lines) + "\n")
    stream.flush()
