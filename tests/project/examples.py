"""The examples of every help, and how one is carried out in the station that is set up for them."""

import io
import shutil
from pathlib import Path

import pytest

from tests.project.dialogue import DAY, lay_samples, own_home, parsed
from tests.project.world import SET_UP
from torquelog.cli.app import root
from torquelog.cli.command import Example
from torquelog.cli.group import load
from torquelog.cli.run import run
from torquelog.cli.table import paths
from torquelog.clock import SetClock

COMMANDS = [(name, load(entry)) for name, entry in paths()]
EXAMPLES: list[tuple[str, Example]] = [
    (name, example)
    for name, command in [("", root), *COMMANDS]
    for example in getattr(command, "examples", ())
]
IDS = [f"{name or 'torquelog'}-{number}" for number, (name, _) in enumerate(EXAMPLES)]

BEGINNING = {"init"}
"""Commands that are tried where there is no record yet."""


def typed(line: str, stdin: str = "", *more: str, screen: io.StringIO | None = None) -> tuple[int, str, str]:
    """Carry out a command line; its status and what it wrote.

    Args:
        line: what is typed, with the file that it reads or writes.
        stdin: what it reads, where it names no file.
        more: words that are added.
        screen: where it writes everything; two pipes by default.
    """
    words, source, target = parsed(line)
    given = Path(source).read_text(encoding="utf-8") if source else stdin
    read = io.StringIO(given) if isinstance(given, str) else given
    out, err = (screen, screen) if screen else (io.StringIO(), io.StringIO())
    status = run([*words, *more], clock=SetClock(DAY), stdin=read, stdout=out, stderr=err)
    if target:
        Path(target).write_text(out.getvalue(), encoding="utf-8")
    return status, out.getvalue(), err.getvalue()


class Station:
    """A folder with a station that is set up, laid anew for each example."""

    def __init__(self, place: Path) -> None:
        self.home, self._kept = place / "home", place / "kept"
        self.home.mkdir()
        lay_samples(self.home)
        with pytest.MonkeyPatch.context() as patch:
            own_home(patch, self.home)
            patch.chdir(self.home)
            for line, stdin in SET_UP:
                status, _, err = typed(line, stdin)
                assert status in {0, 4}, f"{line}\n{err}"
        shutil.copytree(self.home, self._kept)

    def lay(self, patch: pytest.MonkeyPatch, name: str) -> None:
        """Lay it for an example of this command, and stand in it."""
        shutil.rmtree(self.home)
        if name in BEGINNING:
            self.home.mkdir()
        else:
            shutil.copytree(self._kept, self.home)
        own_home(patch, self.home)
        patch.chdir(self.home)
