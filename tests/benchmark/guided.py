"""Figures typed at a bolt of `torquelog work`: from the line that was read to the signed, durable, shown reading."""

import io
import statistics
import time
from pathlib import Path

from tests.benchmark import bare
from tests.benchmark.recording import AGAINST
from tests.benchmark.scene import PASSPHRASE, set_up
from tests.benchmark.timing import Figure, figure
from tests.support.books import sign_in
from torquelog.book.log_room import make_room
from torquelog.book.opening import Book, open_book
from torquelog.book.signer import Signer
from torquelog.cli.context import Context
from torquelog.cli.work import Driver
from torquelog.clock import SystemClock
from torquelog.work import doing
from torquelog.work.session_question import question
from torquelog.work.signing import unlock

COUNT = 200
MANY = 100_000


def figures(folder: Path, many: int = MANY) -> list[Figure]:
    """A reading beside the bare loop, and one in a large record beside one in a small record."""
    small, large = folder / "guided-small", folder / "guided-large"
    for place in (small, large):
        place.mkdir()
        set_up(place, 0 if place == small else many)
    few, lots = acknowledged(small), acknowledged(large)
    base = statistics.median(bare.commits(small / "scene.db", small / "bare.db", COUNT))
    return [
        figure("work: a figure typed at a bolt", AGAINST, few, base, most=3.0),
        figure(f"the same after {many:,} readings", "a small record", lots, few, most=1.2),
    ]


def acknowledged(folder: Path) -> float:
    """The median of so many readings, in seconds."""
    book = open_book(folder / "scene.db", "write", SystemClock(), clock_ok=True)
    signer = sign_in(book, unlock(book, "AA", PASSPHRASE))
    make_room(book)
    spent: list[float] = []
    job = 0
    while len(spent) < COUNT:
        spent += _job(book, signer, f"J-{job}")[1:]
        job += 1
    book.close()
    return statistics.median(spent[:COUNT])


class Hands(io.StringIO):
    """Types what is asked for, and notes when; what is shown goes to `Shown`."""

    def __init__(self, shown: "Shown") -> None:
        super().__init__()
        self.shown = shown
        self.driver: Driver | None = None

    def isatty(self) -> bool:
        return False

    def readline(self, _longest: int = -1, /) -> str:  # type: ignore[override]
        assert self.driver is not None
        asked = question(self.driver.session)
        dial = asked.aim.dial.value if asked.aim is not None and asked.aim.dial is not None else "W-0001"
        self.shown.typed = time.perf_counter()
        return f"{dial}\n"


class Shown(io.StringIO):
    """Notes how long each reading took to be acknowledged."""

    def __init__(self) -> None:
        super().__init__()
        self.typed = 0.0
        self.spent: list[float] = []

    def write(self, text: str, /) -> int:
        if " within " in text:
            self.spent.append(time.perf_counter() - self.typed)
        return super().write(text)


def _job(book: Book, signer: Signer, name: str) -> list[float]:
    """The seconds of each reading of a job."""
    shown = Shown()
    hands = Hands(shown)
    context = Context(clock=book.clock, stdin=hands, stdout=shown, stderr=shown)
    hands.driver = Driver(context, book, doing.begin(book, name, signer.person), lines=True)
    context.adopt(book)
    hands.driver.signer = lambda: signer  # type: ignore[method-assign]
    hands.driver.run()
    return shown.spent


def main() -> None:
    """These figures alone."""
    import tempfile

    from tests.benchmark.timing import table

    with tempfile.TemporaryDirectory() as folder:
        print(table(figures(Path(folder))))


if __name__ == "__main__":
    main()
