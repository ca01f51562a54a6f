"""XML of strangers, read with care: no document type, no entities, bounded size, depth and count.

What comes out is a plain tree. A document type is refused as a whole: everything that makes XML dangerous (entities
that grow, files and addresses that are fetched) begins there, and a calibration certificate needs none.
"""

from collections.abc import Iterator
from typing import Final, NamedTuple

from torquelog.errors import TorquelogError

LARGEST: Final = 8 << 20
"""Bytes of the largest file that is read."""

DEEPEST: Final = 64
MOST: Final = 200_000
"""Elements; a certificate has some hundreds."""


class Node(NamedTuple):
    """An element.

    Attributes:
        space, name: its namespace, "" for none, and its name in it.
        line: where it begins in the file, from 1.
        attributes: by name; those in a namespace as "namespace name".
        children: the elements in it.
        words: the text in it, that of its children not included, in pieces.
    """

    space: str
    name: str
    line: int
    attributes: dict[str, str]
    children: list["Node"]
    words: list[str]

    @property
    def text(self) -> str:
        """Its own text, blanks brought together."""
        return " ".join("".join(self.words).split())

    def all(self, name: str) -> Iterator["Node"]:
        """Its children of a name, of the same namespace."""
        return (child for child in self.children if child.name == name and child.space == self.space)

    def below(self, name: str) -> Iterator["Node"]:
        """Every element of a name below it, of the same namespace, in the order of the file."""
        for child in self.children:
            if child.name == name and child.space == self.space:
                yield child
            yield from child.below(name)


def form(what: str, hint: str = "", *, why: str = "") -> TorquelogError:
    """The error for a certificate file that cannot be taken (code dcc-form)."""
    return TorquelogError("dcc-form", what, why=why, hint=hint)


def tree(content: bytes) -> Node:
    """The root element of an XML document.

    Raises:
        TorquelogError: dcc-form for what is no XML, or is XML of a kind that is refused; file-too-large.
    """
    if len(content) > LARGEST:
        raise TorquelogError(
            "file-too-large",
            f"The certificate file is larger than {LARGEST >> 20} MiB, the most that is read.",
        )
    return _Reader().read(content)


class _Reader:
    """Builds the tree while the parser goes through the file."""

    def __init__(self) -> None:
        from xml.parsers.expat import XML_PARAM_ENTITY_PARSING_NEVER, ParserCreate

        self._parser = ParserCreate(namespace_separator=" ")
        self._parser.buffer_text = True
        self._parser.SetParamEntityParsing(XML_PARAM_ENTITY_PARSING_NEVER)
        self._parser.StartElementHandler = self._begin
        self._parser.EndElementHandler = self._end
        self._parser.CharacterDataHandler = self._words
        self._parser.StartDoctypeDeclHandler = self._doctype
        self._parser.EntityDeclHandler = self._entity
        self._parser.ExternalEntityRefHandler = self._outside
        self._open: list[Node] = []
        self._root: Node | None = None
        self._count = 0

    def read(self, content: bytes) -> Node:
        from xml.parsers.expat import ExpatError, errors

        try:
            self._parser.Parse(content, True)
        except ExpatError as error:
            raise form(
                f"Line {error.lineno} of the certificate file: it is not XML ({errors.messages[error.code]}).",
                "Ask the laboratory for the file again, as it was issued.",
            ) from error
        except (LookupError, ValueError) as error:
            raise form(
                "The certificate file names an encoding that is not known.",
                "Ask the laboratory for it in UTF-8.",
            ) from error
        assert self._root is not None  # noqa: S101  a document without an element is no XML
        return self._root

    def _begin(self, name: str, attributes: dict[str, str]) -> None:
        self._count += 1
        line = self._parser.CurrentLineNumber
        if len(self._open) >= DEEPEST:
            raise form(f"Line {line} of the certificate file: it is nested deeper than {DEEPEST} elements.")
        if self._count > MOST:
            raise form(f"Line {line} of the certificate file: it has more than {MOST:,} elements.")
        space, _, own = name.rpartition(" ")
        node = Node(space, own, line, attributes, [], [])
        if self._open:
            self._open[-1].children.append(node)
        else:
            self._root = node
        self._open.append(node)

    def _end(self, _name: str) -> None:
        self._open.pop()

    def _words(self, words: str) -> None:
        if self._open:
            self._open[-1].words.append(words)

    def _doctype(self, *_told: object) -> None:
        raise self._refusal("a document type (DOCTYPE)")

    def _entity(self, *_told: object) -> None:
        raise self._refusal("an entity")

    def _outside(self, *_told: object) -> int:
        raise self._refusal("a reference to another file")

    def _refusal(self, what: str) -> TorquelogError:
        return form(
            f"Line {self._parser.CurrentLineNumber} of the certificate file declares {what}.",
            "Ask the laboratory for the plain file.",
            why="No certificate needs one, and such files can do harm, so it was not read further.",
        )
