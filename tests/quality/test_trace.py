"""The trace: which fasteners, where they are today, what became of the tightening, and that nothing is left out."""

import pytest

from tests.support.story import AXLE, PART, WHEEL, Story
from torquelog.errors import TorquelogError
from torquelog.quality.trace import Carrier, Trace

TWO = {**WHEEL, "count": 2}


def states(found: Trace) -> list[tuple[str, str]]:
    """Fastener and state of each row, in order."""
    return [(f"{row.reading.group}:{row.reading.item}", row.state) for row in found.rows]


@pytest.fixture
def built(story: Story) -> Story:
    """Wheel WH-2231 with two tie bolts, tightened on the bench with W-0417; two aircraft."""
    story.bench(TWO)
    story.aircraft("QQ-HLB", "1001")
    story.aircraft("QQ-MRA", "1002")
    for fastener in ("tie-bolt:1", "tie-bolt:2"):
        story.take(fastener, "100 N·m")
    return story


def test_the_wheel_is_followed_from_one_aircraft_to_the_next(built: Story) -> None:
    """Never fitted, then on one aircraft, in stores, on the other: each as of its own time."""
    found = built.trace("wrench", "W-0417")
    assert (found.standing, found.flying, found.aircraft) == (2, 0, ())
    assert {row.location.text for row in found.rows} == {"never fitted"}
    built.until("2026-11-25T13:30")
    built.fit("WH-2231", "QQ-HLB", "main 2", at="2026-11-25T13:00")
    found = built.trace("wrench", "W-0417")
    assert found.aircraft == (Carrier("QQ-HLB", 2, now=True),)
    built.until("2026-11-25T15:00")
    built.remove("WH-2231", at="2026-11-25T14:00")
    found = built.trace("wrench", "W-0417")
    assert (found.standing, found.flying) == (2, 0)
    assert {row.location.text for row in found.rows} == {"stores"}
    built.fit("WH-2231", "QQ-MRA", "main 1", at="2026-11-25T14:30")
    found = built.trace("wrench", "W-0417")
    assert found.aircraft == (Carrier("QQ-MRA", 2, now=True), Carrier("QQ-HLB", 2, now=False))
    assert {(row.location.registration, row.location.position) for row in found.rows} == {
        ("QQ-MRA", "main 1")
    }
    assert {row.location.since for row in found.rows} == {built.moment("2026-11-25T14:30")}
    then = built.trace("wrench", "W-0417", as_of="2026-11-25T13:30")
    assert then.aircraft == (Carrier("QQ-HLB", 2, now=True),)


def test_a_shop_is_traced_by_its_station(built: Story) -> None:
    """What was tightened on assemblies there, wherever they fly today; the aircraft's own nuts are no work of a shop."""
    built.fit("WH-2231")
    built.card("FIT", AXLE)
    built.job("J-2", "FIT", on="QQ-HLB", position="main 2")
    built.take("axle-nut:1", "100 N·m", job="J-2")
    found = built.trace("shop", "QHR")
    assert states(found) == [("tie-bolt:1", "tight"), ("tie-bolt:2", "tight")]
    assert (found.standing, found.flying, found.named) == (2, 2, 2)
    assert built.trace("shop", "QHR", since="2026-11-26T00:00").rows == ()
    with built.refused("station-unknown"):
        built.trace("shop", "LGW")


def test_a_removal_without_a_destination(built: Story) -> None:
    """Nobody said where it went: not known, which is not "never fitted"."""
    built.fit("WH-2231")
    built.remove("WH-2231", to="")
    assert {row.location.text for row in built.trace("wrench", "W-0417").rows} == {"not known"}


def test_an_aircraft_carries_what_was_tightened_on_it(built: Story) -> None:
    """The wheel was fitted before one bolt was tightened again; taken off later, the aircraft did carry that, too."""
    built.wrench("W-0418")
    built.fit("WH-2231")
    built.take("tie-bolt:1", "100 N·m", "W-0418", loosened=True)
    built.remove("WH-2231")
    assert built.trace("wrench", "W-0418").aircraft == (Carrier("QQ-HLB", 1, now=False),)
    assert built.trace("wrench", "W-0417").aircraft == (Carrier("QQ-HLB", 2, now=False),)
    built.take("tie-bolt:2", "100 N·m", "W-0418", loosened=True)
    assert built.trace("wrench", "W-0418").aircraft == (Carrier("QQ-HLB", 1, now=False),)


def test_an_aircraft_does_not_carry_what_was_loosened_before(built: Story) -> None:
    """Loosened on the bench, fitted after that: this tightening never flew."""
    built.wrench("W-0418")
    built.take("tie-bolt:1", "100 N·m", "W-0418", loosened=True)
    built.act("tie-bolt:2", "loosened")
    built.fit("WH-2231")
    assert built.trace("wrench", "W-0417").aircraft == ()
    assert built.trace("wrench", "W-0418").aircraft == (Carrier("QQ-HLB", 1, now=True),)


class TestStates:
    """What became of each tightening."""

    def test_loosened_by_an_act_or_by_the_next_reading(self, built: Story) -> None:
        """One loosened and left, one tightened anew: the new one stands."""
        built.act("tie-bolt:1", "loosened")
        built.take("tie-bolt:2", "101 N·m", loosened=True)
        found = built.trace("wrench", "W-0417")
        assert states(found) == [
            ("tie-bolt:1", "loosened"),
            ("tie-bolt:2", "loosened"),
            ("tie-bolt:2", "tight"),
        ]
        assert found.standing == 1

    @pytest.mark.parametrize(
        ("what", "found"), [("replaced", None), ("found", "sheared"), ("found", "loose")]
    )
    def test_replaced_and_found(self, built: Story, what: str, found: str | None) -> None:
        """New hardware, and what was found sheared or loose, ends the tightening of that one alone."""
        built.act("tie-bolt:1", what, found=found)
        assert states(built.trace("wrench", "W-0417")) == [
            ("tie-bolt:1", "loosened"),
            ("tie-bolt:2", "tight"),
        ]

    def test_apart(self, built: Story) -> None:
        """The wheel was taken apart: nothing on it is tight, and it is nowhere else."""
        built.take_apart("WH-2231")
        found = built.trace("wrench", "W-0417")
        assert states(found) == [("tie-bolt:1", "apart"), ("tie-bolt:2", "apart")]
        assert (found.standing, {row.location.text for row in found.rows}) == (0, {"taken apart"})

    def test_refused_and_struck_are_in_the_list(self, built: Story) -> None:
        """They carry no tightening, and they are counted: readings that name the wrench, and those shown."""
        built.take("tie-bolt:1", "160 N·m")
        typed = built.take("tie-bolt:2", "99 N·m", loosened=True)
        built.correct(typed.reference)
        found = built.trace("wrench", "W-0417")
        assert states(found) == [
            ("tie-bolt:1", "tight"), ("tie-bolt:2", "tight"), ("tie-bolt:1", "refused"), ("tie-bolt:2", "struck"),
        ]  # fmt: skip
        assert (found.named, len(found.rows), found.standing) == (4, 4, 2)

    def test_a_check_carries_no_tightening(self, built: Story) -> None:
        """The second wrench only checked: it has one row, and no fastener."""
        built.wrench("W-0418")
        built.take("tie-bolt:1", "100 N·m", "W-0418")
        found = built.trace("wrench", "W-0418")
        assert (len(found.rows), found.standing, found.aircraft) == (1, 0, ())


class TestOtherThings:
    """A trace of anything that a reading names."""

    def test_adapter_and_run_on_tools(self, story: Story) -> None:
        """A reading is found by each of its tools, whatever it did in it, and counted once."""
        story.wrench("W-IN", scale="5..150 lbf·in by 1")
        story.wrench("W-RUN", scale="5..150 lbf·in by 1")
        story.adapter("A-15", "1.5 in")
        story.adapter("A-20", "2 in")
        story.assembly()
        story.card("BUILD", {**TWO, "torque": "60..70 lbf·in", "basis": "above-run-on"})
        story.job()
        story.take(
            "tie-bolt:1", "69 lbf·in", "W-IN", adapters=["A-15"], run_on=("14 lbf·in", "W-RUN", "A-20")
        )
        story.take("tie-bolt:2", "77 lbf·in", "W-IN", run_on=("14 lbf·in", "W-IN"))
        for kind, name, count in (
            ("wrench", "W-IN", 2),
            ("wrench", "W-RUN", 1),
            ("adapter", "A-15", 1),
            ("adapter", "A-20", 1),
        ):
            found = story.trace(kind, name)
            assert (len(found.rows), found.named, found.standing) == (count, count, count), name

    def test_person_card_and_assembly(self, built: Story) -> None:
        """Who did it, by which card, on what: the same two readings; another person has none."""
        for kind, name in (
            ("person", "TK"),
            ("card", "BUILD"),
            ("assembly", "WH-2231"),
            ("assembly", f"{PART} WH-2231"),
        ):
            assert len(built.trace(kind, name).rows) == 2, kind
        assert built.trace("person", "IK").rows == ()

    def test_an_aircraft_with_all_that_it_carries(self, built: Story) -> None:
        """Its own axle nut, and the tie bolts of the wheel that is on it; by either of its names."""
        built.card("FIT", AXLE)
        built.job("J-2", "FIT", "WH-2231", on="QQ-HLB", position="main 2")
        built.fit("WH-2231")
        built.take("axle-nut:1", "100 N·m", job="J-2")
        for name in ("QQ-HLB", "1001"):
            found = built.trace("aircraft", name)
            assert {row.reading.group for row in found.rows} == {"tie-bolt", "axle-nut"}
            assert (found.standing, found.flying) == (3, 3)
        assert built.trace("aircraft", "QQ-MRA").rows == ()
        built.remove("WH-2231")
        built.fit("WH-2231", "QQ-MRA")
        assert {row.reading.group for row in built.trace("aircraft", "QQ-HLB").rows} == {"axle-nut"}
        assert states(built.trace("aircraft", "QQ-HLB")) == [("axle-nut:1", "apart")]

    def test_unknown_names(self, built: Story) -> None:
        """Nothing of that name on record is an error, not an empty list."""
        for kind, code in (
            ("wrench", "tool-unknown"), ("adapter", "tool-unknown"), ("aircraft", "aircraft-unknown"),
            ("assembly", "assembly-unknown"), ("card", "card-unknown"), ("person", "person-unknown"),
        ):  # fmt: skip
            with pytest.raises(TorquelogError) as caught:
                built.trace(kind, "X-1")
            assert caught.value.code == code


class TestLots:
    """A lot of hardware is followed from where it was fitted until other hardware came in its place."""

    def test_named_with_the_hardware_or_with_the_reading(self, built: Story) -> None:
        """Fitted as a replacement, or named beside the reading: the readings from then on are of that lot."""
        built.act("tie-bolt:1", "replaced", part="EX-77", lots=("L-9",))
        after = built.take("tie-bolt:1", "101 N·m")
        named = built.take("tie-bolt:2", "102 N·m", loosened=True, lots=("L-9",))
        found = built.trace("lot", "L-9")
        assert [row.reading.number for row in found.rows] == [
            int(each.reference[-6:]) for each in (after, named)
        ]
        assert found.standing == 2

    def test_replaced_by_another_lot_it_is_gone(self, built: Story) -> None:
        """The tightening after the second replacement is of the second lot alone."""
        built.act("tie-bolt:1", "replaced", part="EX-77", lots=("L-9",))
        built.take("tie-bolt:1", "101 N·m")
        built.act("tie-bolt:1", "replaced", part="EX-77", lots=("L-10",))
        built.take("tie-bolt:1", "102 N·m")
        assert states(built.trace("lot", "L-9")) == [("tie-bolt:1", "loosened")]
        assert [row.reading.indicated.value for row in built.trace("lot", "L-10").rows] == ["102"]

    def test_replaced_without_a_lot_it_is_gone_as_well(self, built: Story) -> None:
        """New hardware of which no lot was told is not of the old one."""
        built.act("tie-bolt:1", "replaced", part="EX-77", lots=("L-9",))
        built.act("tie-bolt:1", "replaced", part="EX-77")
        built.take("tie-bolt:1", "102 N·m")
        assert built.trace("lot", "L-9").rows == ()


def test_a_window_of_work(built: Story) -> None:
    """From its start, up to and not including its end; the count keeps to it as well."""
    first, second = (row.reading.at for row in built.trace("wrench", "W-0417").rows)
    from torquelog.quality.trace import trace

    for since, until, count in (
        (first, second, 1),
        (first, second + 1, 2),
        (second + 1, None, 0),
        (None, first, 0),
    ):
        found = trace(built.book, "wrench", "W-0417", since=since, until=until)
        assert (len(found.rows), found.named) == (count, count)


def test_complete_as_of_the_newest_entry(built: Story) -> None:
    """The answer names the entry up to which it knows everything, and whose records it holds."""
    built.fit("WH-2231")
    found = built.trace("wrench", "W-0417")
    assert found.complete_as_of == f"QHR-{built.entries():06d}"
    assert found.stations == ("QHR",)
