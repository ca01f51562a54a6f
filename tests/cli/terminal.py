"""Streams for the tests: a pipe, and a terminal that is played."""

import io
from collections.abc import Sequence
from typing import NamedTuple

from torquelog.cli.run import run
from torquelog.clock import SetClock, from_utc_text

NOON = from_utc_text("2026-11-25T14:07:31.000Z")
"""The moment at which commands run in the tests unless they say otherwise: a Wednesday."""


class Pipe(io.StringIO):
    """A text stream that is no terminal, of the encoding it is told."""

    def __init__(self, content: str = "", encoding: str = "utf-8") -> None:
        super().__init__(content)
        self.named = encoding

    @property
    def encoding(self) -> str:  # type: ignore[override]
        return self.named

    def isatty(self) -> bool:
        return False


class Terminal(Pipe):
    """A text stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


class Played(NamedTuple):
    """What a command wrote and ended with."""

    exit: int
    out: str
    err: str


def play(
    args: Sequence[str],
    *,
    stdin: str = "",
    terminal: bool = False,
    encoding: str = "utf-8",
    now: int = NOON,
) -> Played:
    """Run a command line with streams of our own."""
    kind = Terminal if terminal else Pipe
    out, err = kind(encoding=encoding), kind(encoding=encoding)
    status = run(args, clock=SetClock(now), stdin=kind(stdin), stdout=out, stderr=err)
    return Played(status, out.getvalue(), err.getvalue())
