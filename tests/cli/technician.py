"""A technician at `torquelog work`: types lines on a terminal or into a pipe, five seconds apart."""

import io
import os
import shlex
from collections.abc import Sequence
from pathlib import Path

from tests.cli.hangar import Hangar
from tests.cli.terminal import NOON, Pipe, Terminal
from torquelog.cli.run import run
from torquelog.clock import SetClock

SCREENS = Path(__file__).parent / "screens"
"""Screens as they were when a person last read them."""

WRENCH = (
    "wrench add W-0417 --type setting --range '20..100 ft-lb' --graduation 0.5 --lever '12 in' --accuracy '4 %' "
    "--every '12 months' --cycles 5000"
)
SET_UP = (
    WRENCH,
    "wrench calibrate W-0417 --certificate C-2026-118 --on 2026-11-09 --points sample_data/wrench-results.csv --accept",
    "adapter add A-03 --length '3 in'",
    "wrench issue W-0417 --to TK",
    "assembly add WH-2231 --part EX-4410-1 --kind wheel",
    "card load sample_data/main-wheel-build.toml",
    'card approve MW-BUILD --why "nobody else is here" --passphrase-stdin',
    "job open J-5 --card MW-BUILD --assembly WH-2231",
)


class Keys(io.StringIO):
    """Types the next line each time something is read, and lets some seconds pass."""

    encoding = "utf-8"

    def __init__(self, lines: Sequence[str], clock: SetClock, echo: io.StringIO | None) -> None:
        super().__init__()
        self.lines, self.clock, self.echo = iter(lines), clock, echo

    def isatty(self) -> bool:
        return self.echo is not None

    def readline(self, _longest: int = -1, /) -> str:  # type: ignore[override]
        self.clock.moment += 5000
        line = next(self.lines, None)
        if line is None:
            return ""
        if self.echo is not None:
            self.echo.write(f"{line}\n")
        return f"{line}\n"


class Technician:
    """Somebody who works at a station that is set up."""

    def __init__(self) -> None:
        self.hangar = Hangar(*SET_UP)
        self.clock = SetClock(NOON)

    def work(
        self, *lines: str, command: str = "work J-5", terminal: bool = True, encoding: str = "utf-8"
    ) -> tuple[int, str]:
        """Type the command, then these lines; the exit status, and everything that was shown."""
        shown = (Terminal if terminal else Pipe)(encoding=encoding)
        keys = Keys(lines, self.clock, shown if terminal else None)
        status = run(shlex.split(command), clock=self.clock, stdin=keys, stdout=shown, stderr=shown)
        self.hangar.now = self.clock.moment
        return status, shown.getvalue()

    def screens(self, *lines: str, **how: str) -> list[str]:
        """Each screen that was drawn, in turn, without what clears it."""
        _, shown = self.work(*lines, **how)
        return shown.split("\x1b[H\x1b[2J")


def compare(name: str, shown: str) -> None:
    """Demand that a screen is the one that was read last; TORQUELOG_SCREENS=write keeps a new one to be read."""
    path = SCREENS / f"{name}.txt"
    text = "\n".join(line.rstrip() for line in shown.rstrip().split("\n")) + "\n"
    if os.environ.get("TORQUELOG_SCREENS") == "write":
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    assert text == path.read_text(encoding="utf-8")
