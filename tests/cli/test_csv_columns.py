"""The columns of lists as CSV: each holds what programs are told under that name, and none of that is left out."""

import csv
import io
import json
from pathlib import Path

import pytest

from tests.cli.terminal import play
from torquelog.cli.spreadsheet import flat


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's record: readings, a refusal, and a recall with what is outside."""
    path = tmp_path_factory.mktemp("demo") / "demo.db"
    assert play(["demo", "--at", str(path)]).exit == 0
    return path


LISTS = {
    "trace wrench W-118": ("readings", set()),
    "trace assembly WH-7104": ("readings", set()),
    "refused": ("refused", set()),
    "recall show R-1": ("items", {"reason", "readings"}),
}


@pytest.mark.parametrize("command", LISTS)
def test_each_row_holds_what_programs_are_told(record: Path, command: str) -> None:
    """A torque with its value and its unit, limits with both ends; of a recall all but its readings' names."""
    name, left_out = LISTS[command]
    words = ["--db", str(record), *command.split()]
    told = [flat(each) for each in json.loads(play([*words, "--json"]).out)["data"][name]]
    rows = list(csv.DictReader(io.StringIO(play([*words, "--csv"]).out)))
    assert len(rows) == len(told) > 0
    for row, each in zip(rows, told, strict=True):
        assert {key for key, value in each.items() if value not in (None, [])} - row.keys() == left_out - {
            key for key in left_out if each[key] in (None, [])
        }
        for key, value in each.items():
            if isinstance(value, str) and key in row:
                assert row[key] == value
    assert all(
        any(row[field] for row in rows) for field in rows[0] if field.endswith(("_value", "_unit", "_low"))
    )
