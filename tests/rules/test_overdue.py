"""Uses that came when a tool was past due, out of cycles or without a calibration, by what is known now."""

from collections.abc import Sequence
from fractions import Fraction

import pytest

from tests.support.tools import LISBON, certificate, moment, old, wrench
from torquelog.clock import Period
from torquelog.facts.calibrations import Calibration
from torquelog.facts.tools import Tool
from torquelog.facts.uses import ToolUse
from torquelog.rules.overdue import History, overdue
from torquelog.torque.units import Length

RATIO = wrench("A-1", sort="adapter", accuracy=None, every=None, cycles=None, multiplier=Fraction(3))
LENGTH = RATIO._replace(multiplier=None, length=Length("2", "in"))


def use(at: str, number: int = 1, uses: int = 1) -> ToolUse:
    """A use at a local time."""
    return ToolUse("QHR", number, 0, moment(at), moment(at), "wrench", uses)


def late(tool: Tool, calibrations: Sequence[Calibration], *uses: ToolUse) -> list[list[str]]:
    """The grounds of the uses that came too late, by code."""
    history = History(calibrations, [], lambda _: tool, lambda _: "day", LISBON)
    return [[ground.code for ground in grounds] for _, grounds in overdue(history, uses)]


@pytest.mark.parametrize(
    ("tool", "grounds"), [(wrench(), [["not-calibrated"]]), (RATIO, [["not-calibrated"]])]
)
def test_a_tool_that_needs_a_certificate_had_none(tool: Tool, grounds: list[list[str]]) -> None:
    """A wrench always does, an adapter where it multiplies."""
    assert late(tool, [], use("2026-06-01T10:00")) == grounds


def test_an_adapter_with_a_length_alone_needs_none() -> None:
    """Nothing is due, however long it is used; with an interval or cycles it is."""
    assert late(LENGTH, [], use("2026-06-01T10:00"), use("2036-06-01T10:00")) == []
    assert late(LENGTH._replace(every=Period(12, "month")), [], use("2026-06-01T10:00")) == [
        ["not-calibrated"]
    ]


def test_the_day_it_is_due_is_the_last_one() -> None:
    """Through the end of that day it is good, and a moment later past due; a tool without an interval never is."""
    through, after = use("2027-01-12T23:59"), use("2027-01-13T00:00")
    assert late(wrench(), [old(), certificate()], through) == []
    assert late(wrench(), [old(), certificate()], through, after) == [["past-due"]]
    assert late(wrench(every=None), [old(), certificate()], after) == []


def test_the_cycles_are_those_since_its_certificate() -> None:
    """Ten serve ten, whatever was before it; the next is one too many, and that it is past due is told as well."""
    tool, since = wrench(cycles=10), [old(), certificate()]
    before, ten = use("2024-06-01T10:00", 1, 50), use("2026-06-01T10:00", 2, 10)
    one, last = use("2026-06-02T10:00", 3), use("2027-06-01T10:00", 4)
    assert late(tool, since, before, ten) == []
    assert late(tool, since, before, ten, one, last) == [["cycles-used"], ["past-due", "cycles-used"]]
