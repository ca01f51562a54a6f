"""A file as lines of text, in bounded memory whatever it holds.

A wrong encoding and a line without an end say something of the whole file: reading stops there.
"""

from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple

from torquelog.errors import TorquelogError

LONGEST: Final = 64 << 10
"""Bytes of the longest line that is read."""

MARK: Final = b"\xef\xbb\xbf"
"""The byte order mark of UTF-8, which spreadsheets put in front."""

OTHER_MARKS: Final = (b"\xff\xfe", b"\xfe\xff")
"""What files in UTF-16 and UTF-32 begin with."""


class Line(NamedTuple):
    """One line of a file: its number, counted from 1, and its text without its end."""

    number: int
    text: str


class Lines:
    """The lines of a file, read once from its beginning to its end.

    Attributes:
        marked: whether the file began with a byte order mark; known once the first line was read.
    """

    def __init__(self, chunks: Iterable[bytes]) -> None:
        """Begin with the bytes of the file, piece by piece."""
        self.marked = False
        self._pieces = _pieces(chunks)

    def __iter__(self) -> Iterator[Line]:
        """Each line; raises `file-encoding` or `file-form` where the file cannot be read on."""
        for number, piece in enumerate(self._pieces, start=1):
            content = piece
            if number == 1:
                _demand_utf_8(content)
                self.marked = content.startswith(MARK)
                content = content.removeprefix(MARK)
            yield Line(number, _decoded(content.removesuffix(b"\r"), number))


def _pieces(chunks: Iterable[bytes]) -> Iterator[bytes]:
    rest, number = b"", 1
    for chunk in chunks:
        *ended, last = chunk.split(b"\n")
        for piece in ended:
            yield _short(rest + piece, number)
            rest, number = b"", number + 1
        rest = _short(rest + last, number)
    if rest:
        yield rest


def _short(piece: bytes, number: int) -> bytes:
    if len(piece) > LONGEST:
        raise TorquelogError(
            "file-form",
            f"Line {number:,} is longer than {LONGEST >> 10} KiB.",
            why="A row is a line, and no row needs as much.",
            hint="Look whether it is the file that you mean, and whether its lines end.",
        )
    return piece


def _demand_utf_8(first: bytes) -> None:
    if first.startswith(OTHER_MARKS):
        raise TorquelogError(
            "file-encoding",
            "The file is written in UTF-16 or UTF-32, not in UTF-8.",
            hint="Save it again as UTF-8.",
        )


def _decoded(content: bytes, number: int) -> str:
    try:
        return content.decode()
    except UnicodeDecodeError as error:
        raise TorquelogError(
            "file-encoding",
            f"Line {number:,} is not UTF-8 text: its byte {error.start + 1} does not fit.",
            hint="Save it again as UTF-8.",
        ) from None
