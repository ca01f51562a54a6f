"""Telling how far a long piece of work has come: who does it says a word now and then, who asked for it listens."""

from collections.abc import Callable, Iterable, Iterator
from typing import Final, TypeVar

Thing = TypeVar("Thing")

Progress = Callable[[int, int], None]
"""Takes how much is done, and how much there is to do."""

STRIDE: Final = 100
"""Things between two words."""


def counted(things: Iterable[Thing], total: int, progress: Progress | None) -> Iterator[Thing]:
    """The things as they are, with a word for each hundred of them, and one at the end that says that all is done."""
    if progress is None:
        yield from things
        return
    for done, thing in enumerate(things, start=1):
        yield thing
        if done % STRIDE == 0 and done < total:
            progress(done, total)
    progress(total, total)
