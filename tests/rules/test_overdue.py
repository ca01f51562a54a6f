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


def test_the_first_use_of_all_counts_for_its_certificate() -> None:
    """Ten at once use ten cycles, though nothing was before them; and so does one in the moment it began to count."""
    tool, since = wrench(cycles=10), [old(), certificate()]
    first, ten = use("2026-01-14T09:00"), use("2026-01-15T10:00", 2, 9)
    assert late(tool, since, first, ten) == []
    assert late(tool, since, first, ten, use("2026-01-16T10:00", 3)) == [["cycles-used"]]
    assert late(tool, since, use("2026-01-15T10:00", 1, 10), use("2026-01-16T10:00", 2)) == [["cycles-used"]]
    before = use("2026-01-14T08:59")  # by the certificate of 2024
    assert late(tool, since, before, ten, use("2026-01-16T10:00", 3)) == [["past-due"]]


def test_without_a_limit_there_are_as_many_cycles_as_anybody_likes() -> None:
    """A wrench of which its maker gives none; that it was due is told with its day."""
    tool = wrench(cycles=None)
    used = [use("2026-06-01T10:00", 1, 100_000), use("2026-06-02T10:00", 2), use("2027-01-13T10:00", 3)]
    assert late(tool, [old(), certificate()], *used) == [["past-due"]]


def test_each_ground_is_told_in_words() -> None:
    """The tool, and what was past."""
    limited, since = wrench(cycles=5000), [old(), certificate()]
    history = History(since, [], lambda _: limited, lambda _: "month", LISBON)
    used = [use("2026-06-01T10:00", 1, 5000), use("2027-01-31T23:59", 2), use("2027-02-01T00:00", 3)]
    told = [[(each.tool, each.message) for each in grounds] for _, grounds in overdue(history, used)]
    cycles = ("W-0402", "W-0402 has used all of its 5,000 cycles.")
    assert told == [[cycles], [("W-0402", "W-0402 was due Tue 12 Jan 2027."), cycles]]
    nothing = History([], [], lambda _: limited, lambda _: "day", LISBON)
    ((_, (ground,)),) = overdue(nothing, used[:1])
    assert (ground.tool, ground.message) == ("W-0402", "W-0402 had no calibration that counted then.")
