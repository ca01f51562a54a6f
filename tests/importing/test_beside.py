"""Facts about things that another process makes: the same ones in the same order, and nobody is left behind."""

import errno
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from itertools import count

import pytest

from torquelog.errors import TorquelogError
from torquelog.importing import beside as module
from torquelog.importing.beside import AHEAD, beside


@pytest.fixture(autouse=True)
def two_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    """As if there were a second core."""
    monkeypatch.setattr(module, "cores", lambda: 2)


def things(last: int = 300) -> Iterator[tuple[int, int, str]]:
    """The process that makes each, its number, and more than a pipe holds of it."""
    for number in range(last):
        yield os.getpid(), number, "x" * 5000


@pytest.mark.parametrize(("worth", "cores", "own"), [(True, 2, False), (False, 2, True), (True, 1, True)])
def test_things_come_in_their_order(
    monkeypatch: pytest.MonkeyPatch, worth: bool, cores: int, own: bool
) -> None:
    """More than wait at once, and more than a pipe takes; by another process where that pays and there is a core."""
    monkeypatch.setattr(module, "cores", lambda: cores)
    with beside(things, worth=worth) as made:
        found = list(made)
    assert [number for _, number, _ in found] == list(range(300))
    assert len(found) > AHEAD
    assert {pid == os.getpid() for pid, _, _ in found} == {own}


def failing(error: Exception) -> Callable[[], Iterator[int]]:
    """Makes two things, and then there is trouble."""

    def make() -> Iterator[int]:
        yield 1
        yield 2
        raise error

    return make


def test_trouble_in_the_making_is_raised_where_things_are_taken() -> None:
    """After what was made before; an error for a person with all its words, a defect as what it is."""
    error = TorquelogError("file-form", "Line 7 is longer.", why="A row is a line.", hint="Look at it.")
    taken: list[int] = []
    with beside(failing(error), worth=True) as made, pytest.raises(TorquelogError) as caught:
        taken.extend(made)
    found = caught.value
    assert (found.code, found.what, found.why, found.hint, found.exit) == (
        "file-form", "Line 7 is longer.", "A row is a line.", "Look at it.", 2
    )  # fmt: skip
    with (
        beside(failing(ZeroDivisionError("by nought")), worth=True) as made,
        pytest.raises(ZeroDivisionError),
    ):
        list(made)


def test_what_cannot_be_handed_over_is_a_defect_and_no_silence() -> None:
    """A thing that cannot be written down ends with an error, not with a short list."""
    with (
        beside(lambda: iter([1, lambda: None]), worth=True) as made,
        pytest.raises(Exception, match="pickle"),
    ):
        list(made)


def endless() -> Iterator[int]:
    """Things without an end, the process that makes them first."""
    yield os.getpid()
    yield from count()


def test_whoever_has_enough_leaves_nobody_behind() -> None:
    """At the end of the block the other process is gone, also where Ctrl-C was pressed in it."""
    makers = []

    def take(*, pressed: bool) -> None:
        with beside(endless, worth=True) as made:
            makers.append(next(made))
            assert next(made) == 0
            if pressed:
                raise KeyboardInterrupt

    take(pressed=False)
    with pytest.raises(KeyboardInterrupt):
        take(pressed=True)
    for maker in makers:
        with pytest.raises(ProcessLookupError):
            os.kill(maker, 0)


def test_whoever_waits_for_something_else_is_not_waited_for() -> None:
    """A file that comes through a pipe may stop for an hour; the block ends at once."""
    read_end, write_end = os.pipe()

    def make() -> Iterator[int]:
        yield 1
        os.read(read_end, 1)

    with beside(make, worth=True) as made:
        assert next(made) == 1
    os.close(read_end)
    os.close(write_end)


def test_a_process_that_is_gone_is_told() -> None:
    """Nothing is taken for the end that is not the end."""

    def make() -> Iterator[int]:
        yield 1
        os.kill(os.getpid(), signal.SIGKILL)
        yield 2

    with beside(make, worth=True) as made, pytest.raises(TorquelogError) as caught:
        list(made)
    assert caught.value.code == "interrupted"


def test_ctrl_c_is_for_the_one_that_writes() -> None:
    """A terminal sends it to both; the one that makes things goes on until it is told, and says nothing."""

    def make() -> Iterator[int]:
        yield 1
        os.kill(os.getpid(), signal.SIGINT)
        yield 2

    with beside(make, worth=True) as made:
        assert list(made) == [1, 2]
    assert signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, ())


PROGRAM = """
import os, signal
from itertools import count
from torquelog.importing import beside as module
module.cores = lambda: 2
with module.beside(count, worth=True) as made:
    next(made)
    print("begun", flush=True)
    os.kill(os.getpid(), signal.SIGKILL)
"""


def test_who_makes_things_for_nobody_ends() -> None:
    """The one that takes them was killed: the other holds its output no longer, or this test would wait for ever."""
    done = subprocess.run([sys.executable, "-c", PROGRAM], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (-signal.SIGKILL, "begun\n", "")


def test_where_no_process_can_begin_things_are_made_on_the_spot(monkeypatch: pytest.MonkeyPatch) -> None:
    """The system allows so many processes, or has no memory for another one."""

    def none_left() -> int:
        raise BlockingIOError(errno.EAGAIN, "Resource temporarily unavailable")

    monkeypatch.setattr(os, "fork", none_left)
    with beside(things, worth=True) as made:
        assert {pid for pid, _, _ in made} == {os.getpid()}
    assert signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, ())


PRESSED = """
import os, signal
from itertools import count
from torquelog.importing import beside as module
module.cores = lambda: 2
fork, begun = os.fork, []
def pressed():
    child = fork()
    if child:
        begun.append(child)
        os.kill(os.getpid(), signal.SIGINT)
    return child
os.fork = pressed
try:
    with module.beside(count, worth=True) as made:
        next(made)
except KeyboardInterrupt:
    try:
        os.kill(begun[0], 0)
    except ProcessLookupError:
        print("nobody is left")
"""


def test_ctrl_c_in_the_moment_of_the_beginning_leaves_nobody_behind() -> None:
    """It is pressed when the other process has just begun and nothing was taken from it yet."""
    done = subprocess.run([sys.executable, "-c", PRESSED], capture_output=True, text=True, check=False)
    assert (done.stdout, done.stderr) == ("nobody is left\n", "")
