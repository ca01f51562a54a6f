"""How far a long piece of work has come, shown on a terminal while it lasts."""

from collections.abc import Callable
from time import monotonic
from typing import Final

from torquelog.cli import words
from torquelog.cli.context import Context, is_terminal

WIDTH: Final = 60
"""Signs of the line that shows it."""

LONG: Final = 2.0
"""Seconds after which there is a speed to speak of."""


QUIET: Final = 1.0
"""Seconds in which nothing is shown."""


class Progress:
    """Shows on a terminal how far a piece of work has come, and about how long it still takes.

    Nothing is shown in a pipe, nor beside an envelope.
    """

    def __init__(
        self,
        context: Context,
        things: str,
        seconds: Callable[[], float] = monotonic,
        *,
        quiet: float | None = None,
    ) -> None:
        """Begin now.

        Args:
            context: the surroundings; it is shown on standard error.
            things: what is counted, such as "entries".
            seconds: the time that passes.
            quiet: seconds in which nothing is shown, as most work is done by then; `QUIET` where none is named.
        """
        self._stream = context.stderr if is_terminal(context.stderr) and not context.json else None
        self._things, self._quiet = things, QUIET if quiet is None else quiet
        self._seconds = seconds
        self._shown = False
        self.begin()

    def begin(self) -> None:
        """Begin now: the time before does not count."""
        self._start = self._seconds()

    def __call__(self, done: int, total: int) -> None:
        """Show it; at the end nothing of it stays."""
        if self._stream is None:
            return
        spent = self._seconds() - self._start
        if done >= total:
            self.clear()
        elif spent >= self._quiet:
            left = _left(spent, done, total)
            told = f"{words.number(done)} of {words.number(total)} {self._things}{left}"
            self._write("\r" + told.ljust(WIDTH))
            self._shown = True

    def clear(self) -> None:
        """Take away what is shown."""
        if self._shown:
            self._write("\r" + " " * WIDTH + "\r")
            self._shown = False

    def _write(self, text: str) -> None:
        if self._stream is not None:
            self._stream.write(text)
            self._stream.flush()


def _left(spent: float, done: int, total: int) -> str:
    """The time that is left at the speed so far; "" before there is a speed to speak of."""
    if spent < LONG or not done:
        return ""
    left = round(spent * (total - done) / done)
    if left < 90:
        return f", about {words.count(left, 'second')} left"
    return f", about {words.count(round(left / 60), 'minute')} left"
