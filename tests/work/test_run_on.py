"""Run-on torque: 60 to 70 lbf·in above it, on a 10 in lever with a 1.5 in adapter.

The rule is that of AC 43.13-1B paragraph 7-40 (read); the figures are computed by hand from it.
"""

from fractions import Fraction

import pytest

from tests.support.story import Story, codes, remarks
from torquelog.torque.number import display
from torquelog.torque.units import in_unit
from torquelog.work.record import Recorded

NUT = {
    "id": "nut",
    "on": "wheel",
    "count": 2,
    "torque": "60..70 lbf·in",
    "basis": "above-run-on",
    "run-on": "min 10 lbf·in",
}


@pytest.fixture
def bench(story: Story) -> Story:
    """An inch-pound wrench and its adapter, and a dial that reads run-on torque."""
    story.bench(NUT)
    story.wrench("W-IN", scale="20..150 lbf·in by 1")
    story.wrench(
        "W-DIAL",
        scale="0..30 lbf·in by 0.5",
        type="indicating",
        points=story.results_of("5", "30", "lbf·in"),
    )
    story.adapter("A-15", "1.5 in")
    return story


def at_the_wrench(found: Recorded) -> tuple[str, ...]:
    """The limits as seen on the wrench, to three decimals."""
    ends = (end / found.gain for end in found.limits)
    return tuple(display(Fraction(round(in_unit(end, "lbf·in") * 1000), 1000)) for end in ends)


def in_newton_metres(inch_pounds: str) -> Fraction:
    """Pound-force inches in newton metres, exactly."""
    return Fraction(inch_pounds) * Fraction("0.1129848290276167")


def test_run_on_torque_is_added_to_both_limits(bench: Story) -> None:
    """14 read at the nut: 74 to 84 there, 64.348 to 73.043 on the wrench; the dial's 69 gives 79.35."""
    found = bench.take("nut:1", "69 lbf·in", "W-IN", adapters=["A-15"], run_on=("14 lbf·in", "W-DIAL"))
    assert at_the_wrench(found) == ("64.348", "73.043")
    assert found.applied == in_newton_metres("79.35")
    assert found.outcome == "within"


def test_read_through_the_adapter_it_is_more_at_the_nut(bench: Story) -> None:
    """14 read through the same adapter is 16.1 at the nut: 66.174 to 74.870 on the wrench."""
    found = bench.take("nut:1", "71 lbf·in", "W-IN", adapters=["A-15"], run_on=("14 lbf·in", "W-IN", "A-15"))
    assert codes(found) == ["outside-range", "outside-calibrated-range"]
    bench.wrench("W-LOW", scale="5..150 lbf·in by 1")
    found = bench.take("nut:2", "71 lbf·in", "W-IN", adapters=["A-15"], run_on=("14 lbf·in", "W-LOW", "A-15"))
    assert at_the_wrench(found) == ("66.174", "74.87")
    assert (found.outcome, found.applied) == ("within", in_newton_metres("81.65"))


def test_a_run_on_torque_is_demanded(bench: Story) -> None:
    """Without one there is no limit to judge by; nothing is on record."""
    with bench.refused("needs-run-on"):
        bench.take("nut:1", "69 lbf·in", "W-IN", adapters=["A-15"])


def test_a_nut_that_is_down_counts_above_what_was_measured(story: Story) -> None:
    """The next pass and a check take the run-on torque of the reading before; after loosening it is measured anew."""
    story.bench({**NUT, "passes": ["50 %", "100 %"], "last-round": True})
    story.wrench("W-IN", scale="5..150 lbf·in by 1")
    story.wrench("W-DIAL", scale="0..30 lbf·in by 0.5", points=story.results_of("5", "30", "lbf·in"))
    first = story.take("nut:1", "46 lbf·in", "W-IN", run_on=("14 lbf·in", "W-DIAL"))
    assert at_the_wrench(first) == ("44", "49")
    for reading in ("79 lbf·in", "80 lbf·in", "78 lbf·in"):
        found = story.take("nut:1", reading, "W-IN")
        assert (at_the_wrench(found), found.outcome) == (("74", "84"), "within")
    assert found.act == "check"
    assert len(story.trace("wrench", "W-DIAL").rows) == 1
    with story.refused("needs-run-on"):
        story.take("nut:1", "46 lbf·in", "W-IN", loosened=True)
    story.act("nut:1", "loosened")
    with story.refused("needs-run-on"):
        story.take("nut:1", "46 lbf·in", "W-IN")


def test_a_worn_nut_is_replaced(bench: Story) -> None:
    """9 lbf·in is below the card's minimum of 10: within limits, with a remark, and open until replaced."""
    for fastener in ("nut:1", "nut:2"):
        low = "9 lbf·in" if fastener == "nut:1" else "10 lbf·in"
        found = bench.take(fastener, "65 lbf·in", "W-IN", adapters=["A-15"], run_on=(low, "W-DIAL"))
        assert (found.outcome, "run-on-low" in remarks(found)) == ("within", fastener == "nut:1")
    assert bench.held() == ["hardware-open"]
    bench.act("nut:1", "replaced", part="EX-9")
    bench.take("nut:1", "65 lbf·in", "W-IN", adapters=["A-15"], run_on=("12 lbf·in", "W-DIAL"))
    assert bench.close()


def test_the_tool_of_the_run_on_torque_is_judged_too(bench: Story) -> None:
    """An overdue one refuses the reading, by its own name; each of its uses counts as a cycle."""
    bench.wrench(
        "W-OLD",
        scale="0..30 lbf·in by 0.5",
        on="2025-11-10",
        points=bench.results_of("5", "30", "lbf·in"),
    )
    found = bench.take("nut:1", "69 lbf·in", "W-IN", adapters=["A-15"], run_on=("14 lbf·in", "W-OLD"))
    assert [(ground.code, ground.tool) for ground in found.grounds] == [("past-due", "W-OLD")]
    assert {row.reading.item for row in bench.trace("wrench", "W-OLD").rows} == {1}


@pytest.mark.parametrize(
    ("torque", "drag", "limits"),
    [
        ("50..70 lbf·in", "30 lbf·in", ("80", "100")),
        ("48..72 lbf·in", "16 lbf·in", ("64", "88")),
        ("48..72 lbf·in", "15.5 lbf·in", ("48", "72")),
    ],
)
def test_from_a_share_of_the_low_limit_on(
    story: Story, torque: str, drag: str, limits: tuple[str, str]
) -> None:
    """US Army TB 43-0218 7c, read: 50 to 70 with a drag of 30 is 80 to 100; from a third on it is added, below not."""
    story.bench({**NUT, "torque": torque, "basis": "above-run-on-from 1/3"})
    story.wrench("W-IN", scale="5..150 lbf·in by 1")
    found = story.take("nut:1", "70 lbf·in", "W-IN", run_on=(drag, "W-IN"))
    assert at_the_wrench(found) == limits
