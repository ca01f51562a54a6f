"""The morning's list, and which tools could be used instead."""

from datetime import date

from tests.crib.conftest import add, calibrate, certificate, fit, later, wrench
from torquelog.crib import custody, due
from torquelog.crib.alternatives import alternatives, middle_of
from torquelog.crib.scales import parse_scale
from torquelog.torque.units import Torque


def names(lines):
    return [line.tool.tool for line in lines]


def test_each_tool_stands_in_one_place(kept):
    """Unfit, due soon, running out, or fine with the nearest first; retired ones are left out."""
    fit(kept, "W-1")
    add(kept, wrench("W-2"))
    add(kept, wrench("W-3"))
    calibrate(kept, "W-3", certificate(due=date(2026, 12, 25)))
    fit(kept, "W-4", cycles=100)
    custody.issue(kept.book, kept.signer, ["W-4"], "TK")
    custody.give_back(kept.book, kept.signer, ["W-4"], uses=60)
    fit(kept, "W-5")
    custody.retire(kept.book, kept.signer, ["W-5"], why="worn")
    add(kept, wrench("W-6"))
    calibrate(kept, "W-6", certificate(due=date(2026, 12, 26)))
    found = due.due(kept.book)
    assert (names(found.unfit), names(found.soon), names(found.running_out)) == (["W-2"], ["W-3"], ["W-4"])
    assert names(found.fine) == ["W-6", "W-1"]
    assert found.total == 5
    assert (found.running_out[0].used, found.running_out[0].days_of_cycles) == (60, 20)
    assert names(due.due(kept.book, within=31).soon) == ["W-3", "W-6"]


def test_few_cycles_left_are_told_whatever_the_pace(kept):
    """The last twentieth of the limit."""
    fit(kept, "W-1", cycles=100)
    custody.issue(kept.book, kept.signer, ["W-1"], "TK")
    custody.give_back(kept.book, kept.signer, ["W-1"], uses=95)
    later(kept, days=60)
    line = due.due(kept.book).running_out[0]
    assert (line.fitness.cycles_left, line.days_of_cycles) == (5, None)


def test_alternatives_reach_what_is_needed_and_are_within_reach(kept):
    """The person's own first, then the crib; not those of others, unfit ones, or those too small."""
    for number in ("W-1", "W-2", "W-3", "W-4"):
        fit(kept, number)
    add(kept, wrench("W-5"))
    add(kept, wrench("W-6", scales=(parse_scale("2..10 ft-lb by 0.1"),)))
    custody.issue(kept.book, kept.signer, ["W-3"], "TK")
    custody.issue(kept.book, kept.signer, ["W-4"], "the ramp")
    torque = Torque("53", "lbf·ft").newton_metres
    found = alternatives(kept.book, lambda tool: [torque], person="TK", direction="cw", without=["W-2"])
    assert [each.tool.tool for each in found] == ["W-3", "W-1", "W-4"]
    other = alternatives(kept.book, lambda tool: [torque], person="IK", direction="cw")
    assert "W-3" not in [each.tool.tool for each in other]
    assert alternatives(kept.book, lambda tool: [torque], direction="ccw") == ()
    assert alternatives(kept.book, lambda tool: [torque], uses=5001) == ()
    both = [torque, Torque("101", "lbf·ft").newton_metres]
    assert alternatives(kept.book, lambda tool: both) == ()
    assert len(alternatives(kept.book, most=2)) == 2


def test_the_calibrated_range_bounds_an_alternative(kept):
    """In its range, but above the last result of its certificate."""
    from tests.support.tools import points

    add(kept, wrench("W-1"))
    calibrate(kept, "W-1", certificate(points=points("20 20", "60 60")))
    needed = Torque("80", "lbf·ft").newton_metres
    assert alternatives(kept.book, lambda tool: [needed]) == ()


def test_the_middle_of_a_tool():
    """What a tool handed out instead has to reach."""
    from tests.support.tools import wrench as registered

    assert middle_of(registered()) == Torque("60", "lbf·ft").newton_metres
    assert middle_of(registered(scales=())) is None
