"""How long one transaction goes on, and how long others are let in before the next, so that no writer waits long."""

from collections.abc import Callable
from typing import Final

HOLD: Final = 0.15
"""Seconds that one transaction takes, its commit included; a writer that waits gets its turn after it."""

LEAST: Final = 0.02
"""Seconds for which it goes on taking rows however long the last commit took."""

PAUSE: Final = 0.055
"""Seconds between two transactions. A writer that waits looks again after 50 ms at the latest for its first 228 ms,
then every 100 ms: so it finds the pause after the transaction that it met, as long as that took no longer than meant.
"""


class Turns:
    """Transactions of bounded time with pauses between them."""

    def __init__(self, seconds: Callable[[], float], pause: Callable[[float], None]) -> None:
        """Begin outside of a transaction.

        Args:
            seconds: the time that passes.
            pause: lets so many seconds pass.
        """
        self._seconds, self._pause = seconds, pause
        self._end = self._ended = 0.0
        self._beyond = 0.0  # seconds that transactions took lately beyond the taking of rows

    def begin(self) -> None:
        """A transaction has begun."""
        self._end = self._seconds() + max(LEAST, HOLD - self._beyond)

    def over(self) -> bool:
        """Whether it has taken rows for long enough."""
        return self._seconds() >= self._end

    def end(self) -> None:
        """It was committed."""
        self._ended = self._seconds()
        self._beyond = max(self._ended - self._end, self._beyond / 2)

    def let_others(self) -> None:
        """Let the rest of the pause pass, before the next one begins."""
        left = self._ended + PAUSE - self._seconds()
        if left > 0:
            self._pause(left)
