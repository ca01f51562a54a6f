"""What a start costs: the modules that `torquelog --help` imports. A start-up that nobody watches grows."""

import ast
import os
import subprocess
import sys
from pathlib import Path

import torquelog

PROBE = """
import io, sys
import click
with_click = set(sys.modules)
from torquelog.cli.run import run
out = io.StringIO()
status = run({args!r}, stdout=out, stderr=out)
print((status, sorted(set(sys.modules) - with_click)))
"""

ALLOWED = {
    "torquelog",
    "torquelog.cli",
    "torquelog.cli.answer",
    "torquelog.cli.app",
    "torquelog.cli.command",
    "torquelog.cli.context",
    "torquelog.cli.group",
    "torquelog.cli.helptext",
    "torquelog.cli.layout",
    "torquelog.cli.render",
    "torquelog.cli.run",
    "torquelog.cli.table",
    "torquelog.cli.text",
    "torquelog.errors",
}
"""Ours, beside click and what click needs. No command is among them, no clock, no json, no database."""

CLICK_ON_DEMAND = {"locale", "_locale"}
"""What click imports by itself."""


def imported(*args: str) -> set[str]:
    """The modules that a command line imports beyond click."""
    environment = {**os.environ, "PYTHONPATH": str(Path(torquelog.__file__).parents[1])}
    ran = subprocess.run(
        [sys.executable, "-c", PROBE.format(args=list(args))],
        capture_output=True,
        text=True,
        check=True,
        env=environment,
    )
    status, modules = ast.literal_eval(ran.stdout)
    assert status == 0
    return set(modules)


def test_the_help_imports_the_frame_alone() -> None:
    """The list is exact: what is added to it costs at every start and must be worth it."""
    ours = {name for name in imported("--help") if name.startswith("torquelog")}
    assert ours == ALLOWED
    assert imported("--help") - ours <= CLICK_ON_DEMAND


def test_a_computation_needs_no_database_and_no_heavy_library() -> None:
    """Neither sqlite3 nor cryptography, pint, rich or dateutil."""
    heavy = {"sqlite3", "cryptography", "pint", "rich", "dateutil", "sqlite_utils", "dataclasses", "enum"}
    for args in (["convert", "3", "Nm", "in-lb"], ["setting", "60..80 Nm"], ["sequence", "12"]):
        assert not heavy & {name.split(".")[0] for name in imported(*args)}, args
