"""A record for tests of commands, and words to type into it."""

import json
import os
import shlex
import shutil
import tempfile
from pathlib import Path
from typing import Any

import pytest

from tests.cli.terminal import NOON, Played, play
from tests.project.dialogue import Keyboard, Screen
from torquelog.cli.run import run
from torquelog.clock import SetClock
from torquelog.ledger import keys

PASSPHRASE = "nine apples on the wing\n"
SAMPLES = Path(__file__).parents[2] / "sample_data"
INIT = 'init --station QHR --zone Europe/Lisbon --first TK --name "Tove Kallas" --passphrase-stdin'


FOLDERS = ("XDG_DATA_HOME", "XDG_RUNTIME_DIR", "XDG_STATE_HOME")
_kept = tempfile.TemporaryDirectory(prefix="torquelog-hangar-")
_laid: dict[tuple[str, ...], Path] = {}


class Hangar:
    """Command lines typed one after the other into one record, in the folder where the test stands.

    Lines that set it up are typed once; later tests get copies of what they left.
    """

    def __init__(self, *set_up: str) -> None:
        self.now = NOON
        shutil.copytree(SAMPLES, "sample_data")
        if set_up in _laid:
            self._copy(_laid[set_up], back=True)
            return
        # The cheaper of the two costs that a key may have, whether or not a test has forbidden the other one.
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(keys, "LARGEST_N", keys.SMALLEST_N)
            for line in (INIT, *set_up):
                self.did(line, PASSPHRASE if "--passphrase-stdin" in line else "")
        _laid[set_up] = Path(_kept.name) / str(len(_laid))
        self._copy(_laid[set_up], back=False)

    def _copy(self, kept: Path, *, back: bool) -> None:
        for name in FOLDERS:
            ends = (kept / name, Path(os.environ[name]))
            shutil.copytree(*(ends if back else ends[::-1]), dirs_exist_ok=True)

    def type(self, line: str, stdin: str = "") -> Played:
        """Type a line after "torquelog"; what was written, and the exit status."""
        return play(shlex.split(line), stdin=stdin, now=self.now)

    def did(self, line: str, stdin: str = "") -> str:
        """Type a line that has to end with 0; what was answered."""
        played = self.type(line, stdin)
        assert played.exit == 0, played.err
        return played.out

    def data(self, line: str, stdin: str = "") -> Any:
        """The data of an answer that has to end with 0."""
        return json.loads(self.did(f"{line} --json", stdin))["data"]

    def refused(self, line: str, stdin: str = "") -> tuple[int, list[str]]:
        """The exit status of a line, and the codes of its problems."""
        played = self.type(f"{line} --json", stdin)
        return played.exit, [problem["code"] for problem in json.loads(played.out)["problems"]]

    def talked(self, line: str, *said: str) -> tuple[int, str]:
        """Type a line on a terminal and answer its questions as these lines say; status and screen."""
        screen = Screen()
        keyboard = Keyboard(screen, said)
        status = run(
            shlex.split(line), clock=SetClock(self.now), stdin=keyboard, stdout=screen, stderr=screen
        )
        return status, screen.getvalue()
