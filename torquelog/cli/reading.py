"""Standard input as lines: one at a time for answers and passphrases, all that has arrived for `--lines`.

Read below the text layer, which reads ahead: a passphrase taken from the first line leaves the rest to
others.
"""

from collections.abc import Callable, Iterator
from io import BufferedReader
from typing import Final, NamedTuple, TextIO

LONGEST: Final = 1 << 20
"""Bytes of one line that are kept; a longer one is passed over without filling the memory."""

CHUNK: Final = 1 << 16
"""Bytes that are taken at once."""


AWAKE: Final = 0.0005
"""Seconds that a process waits awake for the next line."""


class Line(NamedTuple):
    """One line of standard input.

    Attributes:
        number: counted from 1.
        content: the bytes of the line without its end.
        whole: whether these are all of them; False where the line was longer than is read.
    """

    number: int
    content: bytes
    whole: bool = True


def next_line(stream: TextIO, longest: int) -> bytes:
    """The next line with its end, at most `longest` bytes of it; nothing at the end of the input."""
    buffer = getattr(stream, "buffer", None)
    if buffer is None:
        return stream.readline(longest).encode("utf-8", "surrogateescape")
    line: bytes = buffer.readline(longest)
    return line


def batches(stream: TextIO) -> Iterator[list[Line]]:
    """The lines of a stream, those together that had arrived when they were asked for."""
    number = 0
    rest = b""
    whole = True
    for chunk in chunks(stream):
        *ended, rest_of_chunk = chunk.split(b"\n")
        arrived = []
        for piece in ended:
            number += 1
            arrived.append(finished(number, rest + piece, whole))
            rest, whole = b"", True
        rest += rest_of_chunk
        if len(rest) > LONGEST:
            rest, whole = b"", False
        if arrived:
            yield arrived
    if rest or not whole:
        yield [finished(number + 1, rest, whole)]


def finished(number: int, content: bytes, whole: bool) -> Line:
    """A line that has come to its end."""
    if not whole or len(content) > LONGEST:
        return Line(number, b"", whole=False)
    return Line(number, content.removesuffix(b"\r"))


def chunks(stream: TextIO) -> Iterator[bytes]:
    """What arrives, as it arrives; waits only while there is nothing."""
    buffer: BufferedReader | None = getattr(stream, "buffer", None)
    if buffer is None:
        yield stream.read().encode("utf-8", "surrogateescape")
        return
    wait = awake(stream)
    while chunk := buffer.read1(CHUNK):
        yield chunk
        wait()


def awake(stream: TextIO) -> Callable[[], object]:
    """What waits for more: awake for a moment, as long as what came last took no longer than that.

    A program that sends a line when it has the answer to the one before does so within a tenth of a millisecond. A
    process that goes to sleep for that does the next line slower, as the processor forgets what it was at.
    """
    from time import perf_counter

    try:
        from select import POLLIN, poll

        arrivals = poll()
        arrivals.register(stream.fileno(), POLLIN)
    except (ImportError, OSError, AttributeError):
        return bool  # the system has no such thing, or the stream is none of the system's: reading waits
    soon = True

    def wait() -> None:
        nonlocal soon
        begun = perf_counter()
        while soon and not arrivals.poll(0):
            soon = perf_counter() - begun < AWAKE
        if not soon:
            arrivals.poll()
            soon = perf_counter() - begun < AWAKE

    return wait
