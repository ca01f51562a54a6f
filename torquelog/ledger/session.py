"""Which session of the system this process belongs to: a terminal's, or one without a terminal."""

import os
from typing import Final

PROCESSES: Final = "/proc"
BOOT: Final = "/proc/sys/kernel/random/boot_id"
TERMINAL: Final = "/dev/tty"


def session() -> str:
    """A text that is the same for every command of one terminal and differs after it was closed.

    It holds the session's number, the terminal's device where there is one, and, where the system tells them,
    the start of the session's first process and of the system itself: numbers alone come again.
    """
    number = os.getsid(0) if hasattr(os, "getsid") else 0
    own, first = _status("self"), _status(str(number))
    # proc(5), stat: field 7 is the controlling terminal, field 22 when the process started.
    terminal = own[4] if own else _device()
    started = first[19] if first else ""
    return f"{number}:{terminal}:{started}:{_line(BOOT)}"


def _status(process: str) -> list[str]:
    """The fields of a process from the third on: before them stands a name that may hold anything."""
    return _line(f"{PROCESSES}/{process}/stat").rpartition(")")[2].split()


def _line(path: str) -> str:
    try:
        with open(path, encoding="utf-8", errors="replace") as file:
            return file.read(4096).strip()
    except OSError:
        return ""


def _device() -> str:
    """Whether there is a terminal, where the system has no list of processes; redirecting changes nothing."""
    try:
        with open(TERMINAL, "rb", buffering=0) as terminal:
            return str(os.fstat(terminal.fileno()).st_rdev)
    except OSError:
        return "0"
