"""A technician whose machine is switched off at any moment: goes on with a job until killed, and prints what is shown.

As a command: `python -m tests.faults.technician FOLDER` types at `torquelog work --lines`; its record was laid by
`prepare`. Who signs is handed in, as every round is a session of the system of its own.
"""

import io
import sys
from pathlib import Path

from tests.faults.laid import RECORD, lay, signed_in
from tests.support.books import HOUR, NOON
from torquelog.cli import work
from torquelog.cli.context import Context
from torquelog.clock import SetClock
from torquelog.work import doing

JOB = "J-1"
COUNT = 800
PASSES = ("20 %", "30 %", "40 %", "50 %", "60 %", "70 %", "80 %", "90 %", "100 %")
GROUP = {"id": "tie-bolt", "on": "wheel", "count": COUNT, "torque": "100..110 N·m", "passes": list(PASSES)}
PAUSE = 2000
LATER = NOON + HOUR


def prepare(folder: Path) -> None:
    """A record with one job of 7,200 readings, more than 200 rounds come to, and the key that signs them beside it."""
    lay(folder, GROUP)


class Hands(io.StringIO):
    """Types what the session asks for: the wrench, each pass's setting, and Enter at each bolt."""

    def __init__(self, driver: "list[work.Driver]", clock: SetClock) -> None:
        super().__init__()
        self.driver, self.clock = driver, clock

    def isatty(self) -> bool:
        return False

    def readline(self, _longest: int = -1, /) -> str:  # type: ignore[override]
        from torquelog.work.session_question import question

        self.clock.moment += PAUSE
        asked = question(self.driver[0].session)
        if asked.kind == "wrench":
            return "W-0417\n"
        if asked.kind == "setting" and asked.aim is not None and asked.aim.dial is not None:
            return f"{asked.aim.dial.value}\n"
        return "\n"


def main() -> None:
    """Work on, from where the record stands, until killed or done."""
    folder = Path(sys.argv[1])
    signer = signed_in(folder)
    clock = SetClock(0)
    drivers: list[work.Driver] = []
    context = Context(clock=clock, stdin=Hands(drivers, clock), stdout=sys.stdout, stderr=sys.stderr)
    context.db, context.clock_ok = str(folder / RECORD), True
    book = context.book("write")
    (clock.moment,) = book.connection.execute("SELECT max(recorded) FROM reading").fetchone()
    clock.moment = (clock.moment or LATER) + PAUSE
    work.signed_in = lambda _context, _book: signer  # type: ignore[assignment]
    drivers.append(work.Driver(context, book, doing.begin(book, JOB, "TK"), lines=True))
    drivers[0].run()


if __name__ == "__main__":
    main()
