"""The lines of an answer for people: facts in two columns, tables that give way, commands to go on with."""

from collections.abc import Iterator, Sequence
from itertools import chain

from torquelog.cli.answer import Table
from torquelog.cli.text import columns, padded, wrapped

GAP = 3
NARROWEST = 10
INDENT = "  "
NEXT = "Next: "


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
    """A table in columns; where it cannot fit, each row as a block of its own."""
    return list(table_lines(shown, width))


def table_lines(shown: Table, width: int | None) -> Iterator[str]:
    """The same, line by line."""
    if shown.title:
        yield from wrapped(shown.title, width)
    if not shown.rows:
        return
    room = None if width is None else width - len(INDENT) - GAP * (len(shown.columns) - 1)
    widest = widest_cells(shown)
    widths = column_widths(shown, widest, room)
    if widths is None:
        yield from blocks(shown, width)
        return
    line = table_row if widths == widest else folded_row
    heading = tuple(column.title for column in shown.columns)
    if any(heading):
        yield from line(shown, heading, widths)
    for row in shown.rows:
        yield from line(shown, row, widths)


def widest_cells(shown: Table) -> list[int]:
    """The columns of the widest cell in each column, in one walk through the rows."""
    widest = [columns(column.title) for column in shown.columns]
    for row in shown.rows:
        for place, cell in enumerate(row):
            taken = columns(cell)
            if taken > widest[place]:
                widest[place] = taken
    return widest


def column_widths(shown: Table, widest: Sequence[int], room: int | None) -> list[int] | None:
    """The width of each column, or nothing where the room is too small for it to be a table."""
    widths = list(widest)
    while room is not None and sum(widths) > room:
        foldable = [place for place, column in enumerate(shown.columns) if column.fold]
        place = max(foldable, key=lambda one: widths[one], default=None)
        if place is None or widths[place] <= max(NARROWEST, longest_word(shown, place)):
            return None
        widths[place] -= 1
    return widths


def longest_word(shown: Table, place: int) -> int:
    """Columns of the longest word in a column; it is never broken."""
    cells = chain([shown.columns[place].title], (row[place] for row in shown.rows))
    return max((columns(word) for cell in cells for word in cell.split(" ")), default=0)


def table_row(shown: Table, row: Sequence[str], widths: Sequence[int]) -> list[str]:
    """One row whose cells all fit, on one line."""
    cells = [
        padded(cell, width, right=column.right)
        for cell, width, column in zip(row, widths, shown.columns, strict=True)
    ]
    return [(INDENT + (" " * GAP).join(cells)).rstrip()]


def folded_row(shown: Table, row: Sequence[str], widths: Sequence[int]) -> list[str]:
    """One row, on as many lines as its longest folded cell takes."""
    folded = [wrapped(cell, width, indent=0) for cell, width in zip(row, widths, strict=True)]
    lines = []
    for number in range(max(map(len, folded))):
        cells = [
            padded(cell[number] if number < len(cell) else "", width, right=column.right)
            for cell, width, column in zip(folded, widths, shown.columns, strict=True)
        ]
        lines.append((INDENT + (" " * GAP).join(cells)).rstrip())
    return lines


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
