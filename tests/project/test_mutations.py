"""Command lines that went wrong: each ends with a status of the table, and none with a fault or a traceback."""

import io
import random
import shlex
from pathlib import Path

import pytest

from tests.project.dialogue import DAY, lay_samples, own_home
from tests.project.test_examples import EXAMPLES, typed
from tests.project.world import SET_UP
from tests.support.measure import measured
from torquelog.cli.run import run
from torquelog.clock import SetClock

STATUSES = {0, 2, 3, 4, 5, 6}
SHORT, LONG = 400, 6000
STRANGE = (
    "", "-", "--", "-1", "−5", "44,5", "1e400", "1_000", "٣", "NaN", "640 lb", "130-140", "0", "999999999999999999999",
    "03/04/26", "2026-02-30", "2026-11-25T25:00", "tie-bolt:0", "tie-bolt:1000", "tie-bot:3", "W-0471", "QHR-999999",
    "\u202eevil", "\x1b[31m", "<b>", "=1+1", "--json", "--csv", "--help", "ａ", "\u200b", "x" * 5000, "%s", "'", '"',
)  # fmt: skip


def mutated(chance: random.Random, words: list[str]) -> list[str]:
    """One, two or three changes to the words of a command line."""
    words = list(words)
    for _ in range(chance.randint(1, 3)):
        place = chance.randrange(len(words)) if words else 0
        change = chance.randrange(6)
        if change == 0 and words:
            del words[place]
        elif change == 1:
            words.insert(place, chance.choice(STRANGE))
        elif change == 2 and words:
            words[place] = chance.choice(STRANGE)
        elif change == 3 and len(words) > 1:
            other = chance.randrange(len(words))
            words[place], words[other] = words[other], words[place]
        elif change == 4 and words and words[place]:
            at = chance.randrange(len(words[place]))
            words[place] = words[place][:at] + chance.choice("09zZ.:- ·é\t") + words[place][at + 1 :]
        elif words:
            words.insert(place, words[place])
    return words


@pytest.fixture
def station(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A station that is set up, in a folder of its own."""
    lay_samples(tmp_path)
    own_home(monkeypatch, tmp_path)
    monkeypatch.chdir(tmp_path)
    for line, stdin in SET_UP:
        status, _, err = typed(line, stdin)
        assert status in {0, 4}, f"{line}\n{err}"
    return tmp_path


def try_mutations(count: int, seed: int) -> None:
    """Try so many mutated command lines in the station that is set up here."""
    chance = random.Random(seed)
    lines = [shlex.split(example.line)[1:] for name, example in EXAMPLES if name]
    for number in range(count):
        words = mutated(chance, chance.choice(lines))
        shown, told_of = io.StringIO(), io.StringIO()
        stdin = io.StringIO(chance.choice(("", "nine apples on the wing\n", "{}\n", "\x00\n")))
        status = run(words, clock=SetClock(DAY), stdin=stdin, stdout=shown, stderr=told_of)
        told = f"{seed}/{number}: {shlex.join(words)}\n{shown.getvalue()[:600]}\n{told_of.getvalue()[:600]}"
        assert status in STATUSES, told
        assert "Traceback" not in shown.getvalue() + told_of.getvalue(), told
        assert "\x1b" not in shown.getvalue() + told_of.getvalue(), told
    status, out, err = typed("torquelog verify")
    assert status == 0, out + err


def test_mutated_commands_end_without_a_fault(station: Path) -> None:
    """Some hundred mutations of the examples of the help, each with its status, none with an escape or a traceback."""
    try_mutations(SHORT, seed=11)


@pytest.mark.long
@pytest.mark.parametrize("seed", [101, 102])
def test_thousands_of_mutated_commands_end_without_a_fault(station: Path, seed: int) -> None:
    """The same at length."""
    try_mutations(measured(LONG // 2), seed)
