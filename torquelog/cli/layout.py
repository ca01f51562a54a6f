"""The lines of an answer for people: facts in two columns, tables that give way, commands to go on with."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import chain
from typing import TypeAlias

from torquelog.cli.answer import Column, Stack, Stacked, Table
from torquelog.cli.text import columns, padded, wrapped

GAP = 3
LEAST_GAP = 2
HALF = 60
NARROWEST = 10
INDENT = "  "
NEXT = "Next: "

LinesOf: TypeAlias = Callable[[Sequence[str]], list[str]]
"""The lines of a row, from its cells."""


def facts(pairs: Sequence[tuple[str, str]], width: int | None) -> list[str]:
    """Label left, value right; where that leaves too little room, the value below its label."""
    widest = max((columns(label) for label, _ in pairs), default=0)
    lead = len(INDENT) + widest + GAP
    lines = []
    for label, value in pairs:
        if width is not None and does_not_fit(value, width - lead):
            lines += wrapped(f"{INDENT}{label}", width) if label else []
            lines += wrapped(f"{INDENT * 2}{value}", width, indent=4)
        else:
            line = f"{INDENT}{padded(label, widest)}{' ' * GAP}{value}".rstrip()
            lines += wrapped(line, width, indent=lead)
    return lines


def does_not_fit(value: str, room: int) -> bool:
    """Whether a value had better stand below its label: too little room for lines, or for its longest word."""
    if columns(value) <= room:
        return False
    return room < 2 * NARROWEST or max(map(columns, value.split())) > room


def commands(entries: Sequence[str], width: int | None = None) -> list[str]:
    """The commands after "Next:", one below the other, never broken; their notes in a column, or below them."""
    parts = [entry.partition("  ") for entry in entries]
    widest = max((columns(command) for command, gap, _ in parts if gap), default=0)
    beside = [
        f"{padded(command, widest)}{' ' * GAP}{note.strip()}" if note else command
        for command, _, note in parts
    ]
    lead = len(NEXT)
    below = width is not None and any(
        lead + columns(text) > width for text, (_, gap, _) in zip(beside, parts, strict=True) if gap
    )
    lines: list[str] = []
    for text, (command, _, note) in zip(beside, parts, strict=True):
        lines.append((" " * lead if lines else NEXT) + (command if below else text))
        if below and note:
            lines += wrapped(f"{' ' * lead}{INDENT}{note.strip()}", width, indent=lead + len(INDENT))
    return lines


def table(shown: Table, width: int | None) -> list[str]:
    """A table in columns; where it cannot fit, stacked where it can be, else each row as a block of its own."""
    return list(table_lines(shown, width))


def table_lines(shown: Table, width: int | None) -> Iterator[str]:
    """The same, line by line."""
    if not shown.rows:
        yield from titled(shown.title, width)
        return
    room = room_beside(INDENT, shown.columns, width)
    widest = widest_cells(shown.columns, shown.rows, room)
    if room is not None and sum(widest) > room and shown.stacked is not None:
        lines_of = stacked_row_lines(shown.stacked, width)
        if lines_of is not None:
            yield from stacked_lines(shown.stacked, lines_of, width)
            return
    yield from titled(shown.title, width)
    widths = column_widths(shown.columns, shown.rows, widest, room_beside(INDENT, shown.columns, width))
    if widths is None:
        yield from beneath(shown, width) or blocks(shown, width)
        return
    lines_of = row_lines(INDENT, shown.columns, widths, widest)
    heading = tuple(column.title for column in shown.columns)
    for row in chain([heading] if any(heading) else [], shown.rows):
        yield from lines_of(row)


def beneath(shown: Table, width: int | None) -> list[str]:
    """The table with its last columns below each row, as many as have to be; nothing where that makes no table either.

    On a terminal of half the usual width, or where there are more rows than can be held, blocks are read more easily.
    """
    if width is None or width < HALF or not isinstance(shown.rows, tuple):
        return []
    for kept in range(len(shown.columns) - 1, 1, -1):
        titles = [column.title for column in shown.columns[kept:]]
        rows = tuple(
            Stack("", row[:kept], "; ".join(filter(None, map(pair, titles, row[kept:]))))
            for row in shown.rows
        )
        pile = Stacked(shown.columns[:kept], rows)
        lines_of = stacked_row_lines(pile, width)
        if lines_of is not None:
            return list(stacked_lines(pile, lines_of, width))
    return []


def pair(title: str, cell: str) -> str:
    """A cell that stands below its row, behind its title; nothing for nothing."""
    return f"{title}: {cell}" if title and cell else cell


def titled(title: str, width: int | None) -> list[str]:
    """The line above a table, if it has one."""
    return wrapped(title, width) if title else []


class Cells:
    """The cells of stacked rows, walked through as often as is asked."""

    def __init__(self, rows: Iterable[Stack]) -> None:
        self._rows = rows

    def __iter__(self) -> Iterator[tuple[str, ...]]:
        return (row.cells for row in self._rows)


def stacked_row_lines(pile: Stacked, width: int | None) -> LinesOf | None:
    """What lays out a stacked row, the gaps as wide as there is room for; nothing where there is too little."""
    cells = Cells(pile.rows)
    room = room_beside(INDENT * 2, pile.columns, width, LEAST_GAP)
    needed = widest_cells(pile.columns, cells, room)
    widths = column_widths(pile.columns, cells, needed, room)
    if widths is None:
        return None
    wide = room_beside(INDENT * 2, pile.columns, width)
    gap = GAP if wide is None or sum(needed) <= wide else LEAST_GAP
    return row_lines(INDENT * 2, pile.columns, widths, needed, gap)


def stacked_lines(pile: Stacked, lines_of: LinesOf, width: int | None) -> Iterator[str]:
    """Rows in columns, below what they have in common, and below each what has no column."""
    yield from titled(pile.title, width)
    yield from lines_of([column.title for column in pile.columns])
    over = None
    for row in pile.rows:
        if row.over != over:
            over = row.over
            yield from wrapped(f"{INDENT}{over}", width, indent=2 * len(INDENT)) if over else []
        yield from lines_of(row.cells)
        if row.below:
            yield from wrapped(f"{INDENT * 3}{row.below}", width, indent=3 * len(INDENT))


def room_beside(indent: str, shown: Sequence[Column], width: int | None, gap: int = GAP) -> int | None:
    """Columns that are left for cells beside an indent and the gaps between them."""
    return None if width is None else width - len(indent) - gap * (len(shown) - 1)


def widest_cells(
    shown: Sequence[Column], rows: Iterable[Sequence[str]], room: int | None = None
) -> list[int]:
    """The columns of the widest cell in each column, in one walk through the rows.

    It ends early where what cannot be folded is wider than the room already: then there is no table.
    """
    widest = [columns(column.title) for column in shown]
    stiff = [place for place, column in enumerate(shown) if not column.fold]
    for row in rows:
        grown = False
        for place, cell in enumerate(row):
            taken = columns(cell)
            if taken > widest[place]:
                widest[place], grown = taken, True
        if grown and room is not None and sum(widest[place] for place in stiff) > room:
            break
    return widest


def column_widths(
    shown: Sequence[Column], rows: Iterable[Sequence[str]], widest: Sequence[int], room: int | None
) -> list[int] | None:
    """The width of each column, or nothing where the room is too small for it to be a table."""
    widths = list(widest)
    foldable = [place for place, column in enumerate(shown) if column.fold]
    least: dict[int, int] = {}
    while room is not None and sum(widths) > room:
        place = max(foldable, key=lambda one: widths[one], default=None)
        if place is not None and place not in least:
            least[place] = max(NARROWEST, longest_word(shown, rows, place))
        if place is None or widths[place] <= least[place]:
            return None
        widths[place] -= 1
    return widths


def longest_word(shown: Sequence[Column], rows: Iterable[Sequence[str]], place: int) -> int:
    """Columns of the longest word in a column; it is never broken."""
    cells = chain([shown[place].title], (row[place] for row in rows))
    return max((columns(word) for cell in cells for word in cell.split(" ")), default=0)


def row_lines(
    indent: str, shown: Sequence[Column], widths: Sequence[int], widest: Sequence[int], gap: int = GAP
) -> LinesOf:
    """What lays out a row of a table: on one line where nothing had to be narrowed, else on as many as it takes."""

    def whole(row: Sequence[str]) -> list[str]:
        cells = [
            padded(cell, width, right=column.right)
            for cell, width, column in zip(row, widths, shown, strict=True)
        ]
        return [(indent + (" " * gap).join(cells)).rstrip()]

    def folded(row: Sequence[str]) -> list[str]:
        cells = [wrapped(cell, width, indent=0) for cell, width in zip(row, widths, strict=True)]
        lines = max(map(len, cells))
        return [whole([cell[line] if line < len(cell) else "" for cell in cells])[0] for line in range(lines)]

    return whole if list(widths) == list(widest) else folded


def blocks(shown: Table, width: int | None) -> Iterator[str]:
    """Each row as lines of title and value, with a blank line between the rows."""
    for number, row in enumerate(shown.rows):
        if number:
            yield ""
        cells = list(zip(shown.columns, row, strict=True))
        if not shown.columns[0].title:  # it names the row
            _, name = cells.pop(0)
            yield from wrapped(f"{INDENT}{name}", width)
        yield from facts([(column.title, cell) for column, cell in cells if cell], width)
