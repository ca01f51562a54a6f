"""What a sheet consists of: sections of facts, tables, drawings and lines. Pure data; templates only lay it out.

Everything is text ready to be read. Names that people gave are in it as they are: the templates escape them.
"""

import re
from collections.abc import Iterable
from typing import Final, NamedTuple, TypeAlias

MARKS: Final = {"done": "=", "open": ".", "outside": "!", "left": "-"}
"""A state has a sign beside its word, so that it is seen without colour."""


BRIEF: Final = 8
"""Rows of a table that is kept on one page of paper."""


WHOLE: Final = 24
"""Letters of a cell that is never broken."""

WIDE: Final = 460.0
"""The width of a drawing that has nothing beside it, in its own units."""

LONG_WORD: Final = 16
"""Letters of a word that a narrow column still takes."""


class Line(NamedTuple):
    """A straight line of a drawing, from (x1, y1) to (x2, y2); `look` names how it is drawn."""

    x1: float
    y1: float
    x2: float
    y2: float
    look: str = "thin"

    @property
    def form(self) -> str:
        """What the template draws."""
        return "line"


class Ring(NamedTuple):
    """A circle about (x, y)."""

    x: float
    y: float
    radius: float
    look: str = "thick"

    @property
    def form(self) -> str:
        """What the template draws."""
        return "ring"


class Box(NamedTuple):
    """A rectangle from its upper left corner."""

    x: float
    y: float
    width: float
    height: float
    look: str = "thin"

    @property
    def form(self) -> str:
        """What the template draws."""
        return "box"


class Word(NamedTuple):
    """Text in a drawing at (x, y); `anchor` is start, middle or end; it is turned by `turn` degrees about there."""

    x: float
    y: float
    text: str
    anchor: str = "middle"
    look: str = "word"
    turn: int = 0

    @property
    def form(self) -> str:
        """What the template draws."""
        return "word"


class Path(NamedTuple):
    """A line or an area through points, in the commands of SVG."""

    commands: str
    look: str = "thick"

    @property
    def form(self) -> str:
        """What the template draws."""
        return "path"


Shape: TypeAlias = Line | Ring | Box | Word | Path


class Drawing(NamedTuple):
    """A drawing.

    Attributes:
        width, height: its size in its own units; on paper one is a quarter of a millimetre or so.
        title: what it shows, for those who do not see it; "" where the numbers stand right beside it.
        shapes: what is drawn, from the back to the front.
    """

    width: float
    height: float
    title: str
    shapes: tuple[Shape, ...]


class Column(NamedTuple):
    """A column of a table: its title, and how its cells look: right, as numbers do; whole, never broken; wide."""

    title: str
    look: str = ""


class Cell(NamedTuple):
    """A cell: its text, a second line in small letters, a state that it tells, and a drawing beside the text."""

    text: str = ""
    note: str = ""
    state: str = ""
    drawing: Drawing | None = None

    @property
    def mark(self) -> str:
        """The sign of its state."""
        return MARKS.get(self.state, "")

    def look(self, column: Column) -> str:
        """How it looks: as its column asks, where its text is short enough to stand in one line; its state."""
        asked = column.look if len(self.text) <= WHOLE or column.look == "wide" else ""
        return " ".join(name for name in (asked, "long" if self.breaks else "", self.state) if name)

    @property
    def breaks(self) -> bool:
        """Whether a word of it may be broken anywhere, being too long for a column of paper."""
        if len(self.text) <= LONG_WORD and len(self.note) <= LONG_WORD:
            return False
        return any(len(word) > LONG_WORD for word in re.split(r"[\s-]", f"{self.text} {self.note}"))


Row: TypeAlias = tuple[Cell, ...]


class Body(NamedTuple):
    """Rows that belong together, with a heading above them or none."""

    rows: tuple[Row, ...]
    heading: str = ""


class Grid(NamedTuple):
    """A table: its caption, its columns, its rows; the first cell of a row is its heading.

    `blank` says that it is filled in by hand, so that its rows are higher.
    """

    caption: str
    columns: tuple[Column, ...]
    bodies: tuple[Body, ...]
    blank: bool = False

    @property
    def look(self) -> str:
        """How it is laid out: blank, to be filled in; brief, which is not parted by the end of a page."""
        brief = sum(len(body.rows) for body in self.bodies) <= BRIEF
        return " ".join(name for name, wanted in (("blank", self.blank), ("brief", brief)) if wanted)

    @property
    def form(self) -> str:
        """What the template lays out."""
        return "grid"


class Facts(NamedTuple):
    """Label and value, in the manner of a title block."""

    pairs: tuple[tuple[str, str], ...]

    @property
    def form(self) -> str:
        """What the template lays out."""
        return "facts"


class Lines(NamedTuple):
    """Sentences, one below the other; `look` is plain, list, caution or commands."""

    texts: tuple[str, ...]
    look: str = "plain"

    @property
    def form(self) -> str:
        """What the template lays out."""
        return "lines"


class Figure(NamedTuple):
    """A drawing with what stands below it; beside it, where there is room, the facts that belong to it."""

    drawing: Drawing
    caption: str
    beside: tuple[tuple[str, str], ...] = ()

    @property
    def look(self) -> str:
        """How it is laid out: beside its facts; a wide one below them, so that its letters stay legible on paper."""
        if not self.beside:
            return "pair alone"
        return "pair stacked" if self.drawing.width > WIDE else "pair"

    @property
    def form(self) -> str:
        """What the template lays out."""
        return "figure"


class Signatures(NamedTuple):
    """Lines to sign on, each for a role."""

    roles: tuple[str, ...]

    @property
    def form(self) -> str:
        """What the template lays out."""
        return "signatures"


Block: TypeAlias = Grid | Facts | Lines | Figure | Signatures


class Section(NamedTuple):
    """A part of a sheet with its heading; `fresh` begins a new page on paper."""

    heading: str
    blocks: tuple[Block, ...]
    fresh: bool = False


class Page(NamedTuple):
    """A sheet.

    Attributes:
        title: what it is, with its name, as "Job J-5".
        purpose: in a few words, as "Record of work".
        head: the facts of its title block.
        safety: the lines that no sheet lacks.
        sections: its parts.
        foot: where it comes from: record, head, when it was made.
    """

    title: str
    purpose: str
    head: tuple[tuple[str, str], ...]
    safety: tuple[str, ...]
    sections: tuple[Section, ...]
    foot: tuple[tuple[str, str], ...]


def columns(titles: str) -> tuple[Column, ...]:
    """Columns by titles parted by bars; ">" before one is to the right, "=" never broken, "<" wide."""
    looks = {">": "right", "=": "whole", "<": "wide"}
    return tuple(
        Column(title[1:], looks[title[0]]) if title[:1] in looks else Column(title)
        for title in titles.split("|")
    )


def grid(caption: str, titles: str, rows: Iterable[Row], *, blank: bool = False) -> Grid:
    """A table of one body; the titles as `columns` takes them."""
    return Grid(caption, columns(titles), (Body(tuple(rows)),), blank)
