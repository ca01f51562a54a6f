"""How a trace, a recall and the life of a fastener are laid out on a terminal of 80 columns, and on narrower ones."""

import re
from types import SimpleNamespace
from typing import Any, cast

import pytest

from tests.cli.test_recall import Hangar, hangar, laid
from torquelog.cli.traced import became, folded

__all__ = ["hangar", "laid"]

TABLES = {
    ("trace", "wrench", "W-1"): r"^    fastener +set +limits +by +performed +entries$",
    ("trace", "assembly", "LOW-1"): r"^    fastener +set +limits +by +performed +entries$",
    ("trace", "fastener", "bolt:1", "--assembly", "LOW-1"): r"^    when +what +by +wrench +set +got +entry$",
    ("recall", "show", "R-1"): r"^    item +fastener +recorded +as found +limits$",
}


def shown(hangar: Hangar, patch: pytest.MonkeyPatch, width: str, *words: str) -> str:
    """What a terminal of so many columns shows, without its escapes."""
    patch.setenv("COLUMNS", width)
    return re.sub(r"\x1b\[[0-9;]*m", "", hangar.type(*words, terminal=True).out)


@pytest.mark.parametrize("words", TABLES, ids=" ".join)
def test_eighty_columns_show_a_table(
    hangar: Hangar, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    """One heading above all rows at 80 columns; at 40 each row is a block of its own."""
    hangar.type("recall", "open", "--wrench", "W-1")
    wide = shown(hangar, monkeypatch, "80", *words)
    assert len(re.findall(TABLES[words], wide, re.MULTILINE)) == 1, wide
    narrow = shown(hangar, monkeypatch, "40", *words)
    assert not re.search(TABLES[words], narrow, re.MULTILINE)
    assert len(re.findall(r"^  limits +\d", narrow, re.MULTILINE)) > 1


def test_a_trace_loses_nothing_at_eighty_columns(hangar: Hangar, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whose fastener, where it is, year, station, who, when, what was set, the limits and the entries."""
    told = shown(hangar, monkeypatch, "80", "trace", "wrench", "W-1")
    assert "\n  LOW-1 (QQ-HLB main 1), 2027, entries of QHR\n" in told, told
    assert "\n    bolt 1     22 N·m   20.9 to 23.1 N·m     TK   15 Jan 07:00   48\n" in told, told
    assert "times of Lisbon" in told


def test_a_trace_of_anything_else_names_the_wrench(hangar: Hangar, monkeypatch: pytest.MonkeyPatch) -> None:
    """Rows by different wrenches are never folded into one."""
    told = shown(hangar, monkeypatch, "80", "trace", "assembly", "LOW-1")
    assert "LOW-1 (QQ-HLB main 1), with W-1, 2027, entries of QHR" in told
    assert re.search(r"fastener .* wrench +performed", hangar.type("trace", "assembly", "LOW-1").out)
    assert not re.search(r"fastener .* wrench +performed", hangar.type("trace", "wrench", "W-1").out)


def row(**changed: Any) -> Any:
    """A row of a trace, as far as its words are concerned."""
    reading = {
        "owner": "assembly EX-1 WH-1", "group": "bolt", "step": "", "pass_": 1, "indicated": "22 N·m", "low": 1,
        "high": 2, "performed_by": "TK", "wrench": "W-1", "act": "tighten", "outcome": "within",
    }  # fmt: skip
    state = changed.pop("state", "tight")
    return cast(Any, SimpleNamespace(reading=SimpleNamespace(**{**reading, **changed}), state=state))


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({}, ""),
        ({"outcome": "above", "state": "loosened"}, "above its limits, loosened since"),
        ({"outcome": "below"}, "below its limits"),
        ({"state": "apart"}, "within its limits, taken apart since"),
        ({"state": "struck"}, "within its limits, struck"),
        ({"outcome": "refused", "state": "refused"}, "refused"),
        ({"act": "check"}, "a check, within its limits"),
    ],
)
def test_whatever_is_not_plain_is_said(changed: dict[str, str], said: str) -> None:
    """A row says nothing below it only where it was a tightening within its limits that still stands."""
    assert became(row(**changed)) == said


@pytest.mark.parametrize(
    "changed",
    [{"wrench": "W-2"}, {"act": "check"}, {"state": "loosened"}, {"performed_by": "MS"}, {"low": 0}],
)
def test_only_what_reads_alike_is_folded(changed: dict[str, Any]) -> None:
    """Two rows that differ in anything that is shown stay two rows."""
    assert [len(run) for run in folded([row(), row()], each=False)] == [2]
    assert [len(run) for run in folded([row(), row(**changed)], each=False)] == [1, 1]
    assert [len(run) for run in folded([row(), row()], each=True)] == [1, 1]
