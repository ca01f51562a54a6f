"""A program that sends readings to `record --lines` for as long as it lives, and prints every envelope it is given.

As a command: `python -m tests.faults.recorder FOLDER`; its record was laid by `prepare`. Who signs is handed in, as every
round is a session of the system of its own.
"""

import io
import json
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from tests.faults.laid import RECORD, lay, signed_in
from tests.faults.technician import LATER
from torquelog.cli import record
from torquelog.cli.context import Context
from torquelog.clock import SetClock

COUNT: Final = 400
GROUP: Final = {"id": "tie-bolt", "on": "wheel", "count": COUNT, "torque": "100..110 N·m"}


def prepare(folder: Path) -> None:
    """A record with one job of many bolts, and the key that signs the readings beside it."""
    lay(folder, GROUP)


class Sender(io.BytesIO):
    """Hands one reading on at a time, or several that arrived together."""

    def __init__(self, clock: SetClock) -> None:
        super().__init__()
        self.clock = clock
        self.numbers: Iterator[int] = iter(range(1, 1_000_000))

    def read1(self, _size: int | None = -1, /) -> bytes:
        self.clock.moment += 1
        first = next(self.numbers)
        together = [first, next(self.numbers)] if first % 5 == 0 else [first]
        return b"".join(json.dumps(reading(number)).encode() + b"\n" for number in together)


def reading(number: int) -> dict[str, Any]:
    """One reading, with an id that nothing else has."""
    return {
        "fastener": f"tie-bolt:{number % COUNT + 1}", "reading": "105 N·m", "job": "J-1", "wrench": "W-0417",
        "loosened": True, "id": os.urandom(16).hex(),
    }  # fmt: skip


def main() -> None:
    """Record on, from where the record stands, until killed."""
    folder = Path(sys.argv[1])
    signer = signed_in(folder)
    clock = SetClock(LATER)
    stdin = type("Pipe", (), {"buffer": Sender(clock), "isatty": lambda _self: False})()
    context = Context(clock=clock, stdin=stdin, stdout=sys.stdout, stderr=sys.stderr)
    context.db, context.clock_ok, context.json = str(folder / RECORD), True, True
    (newest,) = context.book("write").connection.execute("SELECT max(recorded) FROM reading").fetchone()
    clock.moment = max(newest or 0, LATER) + 1
    record.signed_in = lambda _context, _book: signer  # type: ignore[assignment]
    record._lines(context)


if __name__ == "__main__":
    main()
