"""A sheet read back from its HTML: its headings, tables and texts, and every element with its attributes."""

from html.parser import HTMLParser
from typing import NamedTuple

VOID = {"meta", "br", "line", "circle", "rect", "path"}


class Element(NamedTuple):
    """An element: its name, its attributes, and the elements that it stands in."""

    name: str
    attributes: dict[str, str]
    above: tuple[str, ...]


class Table(NamedTuple):
    """A table: caption, titles of its columns, headings between its rows, and the text of its cells."""

    caption: str
    titles: tuple[str, ...]
    between: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def row(self, head: str) -> tuple[str, ...]:
        """The first row with this heading."""
        return next(row for row in self.rows if row[0] == head)

    def cell(self, head: str, title: str) -> str:
        """A cell by the heading of its row and the title of its column."""
        return self.row(head)[self.titles.index(title)]


class Sheet(HTMLParser):
    """What a browser would make of a sheet, as far as the tests ask."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[Element] = []
        self.texts: list[tuple[tuple[str, ...], str]] = []
        self._open: list[str] = []
        self.feed(text)
        self.close()
        assert not self._open, f"not closed: {self._open}"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append(Element(tag, {name: value or "" for name, value in attrs}, tuple(self._open)))
        self.texts.append(((*self._open, tag), ""))
        if tag not in VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append(Element(tag, {name: value or "" for name, value in attrs}, tuple(self._open)))

    def handle_endtag(self, tag: str) -> None:
        if tag not in VOID:
            assert self._open[-1] == tag, f"{tag} closes {self._open[-1]}"
            self._open.pop()

    def handle_data(self, data: str) -> None:
        self.texts.append((tuple(self._open), data))

    @property
    def text(self) -> str:
        """All that can be read, but for the style sheet."""
        return "\n".join(data for above, data in self.texts if "style" not in above and data.strip())

    def all(self, name: str) -> list[Element]:
        """Every element of a name."""
        return [each for each in self.elements if each.name == name]

    def inside(self, name: str) -> list[str]:
        """The text of each element of a name, in order; for elements that do not stand in themselves."""
        found: list[str] = []
        for above, data in self.texts:
            if above and above[-1] == name and data == "":
                found.append("")
            elif name in above and found:
                found[-1] += data
        return [" ".join(each.split()) for each in found]

    def facts(self) -> dict[str, str]:
        """Label and value of everything that is told so; of labels that come again, the last one."""
        return dict(zip(self.inside("dt"), self.inside("dd"), strict=True))

    def tables(self) -> list[Table]:
        """Every table."""
        return [_table(run) for run in self._runs("table")]

    def table(self, caption: str) -> Table:
        """The table with a caption that begins so."""
        found = [each for each in self.tables() if each.caption.startswith(caption)]
        assert found, f"no table {caption!r} among {[each.caption for each in self.tables()]}"
        return found[0]

    def _runs(self, name: str) -> list[list[tuple[tuple[str, ...], str]]]:
        found: list[list[tuple[tuple[str, ...], str]]] = []
        for above, data in self.texts:
            if above and above[-1] == name and data == "":
                found.append([])
            elif name in above and found:
                found[-1].append((above, data))
        return found


def _table(run: list[tuple[tuple[str, ...], str]]) -> Table:
    caption, titles = "", [""]
    rows: list[list[str]] = []
    for above, data in run:
        if above[-1] == "tr" and data == "" and "tbody" in above:
            rows.append([])
        elif above[-1] in ("th", "td") and data == "":
            (rows[-1] if "tbody" in above else titles).append("")
        elif "caption" in above:
            caption += data
        elif "th" in above or "td" in above:
            cells = rows[-1] if "tbody" in above else titles
            cells[-1] += f" {data}"
    cleaned = [tuple(" ".join(cell.split()) for cell in row) for row in rows]
    between = tuple(row[0] for row in cleaned if len(row) == 1)
    heads = tuple(" ".join(title.split()) for title in titles[1:])
    return Table(" ".join(caption.split()), heads, between, tuple(row for row in cleaned if len(row) > 1))
