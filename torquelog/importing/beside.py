"""What comes one after the other, made by a process of its own beside this one, where there is a core for it.

The other process is a copy of this one that only makes things and hands them over: it writes nothing to the record, and
it ends when this one has what it wants, or is gone. A short list is made on the spot.
"""

import os
import pickle
import signal
import sys
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from queue import Queue
from threading import Thread
from typing import Any, BinaryIO, Final, NoReturn, TypeVar

from torquelog.book.signatures import cores
from torquelog.errors import TorquelogError

Thing = TypeVar("Thing")

AHEAD: Final = 40
"""How many things wait at most to be handed over."""

THING, END, ERROR = range(3)
"""What a message is."""


@contextmanager
def beside(make: Callable[[], Iterator[Thing]], *, worth: bool) -> Iterator[Iterator[Thing]]:
    """The things that `make` gives, made beside this process where that is worth it and can be; else on the spot.

    Args:
        make: begins the making. What it uses may be used by this process only after the block.
        worth: whether there are so many that a process of its own pays.
    """
    if not (worth and sys.platform == "linux" and cores() > 1):
        yield make()
        return
    read_end, write_end = os.pipe()
    # Until somebody is there to end the other process Ctrl-C waits; in that process it waits for ever.
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    child = _begin(make, read_end, write_end)
    try:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
        os.close(write_end)
        with open(read_end, "rb") as stream:
            yield make() if child is None else _taken(stream)
    finally:
        if child is not None:
            _end(child)


def _begin(make: Callable[[], Iterator[Any]], read_end: int, write_end: int) -> int | None:
    """Let another process begin; nothing where the system has none to spare."""
    with warnings.catch_warnings():
        # A warning of other threads; what is made needs no lock that one of them could hold.
        warnings.simplefilter("ignore", DeprecationWarning)
        try:
            child = os.fork()
        except OSError:
            return None
    if child == 0:
        _make(make, read_end, write_end)
    return child


def _end(child: int) -> None:
    # Neither is there where nobody wants to hear of processes that ended.
    with suppress(ChildProcessError, ProcessLookupError):
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)


def _taken(stream: BinaryIO) -> Iterator[Any]:
    """The things, as they are handed over; raises what the making of one raised."""
    while True:
        try:
            what, content = pickle.load(stream)  # noqa: S301  from our own process, through a pipe that nobody else has
        except EOFError:
            raise _gone() from None
        if what == ERROR:
            raise content
        if what == END:
            return
        yield content


def _gone() -> TorquelogError:
    return TorquelogError(
        "interrupted",
        "A process that this one let work beside it ended before it was done.",
        why="Somebody stopped it, or the computer has no memory left.",
        hint="Run the same command again: it goes on where it stopped.",
    )


def _make(make: Callable[[], Iterator[Any]], read_end: int, write_end: int) -> NoReturn:
    """Make things and hand them over, until the last one or until nobody takes them."""
    try:
        os.close(read_end)
        waiting: Queue[bytes] = Queue(AHEAD)
        hands = Thread(target=_hand_over, args=(waiting, write_end))
        hands.start()
        try:
            for thing in make():
                waiting.put(pickle.dumps((THING, thing)))
            last = pickle.dumps((END, None))
        except Exception as error:  # whatever it is, it is raised on in the other process
            last = pickle.dumps((ERROR, error))
        waiting.put(last)
        waiting.put(b"")
        hands.join()
    finally:
        os._exit(0)


def _hand_over(waiting: "Queue[bytes]", pipe: int) -> None:
    try:
        with open(pipe, "wb") as out:
            while message := waiting.get():
                out.write(message)
                out.flush()
    except OSError:  # nobody takes it any more
        os._exit(0)
