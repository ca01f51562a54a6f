"""The lines of an answer for people: facts in two columns, tables that give way, commands to go on with."""

from collections.abc import Sequence

from torquelog.cli.answer import Table
from torquelog.cli.text import columns, padded, wrapped

GAP = 3
NARROWEST = 10
INDENT = "  "


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


def commands(entries: Sequence[str]) -> list[str]:
    """The commands after "Next:", one below the other, their notes in a column. Never broken."""
    parts = [entry.partition("  ") for entry in entries]
    widest = max((columns(command) for command, gap, _ in parts if gap), default=0)
    lines = []
    for number, (command, _, note) in enumerate(parts):
        text = f"{padded(command, widest)}{' ' * GAP}{note.strip()}" if note else command
        lines.append(("Next: " if number == 0 else "      ") + text)
    return lines


def table(shown: Table, width: int | None) -> list[str]:
    """A table in columns; where it cannot fit, each row as a block of its own."""
    title = [*wrapped(shown.title, width)] if shown.title else []
    if not shown.rows:
        return title
    room = None if width is None else width - len(INDENT) - GAP * (len(shown.columns) - 1)
    widths = column_widths(shown, room)
    if widths is None:
        return title + blocks(shown, width)
    heading = tuple(column.title for column in shown.columns)
    lines = table_row(shown, heading, widths) if any(heading) else []
    for row in shown.rows:
        lines += table_row(shown, row, widths)
    return title + lines


def column_widths(shown: Table, room: int | None) -> list[int] | None:
    """The width of each column, or nothing where the room is too small for it to be a table."""
    cells = [[column.title for column in shown.columns], *shown.rows]
    widths = [max(columns(row[place]) for row in cells) for place in range(len(shown.columns))]
    while room is not None and sum(widths) > room:
        foldable = [place for place, column in enumerate(shown.columns) if column.fold]
        widest = max(foldable, key=lambda place: widths[place], default=None)
        if widest is None or widths[widest] <= max(NARROWEST, longest_word(shown, widest)):
            return None
        widths[widest] -= 1
    return widths


def longest_word(shown: Table, place: int) -> int:
    """Columns of the longest word in a column; it is never broken."""
    cells = [shown.columns[place].title, *(row[place] for row in shown.rows)]
    return max((columns(word) for cell in cells for word in cell.split(" ")), default=0)


def table_row(shown: Table, row: Sequence[str], widths: Sequence[int]) -> list[str]:
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


def blocks(shown: Table, width: int | None) -> list[str]:
    """Each row as lines of title and value, with a blank line between the rows."""
    lines: list[str] = []
    for row in shown.rows:
        pairs = [(column.title, cell) for column, cell in zip(shown.columns, row, strict=True) if cell]
        lines += ["", *facts(pairs, width)] if lines else facts(pairs, width)
    return lines
