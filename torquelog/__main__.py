"""`torquelog`, and `python -m torquelog`."""

import gc
import os
import sys
from contextlib import suppress
from typing import Final, NoReturn

OBJECTS_BETWEEN_LOOKS: Final = 100_000
"""How many new objects the interpreter lets pass before it looks for garbage; its own 700 cost a start-up two
milliseconds in imports that make none."""

gc.set_threshold(OBJECTS_BETWEEN_LOOKS, 20, 20)

COMPLETES: Final = "_TORQUELOG_COMPLETE"
"""Set where a shell asks what a word may become; see `torquelog.cli.completing`."""


def main() -> NoReturn:
    """Carry out the words of the command line and end with their exit status."""
    if COMPLETES in os.environ:
        from torquelog.cli.completing import main as complete

        leave(complete())
    from torquelog.cli.run import run

    leave(run(sys.argv[1:]))


def leave(status: int) -> NoReturn:
    """End the process at once. `run` has closed what it opened and written what there was to write.

    Taking the interpreter down in order would only free memory that the system frees anyway, and would take a
    sixth of the time of a short command.
    """
    for stream in (sys.stdout, sys.stderr):
        with suppress(AttributeError, OSError, ValueError):  # closed, or its reader is gone
            stream.flush()
    os._exit(status)


if __name__ == "__main__":
    main()
