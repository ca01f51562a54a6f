"""What recording a reading imports: start-up is a feature that rots, so the list is held here."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import torquelog
from tests.project.dialogue import DAY, lay_samples, own_home
from tests.project.test_examples import typed
from tests.project.world import SET_UP

HEAVY = {
    "pint",
    "sqlite_utils",
    "rich",
    "dateutil",
    "dataclasses",
    "tomllib",
    "jinja2",
    "segno",
    "importlib.metadata",
}
"""Each costs more than a reading may: several of them a third of a start-up and more."""

OURS = {
    "book": {
        "asked", "at_group", "authorisation", "cases", "curves", "fasteners", "format", "jobview", "judging",
        "left_behind", "opening", "particulars", "reading_remarks", "recent", "sign_ins", "signer", "taken_with",
        "turns", "used_tools", "writing",
    },
    "cli": {
        "answer", "app", "asked", "carry", "command", "context", "group", "helptext", "layout", "lines",
        "reading", "record", "recorded", "render", "run", "signing", "table", "text", "torques", "words",
    },
    "facts": {
        "acts", "aircraft", "assemblies", "calibrations", "card_form", "cards", "conditions", "custody",
        "decided", "handing", "inspections", "jobs", "kinds", "lately", "limits_told", "lots", "members",
        "people", "readings", "registry", "rows", "stations", "strikes", "tested", "tools", "uses",
    },
    "ledger": {
        "authorizer", "database", "folders", "form", "guards", "jsontext", "keys", "placing", "private",
        "seen", "session", "signin", "storage", "store", "text",
    },
    "rules": {
        "authority", "coverage", "days", "demand", "fastener", "fit_remarks", "fitness", "grounds", "names",
        "sayings", "timing", "validity",
    },
    "torque": {
        "adapter", "beside", "curve", "deviation", "limits", "number", "pair", "units",
    },
    "work": {
        "fastener_words", "record", "signing",
    },
}  # fmt: skip
"""The rooms of the house that a reading may enter."""

PROGRAM = """
import json, sys
from io import StringIO
from torquelog.cli.run import run
from torquelog.clock import SetClock
clock = SetClock(int(sys.argv[1]))
out, err = StringIO(), StringIO()
status = run(sys.argv[2:], clock=clock, stdin=StringIO(), stdout=out, stderr=err)
print(json.dumps({"status": status, "said": out.getvalue() + err.getvalue(), "modules": sorted(sys.modules)}))
"""


@pytest.fixture(scope="module")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> set[str]:
    """The modules in memory once a fresh process has recorded one reading."""
    home = tmp_path_factory.mktemp("home")
    lay_samples(home)
    with pytest.MonkeyPatch.context() as patch:
        own_home(patch, home)
        patch.chdir(home)
        return _modules()


def _modules() -> set[str]:
    for line, stdin in SET_UP:
        assert typed(line, stdin)[0] in {0, 4}
    words = ["record", "tie-bolt:9", "26.5 ft-lb", "--job", "J-5", "--wrench", "W-0417", "--json"]
    environment = {**os.environ, "PYTHONPATH": str(Path(torquelog.__file__).parents[1])}
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(DAY), *words],
        capture_output=True,
        text=True,
        check=True,
        env=environment,
    )
    found = json.loads(done.stdout)
    assert found["status"] == 0, found["said"]
    return set(found["modules"])


def test_a_reading_imports_nothing_heavy(recorded: set[str]) -> None:
    """No unit library, no dates' parser, no class generator stands between a technician and the record."""
    assert not recorded & HEAVY


def test_a_reading_enters_only_these_rooms(recorded: set[str]) -> None:
    """A new import on this path is a decision, made here."""
    allowed = {f"torquelog.{floor}.{name}" for floor, names in OURS.items() for name in names}
    entered = {name for name in recorded if name.count(".") == 2 and name.startswith("torquelog.")}
    assert sorted(entered - allowed) == []
